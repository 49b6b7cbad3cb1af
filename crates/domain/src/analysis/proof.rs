//! Proof: did the failures fall after the change, at equal age in service, and is that shown however often one looks.

use stats::stratified::{StratifiedRatio, Stratum, mantel_haenszel, mid_p};
use stats::{Interval, anytime};

use super::CONFIDENCE;
use crate::words::words;

words! {
    /// What the comparison says.
    pub enum ProofVerdict {
        /// The anytime interval lies below 1.
        Worked = "worked",
        /// It includes 1, though the ratio worth having would have been shown by now.
        NotShown = "not shown",
        /// It lies above 1.
        Worse = "worse",
        /// It includes 1, and the ratio worth having could not have been shown yet.
        TooEarly = "too early",
    }
}

/// The ratio of rates, after over before, that a change is worth having at unless its plan says another.
pub const RATIO_WORTH_HAVING: f64 = 0.5;

/// Above this many failures the Mantel-Haenszel limits stand in for the conditional ones, from which they no longer
/// differ visibly.
const MANY: u64 = 5000;

/// A comparison before and after at equal age in service.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Proof {
    /// Rate after over rate before; `None` where no failure is at an age that both sides reached, or none before.
    pub ratio: Option<f64>,
    /// Variance of the ratio's logarithm over that by chance alone, for scatter between units; 1 where none is shown.
    pub scatter: f64,
    /// Lower 95 % limit, age-stratified mid-P and widened by the scatter, for one look at a date fixed beforehand.
    pub low: Option<f64>,
    /// Upper limit; `None` where there is none.
    pub high: Option<f64>,
    /// Lower limit that holds however often one looks, widened in the same way.
    pub anytime_low: Option<f64>,
    /// Upper limit that holds however often one looks; `None` where there is none.
    pub anytime_high: Option<f64>,
    /// Doubled mid-P at a ratio of 1, raised by the scatter.
    pub p_value: Option<f64>,
    /// What the anytime interval says.
    pub verdict: ProofVerdict,
    /// Failures before, at ages both sides reached.
    pub failures_before: u64,
    /// Failures after, at such ages.
    pub failures_after: u64,
    /// Item-years before, at such ages.
    pub item_years_before: f64,
    /// Item-years after, at such ages.
    pub item_years_after: f64,
    /// Failures expected after if nothing had changed.
    pub expected_after: f64,
}

/// What tells whether a change would have been shown by now.
#[derive(Clone, Copy)]
struct SoFar {
    /// Failures before.
    failures_before: u64,
    /// Failures expected after if nothing had changed.
    expected_after: f64,
    /// As [`Proof::scatter`].
    scatter: f64,
}

/// Compares the two sides; `None` where one has no exposure. The ratio worth having tells too early from not shown.
pub(super) fn proof(by_age: &[Stratum], scatter: f64, ratio_worth_having: f64) -> Option<Proof> {
    let total = |side: fn(&Stratum) -> f64| by_age.iter().map(side).sum::<f64>();
    if total(|s| s.before_exposure) <= 0.0 || total(|s| s.after_exposure) <= 0.0 {
        return None;
    }
    let strata = shared(by_age);
    let fixed = fixed_date(&strata).map(|fixed| fixed.widened(scatter));
    let centre = fixed.map_or(0.0, |fixed| fixed.estimate);
    let any = anytime::ratio(&strata, CONFIDENCE).ok().map(|any| any.widened(centre, scatter));
    let expected_after: f64 =
        strata.iter().map(|s| s.before_count as f64 / s.before_exposure * s.after_exposure).sum();
    let failures_before = strata.iter().map(|s| s.before_count).sum();
    let finite = |value: f64| value.is_finite().then_some(value);
    Some(Proof {
        ratio: fixed.and_then(|f| finite(f.estimate)),
        scatter,
        low: fixed.and_then(|f| finite(f.low)),
        high: fixed.and_then(|f| finite(f.high)),
        anytime_low: any.and_then(|a| finite(a.low)),
        anytime_high: any.and_then(|a| finite(a.high)),
        p_value: fixed.and_then(|f| finite(f.p_value)),
        verdict: verdict(any, SoFar { failures_before, expected_after, scatter }, ratio_worth_having),
        failures_before,
        failures_after: strata.iter().map(|s| s.after_count).sum(),
        item_years_before: strata.iter().map(|s| s.before_exposure).sum(),
        item_years_after: strata.iter().map(|s| s.after_exposure).sum(),
        expected_after,
    })
}

