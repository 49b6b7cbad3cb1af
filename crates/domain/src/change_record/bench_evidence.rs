//! What the bench says of two revisions of a part, side by side.

use crate::bench_test::TestOutcome;
use crate::field::{BenchFacts, Field, RevisionId};

/// Results of one revision under one method.
#[derive(Clone, Debug, PartialEq)]
pub struct BenchSide {
    /// Specimens measured or brought to failure.
    pub specimens: usize,
    /// Their mean, in the measure's unit.
    pub mean: f64,
    /// Their standard deviation; `None` below two specimens.
    pub deviation: Option<f64>,
    /// Specimens stopped before they failed: their strength is more than was measured.
    pub stopped: usize,
}

/// Both revisions under the same method and measure.
#[derive(Clone, Debug, PartialEq)]
pub struct BenchComparison {
    /// The method, by its standard.
    pub method: String,
    /// What was measured.
    pub measure: String,
    /// In which unit.
    pub measure_unit: String,
    /// The revision before.
    pub before: BenchSide,
    /// The revision after.
    pub after: BenchSide,
    /// Laboratories that tested, each once.
    pub laboratories: Vec<String>,
}

/// Every method and measure under which both revisions were tested. Different methods are never mixed: tear
/// or strength by two methods isn't interchangeable.
pub fn bench_comparisons(field: &Field, from: RevisionId, to: RevisionId) -> Vec<BenchComparison> {
    let mut keys: Vec<(&str, &str, &str)> =
        field.bench_tests.iter().filter(|t| t.revision == from || t.revision == to).map(key).collect();
    keys.sort_unstable();
    keys.dedup();
    keys.into_iter().filter_map(|of| compare(field, from, to, of)).collect()
}

fn key(facts: &BenchFacts) -> (&str, &str, &str) {
    (&facts.test.method, &facts.test.measure, &facts.test.measure_unit)
}

fn compare(
    field: &Field,
    from: RevisionId,
    to: RevisionId,
    of: (&str, &str, &str),
) -> Option<BenchComparison> {
    let tests: Vec<&BenchFacts> = field.bench_tests.iter().filter(|t| key(t) == of).collect();
    let side = |revision| side(tests.iter().filter(|t| t.revision == revision));
    let (before, after) = (side(from)?, side(to)?);
    let mut laboratories: Vec<String> = tests.iter().filter_map(|t| t.test.laboratory.clone()).collect();
    laboratories.sort_unstable();
    laboratories.dedup();
    let (method, measure, measure_unit) = (of.0.to_owned(), of.1.to_owned(), of.2.to_owned());
    Some(BenchComparison { method, measure, measure_unit, before, after, laboratories })
}

fn side<'a>(tests: impl Iterator<Item = &'a &'a BenchFacts>) -> Option<BenchSide> {
    let mut values = Vec::new();
    let mut stopped = 0;
    for facts in tests {
        match facts.test.outcome {
            TestOutcome::Stopped => stopped += 1,
            TestOutcome::Failed | TestOutcome::Measured => values.push(facts.test.value),
        }
    }
    if values.is_empty() {
        return None;
    }
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let squares: f64 = values.iter().map(|v| (v - mean).powi(2)).sum();
    let deviation = (values.len() > 1).then(|| (squares / (n - 1.0)).sqrt());
    Some(BenchSide { specimens: values.len(), mean, deviation, stopped })
}
