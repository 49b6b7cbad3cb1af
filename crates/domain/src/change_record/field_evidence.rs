//! The evidence in the field's books that a share of failures left can be worked out from.

use stats::Confidence;
use stats::Interval;
use stats::lifetimes::Life as Lived;
use stats::product::Estimate;

use super::suggested::{Suggested, by_cycles, by_pilot, by_strength};
use super::{BenchComparison, PredictionBasis, bench_comparisons};
use crate::analysis::{Analysis, ChangeResult};
use crate::bench_test::TestOutcome;
use crate::field::{BenchFacts, ChangeFacts, Field, RevisionId};

/// Words in a measure's name that make it a count of use until failure.
const CYCLES: [&str; 2] = ["cycle", "stroke"];

/// Words that make it something else, measured after so much use.
const AFTER_USE: [&str; 1] = ["after"];

/// Words that make it a strength.
const STRENGTH: [&str; 5] = ["strength", "force", "breaking", "peel", "shear"];

/// Words that make it a force by which something is worked, of which less may be better: nothing is suggested from it.
const WORKED: [&str; 8] =
    ["release", "pull-to", "operat", "opening", "closing", "sliding", "insertion", "actuat"];

/// What is measured, as far as a suggestion hangs on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Measured {
    Cycles,
    Strength,
    Other,
}

impl Measured {
    fn of(measure: &str) -> Self {
        let measure = measure.to_lowercase();
        let named = |words: &[&str]| words.iter().any(|word| measure.contains(word));
        if named(&CYCLES) && !named(&AFTER_USE) {
            Self::Cycles
        } else if named(&STRENGTH) && !named(&WORKED) {
            Self::Strength
        } else {
            Self::Other
        }
    }
}

/// Words in a conditioning that wear or age a specimen; without any it only brings it to a standard atmosphere.
const WORN: [&str; 12] =
    ["abra", "aged", "ageing", "aging", "cycle", "light", "salt", "wash", "wear", "weather", "worn", "xenon"];

fn is_worn(conditioning: &str) -> bool {
    let conditioning = conditioning.to_lowercase();
    WORN.iter().any(|word| conditioning.contains(word))
}

/// Every suggestion that the books allow for a change, with the method and measure it comes from.
pub fn suggestions(field: &Field, analysis: &Analysis, result: &ChangeResult) -> Vec<(String, Suggested)> {
    let change = &field.changes[result.change];
    let confidence = Confidence::NINETY_FIVE;
    let mut found = Vec::new();
    for line in bench_comparisons(field, change.from, change.to) {
        let measured = Measured::of(&line.measure);
        let suggested = if measured == Measured::Cycles {
            let sides = (lives(field, &line, change.from), lives(field, &line, change.to));
            by_cycles((&sides.0, &sides.1), shape(analysis, change), confidence)
        } else if measured == Measured::Strength && line.before.stopped + line.after.stopped == 0 {
            let basis = if line.conditioning.as_deref().is_some_and(is_worn) {
                PredictionBasis::Retained
            } else {
                PredictionBasis::Strength
            };
            let sides = (values(field, &line, change.from), values(field, &line, change.to));
            let failing = result.rate_before.map_or(0.0, |rate| rate.estimate / 1000.0);
            by_strength(basis, (&sides.0, &sides.1), failing, confidence)
        } else {
            None
        };
        let conditioned = line.conditioning.as_deref().map(|how| format!(", {how}")).unwrap_or_default();
        found.extend(suggested.map(|one| (format!("{}: {}{conditioned}", line.method, line.measure), one)));
    }
    let pilot = result.pilots.and_then(|pilots| by_pilot(pilots.failures, pilots.expected, confidence));
    found.extend(pilot.map(|one| ("Pilot lots in the field".to_owned(), one)));
    found
}

fn of_line<'a>(
    field: &'a Field,
    line: &'a BenchComparison,
    revision: RevisionId,
) -> impl Iterator<Item = &'a BenchFacts> {
    field.bench_tests.iter().filter(move |facts| {
        let test = &facts.test;
        facts.revision == revision
            && (&test.method, &test.measure, &test.measure_unit, &test.conditioning)
                == (&line.method, &line.measure, &line.measure_unit, &line.conditioning)
    })
}

fn values(field: &Field, line: &BenchComparison, revision: RevisionId) -> Vec<f64> {
    of_line(field, line, revision).map(|facts| facts.test.value).collect()
}

fn lives(field: &Field, line: &BenchComparison, revision: RevisionId) -> Vec<Lived> {
    let lived = |facts: &BenchFacts| match facts.test.outcome {
        TestOutcome::Stopped => Lived::survived(facts.test.value),
        TestOutcome::Failed | TestOutcome::Measured => Lived::failed(facts.test.value),
    };
    of_line(field, line, revision).map(lived).collect()
}

/// The power of age that the change's failures follow, of the recurrence with most; steady, within a factor of 2.7 either
/// way, where none could be fitted.
fn shape(analysis: &Analysis, change: &ChangeFacts) -> Estimate {
    let of_change = analysis.recurrences.iter().filter(|r| change.cures(r.part, r.mode));
    let life = of_change.filter_map(|r| r.life.as_ref().ok()).max_by_key(|life| life.failures);
    match life {
        Some(life) => {
            // Without a useful upper limit the lower one's distance stands for both.
            let high = life.shape_high.unwrap_or(life.shape * life.shape / life.shape_low);
            Estimate { value: life.shape, interval: Interval { low: life.shape_low, high } }
        }
        None => Estimate { value: 1.0, interval: Interval { low: 1.0 / 2.7, high: 2.7 } },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_force_by_which_something_is_worked_is_no_strength() {
        let cases = [
            ("breaking force", Measured::Strength),
            ("seam strength after 1,000 cycles", Measured::Strength),
            ("cycles to failure", Measured::Cycles),
            ("pull-to-release force", Measured::Other),
            ("sliding force", Measured::Other),
            ("mass loss after 1000 cycles", Measured::Other),
        ];
        for (measure, is) in cases {
            assert_eq!(Measured::of(measure), is, "{measure}");
        }
    }

    #[test]
    fn a_standard_atmosphere_wears_nothing_and_abrasion_does() {
        assert!(!is_worn("20 C, 65 % humidity"));
        assert!(is_worn("After 2,500 cycles on the hex bar") && is_worn("Abraded") && is_worn("40 h xenon"));
    }
}