/// The ages that both sides reached.
pub(super) fn shared(by_age: &[Stratum]) -> Vec<Stratum> {
    let is_shared = |s: &&Stratum| s.before_exposure > 0.0 && s.after_exposure > 0.0;
    by_age.iter().filter(is_shared).copied().collect()
}

/// The common ratio with limits for one look; `None` without any failure at a shared age.
pub(super) fn fixed_date(strata: &[Stratum]) -> Option<StratifiedRatio> {
    let failures: u64 = strata.iter().map(|s| s.before_count + s.after_count).sum();
    if failures > MANY
        && let Ok(ratio) = mantel_haenszel(strata, CONFIDENCE)
    {
        return Some(ratio);
    }
    mid_p(strata, CONFIDENCE).ok()
}

impl Proof {
    /// The verdict for a change planned to be worth it at another ratio than [`RATIO_WORTH_HAVING`].
    pub fn verdict_at(&self, ratio_worth_having: f64) -> ProofVerdict {
        match self.verdict {
            ProofVerdict::Worked | ProofVerdict::Worse => self.verdict,
            ProofVerdict::NotShown | ProofVerdict::TooEarly if self.anytime_low.is_none() => {
                ProofVerdict::TooEarly
            }
            ProofVerdict::NotShown | ProofVerdict::TooEarly => {
                let Self { failures_before, expected_after, scatter, .. } = *self;
                unclear(SoFar { failures_before, expected_after, scatter }, ratio_worth_having)
            }
        }
    }
}

fn verdict(any: Option<Interval>, so_far: SoFar, ratio_worth_having: f64) -> ProofVerdict {
    match any {
        Some(any) if any.high < 1.0 => ProofVerdict::Worked,
        Some(any) if any.low > 1.0 => ProofVerdict::Worse,
        Some(_) => unclear(so_far, ratio_worth_having),
        None => ProofVerdict::TooEarly,
    }
}

/// What an interval around 1 says.
fn unclear(so_far: SoFar, ratio_worth_having: f64) -> ProofVerdict {
    if would_show(so_far, ratio_worth_having) { ProofVerdict::NotShown } else { ProofVerdict::TooEarly }
}

