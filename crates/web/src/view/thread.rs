//! The thread: a stitched seam with dated stations, sewn up to where a record is and basted beyond; it may branch.

use chrono::NaiveDate;
use serde::Serialize;

use crate::format;

/// The whole seam.
#[derive(Clone, Debug, Serialize)]
pub struct Thread {
    strand: Strand,
}

/// A run of stations, and the strands that it branches into.
#[derive(Clone, Debug, Serialize)]
pub struct Strand {
    stations: Vec<StationView>,
    branches: Vec<Strand>,
    /// Whether the seam that leads here is sewn.
    sewn: bool,
}

/// How far a station has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sewn {
    /// Reached.
    Reached,
    /// Reached, and the record that the reader looks at.
    Here,
    /// Not reached.
    Ahead,
}

/// One station.
#[derive(Clone, Debug)]
pub struct Station {
    /// `report`, `recurrence`, `change`, `cut-in`, `proof`, `answer`.
    pub word: &'static str,
    /// Which one: `2026-014`, `9 reports`.
    pub name: String,
    /// Where it leads.
    pub address: Option<String>,
    /// When it was reached, or is planned for.
    pub day: Option<NaiveDate>,
    /// How far it has come.
    pub sewn: Sewn,
}

#[derive(Clone, Debug, Serialize)]
struct StationView {
    word: &'static str,
    name: String,
    address: Option<String>,
    date: Option<String>,
    reached: bool,
    here: bool,
    /// From 1 to 8: how wide the gap to the next station is.
    gap: u8,
    /// The gap in words.
    wait: Option<String>,
    /// Whether the seam to the next station is sewn.
    onward: bool,
    last: bool,
}

impl Strand {
    /// A run of stations in order. `today` measures the wait at the last one reached.
    pub fn new(stations: Vec<Station>, branches: Vec<Self>, today: NaiveDate) -> Self {
        let next_of_branches = branches.iter().any(|strand| strand.sewn);
        let views = stations.iter().enumerate().map(|(at, station)| {
            let next = stations.get(at + 1);
            // An answer may come before a proof; the seam to it is sewn only from what was reached.
            let reached = station.sewn != Sewn::Ahead;
            let onward = reached && next.map_or(next_of_branches, |next| next.sewn != Sewn::Ahead);
            let until = next.and_then(|next| next.day).unwrap_or(today);
            let is_last = next.is_none() && branches.is_empty();
            let gap_days = station.day.filter(|_| reached && !is_last).map(|day| (until - day).num_days());
            StationView {
                word: station.word,
                name: station.name.clone(),
                address: station.address.clone(),
                date: station.day.map(format::date),
                reached,
                here: station.sewn == Sewn::Here,
                gap: gap_days.map_or(3, gap_width),
                wait: station.day.filter(|_| gap_days.is_some()).map(|day| format::span(day, until)),
                onward,
                last: is_last,
            }
        });
        let sewn = stations.first().is_some_and(|station| station.sewn != Sewn::Ahead);
        Self { stations: views.collect(), branches, sewn }
    }
}

impl Thread {
    /// A seam that starts with this strand.
    pub fn new(strand: Strand) -> Self {
        Self { strand }
    }

    /// One change of two cut in, for samples.
    pub fn sample() -> Self {
        let day = |text: &str| text.parse::<NaiveDate>().ok();
        let station = |word, name: &str, when: Option<&str>, sewn| Station {
            word,
            name: name.to_owned(),
            address: (sewn != Sewn::Ahead).then(|| format!("/{word}")),
            day: when.and_then(day),
            sewn,
        };
        let today = day("2026-11-20").unwrap_or_default();
        let quick = vec![
            station("change", "2026-014", Some("2026-05-11"), Sewn::Reached),
            station("cut-in", "lot TB-0431", Some("2026-08-03"), Sewn::Reached),
            station("proof", "due", Some("2027-02-01"), Sewn::Ahead),
            station("answer", "", None, Sewn::Ahead),
        ];
        let slow = vec![
            station("change", "2026-021", Some("2026-10-02"), Sewn::Reached),
            station("cut-in", "", None, Sewn::Ahead),
            station("proof", "", None, Sewn::Ahead),
            station("answer", "", None, Sewn::Ahead),
        ];
        let branches = vec![Strand::new(quick, Vec::new(), today), Strand::new(slow, Vec::new(), today)];
        let trunk = vec![
            station("report", "first of 9", Some("2025-11-14"), Sewn::Reached),
            station("recurrence", "cable tube, pulled out", Some("2026-03-03"), Sewn::Here),
        ];
        Self::new(Strand::new(trunk, branches, today))
    }
}

/// A gap's width grows with its days, but slower, so that a year doesn't push a week off the page.
fn gap_width(days: i64) -> u8 {
    match days {
        ..=3 => 1,
        4..=14 => 2,
        15..=45 => 3,
        46..=90 => 4,
        91..=180 => 5,
        181..=365 => 6,
        366..=730 => 7,
        _ => 8,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_seam_is_sewn_up_to_the_last_station_reached_and_basted_beyond() {
        let strand = Thread::sample().strand;
        assert!(strand.stations[0].onward && strand.stations[1].onward);
        let branch = &strand.branches[0];
        let onward: Vec<bool> = branch.stations.iter().map(|station| station.onward).collect();
        assert_eq!(onward, [true, false, false, false]);
        assert!(branch.stations[3].last && !branch.stations[2].last);
    }

    #[test]
    fn gaps_are_real_and_said() {
        let strand = Thread::sample().strand;
        assert_eq!(strand.stations[0].wait.as_deref(), Some("4 months"));
        assert_eq!(strand.branches[0].stations[0].wait.as_deref(), Some("12 weeks"));
        assert_eq!(strand.branches[0].stations[2].wait, None, "what isn't reached hasn't waited");
    }
}
