//! Evidence: what is frozen gives again what was shown, whatever happens to the books, and shows what was tampered with.

use domain::analysis::{Analysis, analyse};
use domain::bench_test::{BenchTest, TestOutcome};
use domain::change::{Change, ChangeState};
use domain::change_record::{
    Assessment, Prediction, PredictionBasis, RequirementCheck, Retrofit, Verdict, Written, assess,
};
use domain::evidence::{Evidence, FigureLine, Inputs, Stated, Value, compare, shown};
use domain::field::{Field, FieldBuilder};
use domain::proof_plan::ProofPlan;
use domain::requirement::{LimitKind, Measure, Requirement};
use domain::size_share::SizeShare;
use domain::weighing::Weighing;

use crate::analysis::mixed_cut_in_books;
use crate::common::{self, date};

const TODAY: &str = "2024-05-05";

/// The books of the mixed cut-in, with two sizes, weighings of both revisions, bench tests and requirements.
pub(crate) fn books() -> FieldBuilder {
    let mut b = mixed_cut_in_books();
    for (size, share_per_1000) in [("M", 600.0), ("L", 400.0)] {
        b.size_share(&SizeShare { part_no: "PACK".into(), size: size.into(), share_per_1000 })
            .expect("known");
    }
    for (revision, grams) in [("A", [41.2, 40.8, 41.5]), ("B", [44.0, 44.4, 43.7])] {
        for (at, mass_g) in grams.into_iter().enumerate() {
            b.weighing(&weighing(revision, at, mass_g)).expect("known");
            b.bench_test(&bench(revision, 10.0 * mass_g)).expect("known");
        }
    }
    for (number, measure, limit) in [
        ("3.2", Measure::MassG, 50.0),
        ("3.5", Measure::RatePer1000ItemYears, 8.0),
        ("3.9", Measure::Other, 0.0),
    ] {
        let other = measure == Measure::Other;
        b.requirement(&Requirement {
            item_part_no: "PACK".into(),
            requirement_no: number.into(),
            text: number.into(),
            measure: Some(measure),
            limit_kind: (!other).then_some(LimitKind::AtMost),
            limit: (!other).then_some(limit),
            configuration: None,
            size: None,
        })
        .expect("known");
    }
    b
}

pub(crate) fn weighing(revision: &str, at: usize, mass_g: f64) -> Weighing {
    let specimen = format!("{revision}{at}");
    Weighing { part_no: "ZIPPER".into(), revision: revision.into(), size: None, specimen, mass_g }
}

pub(crate) fn bench(revision: &str, value: f64) -> BenchTest {
    BenchTest {
        part_no: "ZIPPER".into(),
        revision: revision.into(),
        lot_no: None,
        purpose: None,
        method: "ASTM D2061".into(),
        measure: "crosswise strength".into(),
        specimen: value.to_string(),
        specimen_source: None,
        value,
        measure_unit: "N".into(),
        outcome: TestOutcome::Failed,
        conditioning: None,
        limit: None,
        limit_source: None,
        laboratory: None,
        tested_on: None,
    }
}

pub(crate) fn change(modes: &[String]) -> Change {
    Change {
        modes: modes.to_vec(),
        state: Some(ChangeState::CutIn),
        cut_in_lot: Some("A-14".into()),
        cut_in_on: Some(date("2024-01-01")),
        ..common::change("C-1", "ZIPPER")
    }
}

fn stated() -> Stated {
    Stated {
        prediction: Some(Prediction {
            basis: PredictionBasis::Bench,
            ratio_low: 0.2,
            ratio_best: 0.4,
            ratio_high: 0.8,
            source: "six specimens".into(),
        }),
        answers: vec![RequirementCheck {
            requirement_no: "3.9".into(),
            verdict: Verdict::NotAffected,
            figure: "the catch stays".into(),
        }],
        retrofit: Some(Retrofit::OnReturn),
        ..Stated::default()
    }
}