/// Whether a change to a ratio would by now have been shown, had just its share of the failures expected come.
fn would_show(so_far: SoFar, ratio: f64) -> bool {
    let SoFar { failures_before, expected_after, scatter } = so_far;
    let after_count = (ratio * expected_after).round() as u64;
    let share = Stratum {
        before_count: failures_before,
        before_exposure: failures_before as f64,
        after_count,
        after_exposure: expected_after,
    };
    let centre = after_count as f64 / expected_after;
    anytime::ratio(&[share], CONFIDENCE).is_ok_and(|limits| limits.widened(centre, scatter).high < 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn compare(before: (u64, f64), after: (u64, f64)) -> Option<Proof> {
        let row = Stratum {
            before_count: before.0,
            before_exposure: before.1,
            after_count: after.0,
            after_exposure: after.1,
        };
        proof(&[row], 1.0, RATIO_WORTH_HAVING)
    }

    /// 48 in 4,000 before, 6 in 2,000 after, at one age: ratio 0.25. The exact limits of the conditional binomial are
    /// 0.087 to 0.585 (computed); mid-P limits lie inside them.
    #[test]
    fn a_fall_to_a_quarter_is_shown() {
        let proof = compare((48, 4000.0), (6, 2000.0)).expect("exposure on both sides");
        assert!((proof.ratio.expect("failures") - 0.25).abs() < 1e-9);
        let row =
            Stratum { before_count: 48, before_exposure: 4000.0, after_count: 6, after_exposure: 2000.0 };
        let exact = stats::stratified::exact(&[row], CONFIDENCE).expect("failures");
        assert_eq!([exact.low, exact.high].map(|x| (1000.0 * x).round()), [87.0, 585.0]);
        assert!(proof.low > Some(exact.low) && proof.high < Some(exact.high));
        assert_eq!(proof.verdict, ProofVerdict::Worked);
        assert_eq!((proof.expected_after, proof.failures_after), (24.0, 6));
    }

    /// 18 in 2,400 before, 2 in 1,500 after (computed): ratio 0.1778, exact 0.0200 to 0.7425, one-sided p 0.005321. The
    /// anytime interval is wider and still below 1.
    #[test]
    fn eighteen_before_and_two_after_give_the_known_figures() {
        use stats::Exposure;
        use stats::rate_ratio::{Group, ratio, test};
        let group = |count, years| Group { count, exposure: Exposure::new(years).expect("positive") };
        let (after, before) = (group(2, 1500.0), group(18, 2400.0));
        let exact = ratio(after, before, CONFIDENCE);
        let four = [exact.estimate, exact.low, exact.high].map(|x| (10_000.0 * x).round());
        assert_eq!(four, [1778.0, 200.0, 7425.0]);
        let one_sided = test(after, before, 1.0).expect("in range").less;
        assert_eq!((1e6 * one_sided).round(), 5321.0);
        let proof = compare((18, 2400.0), (2, 1500.0)).expect("exposure on both sides");
        assert!((proof.ratio.expect("failures") - exact.estimate).abs() < 1e-9);
        assert!(
            proof.anytime_low.expect("finite") < exact.low
                && proof.anytime_high.expect("finite") > exact.high
        );
    }

    /// Neither shown nor refuted: whether it is too early hangs on what the change is worth having at.
    #[test]
    fn a_change_worth_having_only_at_a_tenth_is_not_shown_sooner_than_one_worth_it_at_a_half() {
        let proof = compare((60, 4000.0), (15, 1500.0)).expect("exposure on both sides");
        assert_eq!(proof.verdict, ProofVerdict::TooEarly);
        assert_eq!(proof.verdict_at(0.1), ProofVerdict::NotShown);
        assert_eq!(proof.verdict_at(0.8), ProofVerdict::TooEarly);
    }

    /// Four times the variance is twice the distance on the logarithm, for one look and for as many as one likes; what was
    /// shown by chance alone no longer is.
    #[test]
    fn scatter_between_units_widens_the_limits() {
        let row =
            Stratum { before_count: 48, before_exposure: 4000.0, after_count: 6, after_exposure: 2000.0 };
        let of = |scatter| proof(&[row], scatter, RATIO_WORTH_HAVING).expect("exposure on both sides");
        let (chance, wide) = (of(1.0), of(4.0));
        let away = |proof: &Proof, limit: fn(&Proof) -> Option<f64>| {
            proof.ratio.zip(limit(proof)).map(|(ratio, limit)| (limit / ratio).ln()).expect("failures")
        };
        for limit in
            [|p: &Proof| p.low, |p: &Proof| p.high, |p: &Proof| p.anytime_low, |p: &Proof| p.anytime_high]
        {
            assert!((away(&wide, limit) - 2.0 * away(&chance, limit)).abs() < 1e-9);
        }
        assert!(wide.p_value > chance.p_value && wide.ratio == chance.ratio);
        assert_eq!((chance.verdict, wide.verdict), (ProofVerdict::Worked, ProofVerdict::TooEarly));
    }

    /// None after has no logarithm, and what scatters tells as little of it: the limit is as many times as far.
    #[test]
    fn scatter_between_units_widens_the_limits_of_none_after_too() {
        let row =
            Stratum { before_count: 48, before_exposure: 4000.0, after_count: 0, after_exposure: 1000.0 };
        let of = |scatter| proof(&[row], scatter, RATIO_WORTH_HAVING).expect("exposure on both sides");
        let (chance, wide) = (of(1.0), of(2.0));
        for limit in [|p: &Proof| p.high, |p: &Proof| p.anytime_high] {
            let (near, far) = (limit(&chance).expect("finite"), limit(&wide).expect("finite"));
            assert!((far / near - 2.0).abs() < 1e-9);
        }
        assert_eq!((chance.verdict, wide.verdict), (ProofVerdict::Worked, ProofVerdict::TooEarly));
    }

    #[test]
    fn nothing_seen_in_little_exposure_is_too_early() {
        let proof = compare((10, 4000.0), (0, 200.0)).expect("exposure on both sides");
        assert_eq!((proof.ratio, proof.verdict), (Some(0.0), ProofVerdict::TooEarly));
    }

    #[test]
    fn as_many_as_before_is_not_shown() {
        let proof = compare((200, 4000.0), (180, 4000.0)).expect("exposure on both sides");
        assert_eq!(proof.verdict, ProofVerdict::NotShown);
    }

    #[test]
    fn without_any_failure_there_is_a_proof_but_no_ratio() {
        let proof = compare((0, 4000.0), (0, 4000.0)).expect("exposure on both sides");
        assert_eq!((proof.ratio, proof.verdict), (None, ProofVerdict::TooEarly));
        assert!(compare((3, 10.0), (0, 0.0)).is_none());
    }
}
