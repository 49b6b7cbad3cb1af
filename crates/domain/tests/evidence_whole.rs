//! Evidence of several items, sizes, methods and plans: all that a record rests on is frozen, each figure by itself.

use domain::bench_test::{BenchTest, TestOutcome};
use domain::evidence::{FigureLine, Value};
use domain::field::FieldBuilder;
use domain::lot::Lot;
use domain::proof_plan::ProofPlan;
use domain::requirement::{LimitKind, Measure, Requirement};
use domain::size_share::SizeShare;
use domain::weighing::Weighing;
use stats::stratified::Stratum;

use crate::common::{self, builder, component, lot, part, small};
use crate::evidence::{bench, books, disagreeing, freeze, weighing, worked};

fn at_most_grams(number: &str, limit: f64, size: Option<&str>) -> Requirement {
    Requirement {
        item_part_no: "PACK".into(),
        requirement_no: number.into(),
        text: number.into(),
        measure: Some(Measure::MassG),
        limit_kind: Some(LimitKind::AtMost),
        limit: Some(limit),
        configuration: None,
        size: size.map(Into::into),
    }
}

/// What is frozen of some books, which must follow from its inputs.
fn frozen(b: FieldBuilder) -> Vec<FigureLine> {
    let lines = freeze(&b.build()).verify().expect("inputs that go together");
    assert!(disagreeing(&lines).is_empty(), "{:?}", disagreeing(&lines));
    lines
}

/// Everything that was worked out under one name.
fn all_worked(lines: &[FigureLine], group: &str, name: &str) -> Vec<Value> {
    let of = lines.iter().filter(|line| line.group == group && line.name == name);
    of.map(|line| line.second.clone().expect("worked")).collect()
}

/// Its lots tell the sizes of a pack without a tariff. The first in L is of a revision from before it had a fastener; and M, which
/// was made before L, was weighed after it. Both are above the limit, so that the first of them is what the verdict rests on.
#[test]
fn sizes_told_by_lots_of_any_revision_are_frozen_in_their_order() {
    let mut b = small(&[]);
    for (part_no, revision, kind) in [("PACK", "0", "ITEM"), ("PACK", "B", "ITEM"), ("ZIPPER", "B", "ZIP")] {
        b.part(&part(part_no, revision, kind)).expect("new revision");
    }
    b.component(&component(("PACK", "B"), ("ZIPPER", "B"), 1.0)).expect("known");
    for (size, grams) in [("L", 60.0), ("M", 55.0)] {
        for (at, revision) in ["A", "B"].into_iter().enumerate() {
            for mass_g in [grams, grams + 0.2] {
                let sized = Weighing { size: Some(size.into()), ..weighing(revision, at, mass_g) };
                b.weighing(&sized).expect("known");
            }
        }
    }
    for (lot_no, revision, size) in [("P-1", "A", "M"), ("P-0", "0", "L"), ("P-2", "B", "L")] {
        b.lot(&Lot { size: Some(size.into()), ..lot(lot_no, "PACK", revision) }).expect("new lot");
    }
    b.requirement(&at_most_grams("3.2", 50.0, None)).expect("known");
    b.change(&common::change("C-1", "ZIPPER")).expect("known");
    let lines = frozen(b);
    // By hand: two specimens 0.2 g apart, s/sqrt(2) = 0.1 g, t(1) 12.7.
    let figure = Value::Words("55 g \u{b1} 1 g M, against 50 g".into());
    assert_eq!(worked(&lines, "Requirement 3.2 of PACK", "rests on"), figure);
}

/// PACK came before SACK, but got the fastener later: the tariff mean is that of the first item on record, which gains 3 g with
/// one fastener, and not the 6 g of the other with two.
#[test]
fn the_first_item_on_record_is_the_first_in_the_evidence() {
    let mut b = builder();
    for (part_no, revision, kind) in [
        ("PACK", "A", "ITEM"),
        ("SACK", "A", "ITEM"),
        ("PACK", "B", "ITEM"),
        ("ZIPPER", "A", "ZIP"),
        ("ZIPPER", "B", "ZIP"),
    ] {
        b.part(&part(part_no, revision, kind)).expect("new revision");
    }
    for (item, quantity) in [(("SACK", "A"), 2.0), (("PACK", "B"), 1.0)] {
        b.component(&component(item, ("ZIPPER", "A"), quantity)).expect("known");
        let share = SizeShare { part_no: item.0.into(), size: "M".into(), share_per_1000: 1000.0 };
        b.size_share(&share).expect("known");
    }
    let weighed = [("A", 41.0), ("A", 41.2), ("B", 44.0), ("B", 44.2)];
    for (at, (revision, mass_g)) in weighed.into_iter().enumerate() {
        b.weighing(&weighing(revision, at, mass_g)).expect("known");
    }
    b.change(&common::change("C-1", "ZIPPER")).expect("known");
    let mean = worked(&frozen(b), "Grams, mean over the tariff", "difference");
    assert!((mean.number().expect("weighed") - 3.0).abs() < 1e-9, "{mean:?}");
}