fn assessed<'a>(field: &'a Field, analysis: &Analysis, stated: &Stated, modes: &[String]) -> Assessment<'a> {
    let written = Written {
        problem: "",
        description: "",
        modes,
        prediction: stated.prediction.as_ref(),
        answers: &stated.answers,
        criteria: &stated.criteria,
        has_effectivity: false,
        retrofit: stated.retrofit,
        has_handling: false,
    };
    assess(field, analysis.changes.first(), written)
}

pub(crate) fn freeze(field: &Field) -> Evidence {
    freeze_with(field, &[], stated())
}

fn freeze_with(field: &Field, modes: &[String], stated: Stated) -> Evidence {
    let analysis = analyse(field, date(TODAY));
    let (plan, result) = (Some(ProofPlan::default()), &analysis.changes[0]);
    let figures = shown(field, result, &assessed(field, &analysis, &stated, modes), plan, date(TODAY));
    let inputs = Inputs::gather(field, result, date(TODAY), &change(modes), stated, plan);
    Evidence::freeze("approve", Vec::new(), inputs, figures).expect("what is shown follows from the inputs")
}

pub(crate) fn disagreeing(lines: &[FigureLine]) -> Vec<String> {
    lines.iter().filter(|line| !line.agrees()).map(|line| format!("{}: {}", line.group, line.name)).collect()
}

/// A figure as worked out anew.
pub(crate) fn worked(lines: &[FigureLine], group: &str, name: &str) -> Value {
    let of = |line: &&FigureLine| line.group == group && line.name == name;
    lines.iter().find(of).unwrap_or_else(|| panic!("{group}, {name}")).second.clone().expect("worked")
}

#[test]
fn what_was_shown_is_worked_out_again_from_the_frozen_inputs_alone() {
    let evidence = freeze(&books().build());
    let lines = evidence.verify().expect("inputs that go together");
    assert!(disagreeing(&lines).is_empty(), "{:?}", disagreeing(&lines));
    let value = |group: &str, name: &str| worked(&lines, group, name);
    // By hand, as in the test of the mixed cut-in: 12.6 expected of lot 14, 9 seen, a ratio of 0.25.
    let number = |group, name| value(group, name).number().expect("a number");
    assert!((number("Lots built partly to it", "failures expected") - 12.6).abs() < 1e-9);
    assert_eq!(value("Lots built partly to it", "failures"), Value::Count(9));
    assert!((number("Proof at equal age", "ratio") - 0.25).abs() < 1e-6);
    assert!((number("Grams, PACK in M", "before") - 41.166_666_666).abs() < 1e-6);
    assert_eq!(value("Requirement 3.9 of PACK", "verdict"), Value::Words("not affected".into()));
    assert_eq!(value("Class", "retrofit"), Value::Words("yes".into()));
    assert!(number("Bench, ASTM D2061: crosswise strength", "after, mean") > 440.0);
    assert!(number("Plan of the proof", "exposure needed for any look") > 0.0);
}

#[test]
fn a_weighing_added_later_changes_what_is_now_known_and_not_what_is_frozen() {
    let before = books().build();
    let evidence = freeze(&before);
    let mut b = FieldBuilder::resume(before);
    b.weighing(&weighing("B", 9, 60.0)).expect("known");
    let later = b.build();
    let (analysis, stated) = (analyse(&later, date(TODAY)), stated());
    let result = &analysis.changes[0];
    let assessed = assessed(&later, &analysis, &stated, &[]);
    let now = shown(&later, result, &assessed, evidence.inputs.plan, date(TODAY));
    let changed = disagreeing(&compare(&evidence.results, &now));
    assert!(changed.contains(&"Grams, PACK in M: after".to_owned()), "{changed:?}");
    assert!(
        !changed.iter().any(|name| name.ends_with(": before") || name.starts_with("Failures")),
        "{changed:?}"
    );
    assert!(disagreeing(&evidence.verify().expect("whole")).is_empty());
}

