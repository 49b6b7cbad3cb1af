//! What the bench says of two revisions of a part, side by side.

use crate::bench_test::TestOutcome;
use crate::field::{BenchFacts, Field, RevisionId};

/// Results of one revision under one method.
#[derive(Clone, Debug, PartialEq)]
pub struct BenchSide {
    /// Specimens measured or brought to failure.
    pub specimens: usize,
    /// Their mean, in the measure's unit; `None` where all were stopped before they failed.
    pub mean: Option<f64>,
    /// Their standard deviation; `None` below two specimens.
    pub deviation: Option<f64>,
    /// Specimens stopped before they failed: their strength is more than was measured.
    pub stopped: usize,
    /// The lowest and the highest value at which specimens were stopped, in the measure's unit; `None` where none was.
    pub stopped_at: Option<(f64, f64)>,
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
    /// How specimens were worn or aged before; `None` for new ones.
    pub conditioning: Option<String>,
    /// The revision before.
    pub before: BenchSide,
    /// The revision after.
    pub after: BenchSide,
    /// Laboratories that tested, each once.
    pub laboratories: Vec<String>,
}

/// Every method and measure under which both revisions were tested. Different methods are never mixed: tear
/// or strength by two methods isn't interchangeable, nor is that of new specimens and worn ones.
pub fn bench_comparisons(field: &Field, from: RevisionId, to: RevisionId) -> Vec<BenchComparison> {
    let mut keys: Vec<Key<'_>> =
        field.bench_tests.iter().filter(|t| t.revision == from || t.revision == to).map(key).collect();
    keys.sort_unstable();
    keys.dedup();
    keys.into_iter().filter_map(|of| compare(field, from, to, of)).collect()
}

/// Method, measure, unit and conditioning.
type Key<'a> = (&'a str, &'a str, &'a str, Option<&'a str>);

fn key(facts: &BenchFacts) -> Key<'_> {
    let test = &facts.test;
    (&test.method, &test.measure, &test.measure_unit, test.conditioning.as_deref())
}

fn compare(field: &Field, from: RevisionId, to: RevisionId, of: Key<'_>) -> Option<BenchComparison> {
    let compared = |t: &&BenchFacts| key(t) == of && (t.revision == from || t.revision == to);
    let tests: Vec<&BenchFacts> = field.bench_tests.iter().filter(compared).collect();
    let side = |revision| side(tests.iter().filter(|t| t.revision == revision));
    let (before, after) = (side(from)?, side(to)?);
    let mut laboratories: Vec<String> = tests.iter().filter_map(|t| t.test.laboratory.clone()).collect();
    laboratories.sort_unstable();
    laboratories.dedup();
    let (method, measure, measure_unit) = (of.0.to_owned(), of.1.to_owned(), of.2.to_owned());
    let conditioning = of.3.map(str::to_owned);
    Some(BenchComparison { method, measure, measure_unit, conditioning, before, after, laboratories })
}

