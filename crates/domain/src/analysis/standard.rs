//! Expected counts: what a lot would show at its peers' rates by age, the lot itself left out.

use super::part_exposure::Bands;
use crate::ledger::AGE_BANDS;

/// Exposure that peers need, as a share of a level's own: at an age, and in a stratum where other strata have as much.
pub(super) const FEWEST_PEERS: f64 = 0.25;

/// Counts and item-years of all lots of one revision, by age band.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Standard {
    pub(super) counts: Bands,
    pub(super) years: Bands,
}

/// A lot or unit with what its peers show.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Against {
    /// Reports of the peers.
    pub(super) peer_count: u64,
    /// Its exposure over its peers', each age weighted by the peers' rate at that age; the odds of one report
    /// falling on it if it is like them.
    pub(super) odds: f64,
}

impl Against {
    /// Expected count.
    pub(super) fn expected(self) -> f64 {
        self.odds * self.peer_count as f64
    }

    /// Expected count, or what one report of the peers would let expect where they have none yet: a probability of being
    /// worse has to be held against something.
    pub(super) fn expected_or_one(self) -> f64 {
        self.odds * self.peer_count.max(1) as f64
    }
}

/// The rate at one age with one report more and the exposure that goes with it.
fn smoothed(count: f64, exposure: f64, a_report: f64) -> f64 {
    (count + 1.0) / (exposure + a_report)
}

impl Standard {
    /// Adds a member.
    pub(super) fn add(&mut self, counts: &Bands, years: &Bands) {
        self.counts.iter_mut().zip(counts).for_each(|(sum, n)| *sum += n);
        self.years.iter_mut().zip(years).for_each(|(sum, y)| *sum += y);
    }

    /// The rate in each band.
    pub(super) fn rates(&self) -> Bands {
        let mut rates = Bands::default();
        for (band, rate) in rates.iter_mut().enumerate() {
            *rate = if self.years[band] > 0.0 { self.counts[band] / self.years[band] } else { 0.0 };
        }
        rates
    }

    /// The same but for one report that is spread over the ages as exposure is: an age at which nothing has failed yet, or no
    /// label was read, is not taken as one at which nothing can.
    pub(super) fn smoothed_rates(&self) -> Bands {
        let (all, counted): (f64, f64) = (self.years.iter().sum(), self.counts.iter().sum());
        let rate = |band: usize| smoothed(self.counts[band], self.years[band], all / (counted + 1.0));
        if all > 0.0 { std::array::from_fn(rate) } else { Bands::default() }
    }

    /// Compares one member with the rest. `None` where it has no exposure or the rest has none.
    ///
    /// Where the rest has less exposure at an age than the member, neighbouring ages are pooled with it until it
    /// has as much, so that the oldest lot is not measured by a handful of days. Without any report of the rest the
    /// odds are those of bare exposure.
    pub(super) fn against(&self, counts: &Bands, years: &Bands) -> Option<Against> {
        let own: f64 = years.iter().sum();
        let rest = self.rest(counts, years)?;
        let peer_years: f64 = rest.years.iter().sum();
        let peer_count = rest.count();
        if peer_count == 0 {
            return Some(Against { peer_count: 0, odds: own / peer_years });
        }
        let expected: f64 =
            (0..AGE_BANDS.len()).map(|band| years[band] * rest.pooled_rate(band, years[band])).sum();
        let odds = if expected > 0.0 { expected / peer_count as f64 } else { own / peer_years };
        Some(Against { peer_count, odds })
    }

    /// The ages at which the rest has exposure enough to say what is usual there. A level that alone is that old can't be
    /// compared: younger peers would blame it for its age.
    pub(super) fn shared(&self, years: &Bands) -> [bool; AGE_BANDS.len()] {
        std::array::from_fn(|band| self.years[band] - years[band] >= FEWEST_PEERS * years[band])
    }

    /// The rest's reports and its rate at each age, as [`Self::against`] takes them but smoothed as
    /// [`Self::smoothed_rates`] does.
    pub(super) fn peer_rates(&self, counts: &Bands, years: &Bands) -> Option<(u64, Bands)> {
        let rest = self.rest(counts, years)?;
        let all: f64 = rest.years.iter().sum();
        let (count, a_report) = (rest.count(), all / (rest.count() as f64 + 1.0));
        let rate = |band: usize| {
            let exposure = rest.years[band].max(years[band]);
            smoothed(rest.pooled_rate(band, years[band]) * exposure, exposure, a_report)
        };
        Some((count, std::array::from_fn(rate)))
    }

    /// Everything but one member; `None` where it or the rest has no exposure.
    fn rest(&self, counts: &Bands, years: &Bands) -> Option<Self> {
        let mut rest = Self::default();
        for band in 0..AGE_BANDS.len() {
            rest.counts[band] = self.counts[band] - counts[band];
            // Subtraction leaves dust where the member was alone.
            let left = self.years[band] - years[band];
            rest.years[band] = if left > 1e-9 * self.years[band] { left } else { 0.0 };
        }
        let has_any = |years: &Bands| years.iter().sum::<f64>() > 0.0;
        (has_any(years) && has_any(&rest.years)).then_some(rest)
    }

    fn count(&self) -> u64 {
        self.counts.iter().sum::<f64>().round().max(0.0) as u64
    }

    fn pooled_rate(&self, band: usize, wanted: f64) -> f64 {
        if wanted <= 0.0 {
            return 0.0;
        }
        let last = AGE_BANDS.len() - 1;
        let (mut low, mut high) = (band, band);
        loop {
            let years: f64 = self.years[low..=high].iter().sum();
            // As much to rounding: sums of equal exposure differ in their last digits.
            if years >= wanted * (1.0 - 1e-9) || (low == 0 && high == last) {
                return if years > 0.0 { self.counts[low..=high].iter().sum::<f64>() / years } else { 0.0 };
            }
            low = low.saturating_sub(1);
            high = (high + 1).min(last);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bands(values: &[f64]) -> Bands {
        let mut bands = Bands::default();
        bands[..values.len()].copy_from_slice(values);
        bands
    }

    /// By hand: at ages one and two the peers show 2 in 100 and 30 in 100; a lot with 10 and 40 item-years there
    /// expects 0.2 + 12. An old lot is not blamed for being old.
    #[test]
    fn expectation_follows_age() {
        let all = Standard { counts: bands(&[3.0, 45.0]), years: bands(&[110.0, 140.0]) };
        let against = all.against(&bands(&[1.0, 15.0]), &bands(&[10.0, 40.0])).expect("comparable");
        assert_eq!(against.peer_count, 32);
        assert!((against.expected() - 12.2).abs() < 1e-12);
    }

    #[test]
    fn an_age_the_peers_do_not_have_borrows_from_its_neighbours() {
        let all = Standard { counts: bands(&[5.0, 7.0]), years: bands(&[100.0, 20.0]) };
        let against = all.against(&bands(&[0.0, 7.0]), &bands(&[0.0, 20.0])).expect("comparable");
        assert!((against.expected() - 1.0).abs() < 1e-12, "5 in 100 over 20");
    }

    #[test]
    fn a_lot_without_peers_is_not_compared() {
        let all = Standard { counts: bands(&[5.0]), years: bands(&[100.0]) };
        assert_eq!(all.against(&bands(&[5.0]), &bands(&[100.0])), None);
    }
}