#[test]
fn tampering_with_an_input_or_a_result_is_found() {
    let whole = freeze(&books().build());
    let mut input = whole.clone();
    input.inputs.weighings[0].mass_g += 0.5;
    assert!(!disagreeing(&input.verify().expect("still goes together")).is_empty());
    let mut count = whole.clone();
    count.inputs.counts.by_age[0].after_count = 1;
    assert!(disagreeing(&count.verify().expect("whole")).contains(&"Proof at equal age: ratio".to_owned()));
    let mut result = whole.clone();
    result.results.pop();
    assert_eq!(disagreeing(&result.verify().expect("whole")).len(), 1);
    let mut torn = whole;
    torn.inputs.parts.clear();
    assert!(torn.verify().is_err());
}

#[test]
fn figures_that_do_not_follow_from_their_inputs_are_not_frozen() {
    let evidence = freeze(&books().build());
    let mut wrong = evidence.results.clone();
    wrong[0].value = Value::Number(1.0);
    let refused = Evidence::freeze("approve", Vec::new(), evidence.inputs, wrong).unwrap_err();
    assert!(refused.why.contains("can't be worked out"), "{refused}");
}

#[test]
fn a_method_of_another_version_is_named() {
    let mut evidence = freeze(&books().build());
    assert!(evidence.methods_changed().is_empty());
    let version = std::mem::take(&mut evidence.methods[0].version);
    let changed = evidence.methods_changed();
    assert_eq!(changed.len(), 1);
    assert_eq!(changed[0].1.as_ref().map(|now| now.version), Some(version));
}

/// By hand: 6 failures in 2,000 item-years are 3.0 per 1,000, with Garwood's limits of 6, 2.202 and 13.059, over 2. They are
/// those of the fastener, and the pack has other parts that fail, so that at most 8 of the pack is for a person to answer.
#[test]
fn a_limit_on_the_failures_of_an_item_is_not_met_by_those_of_one_of_its_parts() {
    let field = books().build();
    let figure = "ZIP-1 of ZIPPER: 3.0 per 1,000 item-years (1.1 to 6.5) against 8; other failures of PACK are not in it, so \
                  that it can't tell alone";
    let modes = ["ZIP-1".to_owned()];
    let of = |stated: Stated| {
        let analysis = analyse(&field, date(TODAY));
        let assessed = assessed(&field, &analysis, &stated, &modes);
        let waits = assessed.missing.iter().any(|one| one.what == "an answer to requirement 3.5");
        let asked = assessed
            .requirements
            .iter()
            .any(|line| line.facts.requirement.requirement_no == "3.5" && line.is_open && !line.by_figures);
        let lines = freeze_with(&field, &modes, stated).verify().expect("whole");
        assert!(disagreeing(&lines).is_empty(), "{:?}", disagreeing(&lines));
        let said = |name| worked(&lines, "Requirement 3.5 of PACK", name);
        (waits, asked, said("verdict"), said("rests on"))
    };
    let words = |text: &str| Value::Words(text.to_owned());
    assert_eq!(of(stated()), (true, true, words("not answered"), words(figure)));
    let mut answered = stated();
    answered.answers.push(RequirementCheck {
        requirement_no: "3.5".into(),
        verdict: Verdict::Met,
        figure: "All else brings 1 at most.".into(),
    });
    let both = format!("All else brings 1 at most. {figure}");
    assert_eq!(of(answered), (false, false, words("met"), words(&both)));
}

#[test]
fn a_plan_that_allows_for_scatter_between_units_says_so() {
    let mut inputs = freeze(&books().build()).inputs;
    let name = "scatter between units allowed for, times chance";
    let of = |inputs: &Inputs, name: &str| {
        let figures = inputs.results().expect("whole");
        figures.into_iter().find(|f| f.group == "Plan of the proof" && f.name == name).map(|f| f.value)
    };
    let number = |inputs: &Inputs, name| of(inputs, name).and_then(|value| value.number());
    let (once, any) = ("exposure needed for one look", "exposure needed for any look");
    let by_chance = [once, any].map(|name| number(&inputs, name));
    assert_eq!(of(&inputs, name), None);
    inputs.counts.scatter = Some(1.2);
    assert_eq!(of(&inputs, name), Some(Value::Number(1.2)));
    assert!(number(&inputs, once) > by_chance[0] && number(&inputs, any) > by_chance[1], "{by_chance:?}");
}