/// A kit got the fastener with the change: the rate after is that of both items, and of neither alone.
#[test]
fn an_item_that_has_the_part_after_the_change_alone_is_in_the_evidence() {
    let mut b = books();
    b.part(&part("KIT", "A", "ITEM")).expect("new part");
    b.component(&component(("KIT", "A"), ("ZIPPER", "B"), 1.0)).expect("known");
    let said = worked(&frozen(b), "Requirement 3.5 of PACK", "rests on");
    let together = "the rate is that of PACK, KIT together";
    assert!(matches!(&said, Value::Words(words) if words.contains(together)), "{said:?}");
}

/// By hand: the fasteners weigh 44.0, 44.4 and 43.7 g after, 44.03 on average, s/sqrt(3) 0.203 g and t(2) 4.30: at least 43.2 g.
#[test]
fn limits_for_two_sizes_under_one_number_are_two_figures() {
    let mut b = books();
    for (size, limit) in [("M", 50.0), ("L", 43.0)] {
        b.requirement(&at_most_grams("3.3", limit, Some(size))).expect("known");
    }
    let verdicts = all_worked(&frozen(b), "Requirement 3.3 of PACK", "verdict");
    assert_eq!(verdicts, ["met", "not met"].map(Value::from));
}

/// Another laboratory tells the same method's strength in pounds-force.
#[test]
fn a_method_told_in_two_units_is_two_figures() {
    let mut b = books();
    for (revision, value) in [("A", 90.0), ("B", 101.0)] {
        b.bench_test(&BenchTest { measure_unit: "lbf".into(), ..bench(revision, value) }).expect("known");
    }
    let lines = frozen(b);
    let means = lines.iter().filter(|line| line.name == "after, mean").map(|line| line.unit.as_str());
    assert_eq!(means.collect::<Vec<_>>(), ["N", "lbf"]);
}

#[test]
fn a_revision_none_of_which_failed_on_the_bench_is_frozen_with_what_its_specimens_stood() {
    let mut b = books();
    for (revision, value, outcome) in [
        ("A", 2000.0, TestOutcome::Failed),
        ("B", 4000.0, TestOutcome::Stopped),
        ("B", 5000.0, TestOutcome::Stopped),
    ] {
        let method = "hex bar".into();
        b.bench_test(&BenchTest { method, outcome, ..bench(revision, value) }).expect("known");
    }
    let lines = frozen(b);
    let names = ["mean", "stopped", "stopped at, lowest", "stopped at, highest"];
    let of = |name| worked(&lines, "Bench, hex bar: crosswise strength", &format!("after, {name}"));
    let told = [Value::Unknown, Value::Count(2), Value::Number(4000.0), Value::Number(5000.0)];
    assert_eq!(names.map(of), told);
}

/// 60 failures in 4,000 item-years and 15 in 1,500: too early to tell at a half of the failures, and not shown at a tenth, as the
/// test of the verdict beside the proof has it.
#[test]
fn the_verdict_of_a_proof_is_that_of_its_plan() {
    let mut inputs = freeze(&books().build()).inputs;
    inputs.counts.scatter = None;
    inputs.counts.by_age =
        vec![Stratum { before_count: 60, before_exposure: 4000.0, after_count: 15, after_exposure: 1500.0 }];
    let verdicts = [0.5, 0.1].map(|ratio_worth_having| {
        inputs.plan = Some(ProofPlan { ratio_worth_having, ..ProofPlan::default() });
        let figures = inputs.results().expect("whole");
        figures.into_iter().find(|f| f.group == "Proof at equal age" && f.name == "verdict").map(|f| f.value)
    });
    assert_eq!(verdicts, ["too early", "not shown"].map(|word| Some(Value::from(word))));
}