/// One revision; `None` where no specimen of it was tested.
fn side<'a>(tests: impl Iterator<Item = &'a &'a BenchFacts>) -> Option<BenchSide> {
    let (mut values, mut stopped) = (Vec::new(), Vec::new());
    for facts in tests {
        match facts.test.outcome {
            TestOutcome::Stopped => stopped.push(facts.test.value),
            TestOutcome::Failed | TestOutcome::Measured => values.push(facts.test.value),
        }
    }
    if values.is_empty() && stopped.is_empty() {
        return None;
    }
    let n = values.len() as f64;
    let mean = (!values.is_empty()).then(|| values.iter().sum::<f64>() / n);
    let deviation = mean.filter(|_| values.len() > 1).map(|mean| {
        let squares: f64 = values.iter().map(|v| (v - mean).powi(2)).sum();
        (squares / (n - 1.0)).sqrt()
    });
    let lowest = stopped.iter().copied().reduce(f64::min);
    let stopped_at = lowest.zip(stopped.iter().copied().reduce(f64::max));
    Some(BenchSide { specimens: values.len(), mean, deviation, stopped: stopped.len(), stopped_at })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench_test::BenchTest;
    use crate::nouns::{builder, part};

    fn test(revision: &str, method: &str, value: f64, outcome: TestOutcome) -> BenchTest {
        BenchTest {
            part_no: "ZIP-9".into(),
            revision: revision.into(),
            lot_no: None,
            purpose: None,
            method: method.into(),
            measure: "crosswise strength".into(),
            specimen: value.to_string(),
            specimen_source: None,
            value,
            measure_unit: "N".into(),
            outcome,
            conditioning: None,
            limit: None,
            limit_source: None,
            laboratory: Some(format!("Laboratory {revision}")),
            tested_on: None,
        }
    }

    fn compared(tests: &[BenchTest]) -> Vec<BenchComparison> {
        let mut b = builder();
        for revision in ["A", "B", "C"] {
            b.part(&part("ZIP-9", revision, "ZIP")).expect("new");
        }
        for test in tests {
            b.bench_test(test).expect("known part");
        }
        let field = b.build();
        let of = |revision| field.find_revision("ZIP-9", revision).expect("known");
        bench_comparisons(&field, of("A"), of("B"))
    }

    /// 400, 410, 420 N: mean 410, standard deviation 10 (worked by hand).
    #[test]
    fn each_side_has_its_mean_and_deviation_and_counts_what_was_stopped() {
        use TestOutcome::{Failed, Measured, Stopped};
        let found = compared(&[
            test("A", "ASTM D2061", 400.0, Failed),
            test("A", "ASTM D2061", 410.0, Measured),
            test("A", "ASTM D2061", 420.0, Failed),
            test("B", "ASTM D2061", 500.0, Failed),
            test("B", "ASTM D2061", 600.0, Stopped),
        ]);
        assert_eq!(found.len(), 1);
        let (before, after) = (&found[0].before, &found[0].after);
        assert_eq!((before.specimens, before.mean, before.stopped_at), (3, Some(410.0), None));
        assert!((before.deviation.expect("three") - 10.0).abs() < 1e-12);
        assert_eq!((after.specimens, after.mean, after.deviation), (1, Some(500.0), None));
        assert_eq!((after.stopped, after.stopped_at), (1, Some((600.0, 600.0))));
    }

    /// The best that a bench can show: none of the new ones failed before it was stopped.
    #[test]
    fn a_revision_none_of_which_failed_is_compared_by_what_its_specimens_stood() {
        use TestOutcome::{Failed, Stopped};
        let found = compared(&[
            test("A", "hex bar", 2100.0, Failed),
            test("A", "hex bar", 1900.0, Failed),
            test("B", "hex bar", 5000.0, Stopped),
            test("B", "hex bar", 4000.0, Stopped),
        ]);
        assert_eq!(found.len(), 1);
        let (before, after) = (&found[0].before, &found[0].after);
        assert_eq!((before.mean, before.stopped), (Some(2000.0), 0));
        assert_eq!((after.specimens, after.mean, after.deviation), (0, None, None));
        assert_eq!((after.stopped, after.stopped_at), (2, Some((4000.0, 5000.0))));
        assert_eq!(compared(&[test("B", "hex bar", 5000.0, Stopped)]), [], "nothing of the old ones");
    }

    #[test]
    fn two_methods_are_never_compared_and_a_third_revision_lends_nothing() {
        use TestOutcome::Failed;
        let found = compared(&[
            test("A", "ASTM D2061", 400.0, Failed),
            test("B", "ISO 13934-1", 500.0, Failed),
            test("C", "ASTM D2061", 450.0, Failed),
        ]);
        assert_eq!(found, []);
        let both = [test("A", "m", 1.0, Failed), test("B", "m", 2.0, Failed), test("C", "m", 3.0, Failed)];
        assert_eq!(compared(&both)[0].laboratories, ["Laboratory A", "Laboratory B"]);
    }
}
