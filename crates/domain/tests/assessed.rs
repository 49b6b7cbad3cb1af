//! A record held against what the field shows after the change.

use domain::analysis::analyse;
use domain::change::ChangeState;
use domain::change_record::{Prediction, PredictionBasis, Verdict, Written, assess};
use domain::movement::MovementKind as K;
use domain::report::Report;
use domain::requirement::{LimitKind, Measure, Requirement};

use crate::common::{changed, date, movement, report};

/// 40 failures in some 5,000 item-years before, eight per 1,000, and a prediction of half as many: four, with at least 2.2, where
/// two are allowed. 2,000 items with the change have then served two years without one: at most 0.92 per 1,000 (Garwood's limit
/// of nought, 3.689, over four). What was predicted condemns it no more; the other parts of the pack are for a person to answer.
#[test]
fn no_failure_in_long_service_says_more_than_a_prediction() {
    let mut b = changed(ChangeState::CutIn, &["ZIP-1"], "2024-01-01");
    b.movement(&movement("2019-01-01", K::Issue, "OLD", "A", 1000)).expect("known names");
    b.movement(&movement("2024-01-01", K::Issue, "NEW", "A", 2000)).expect("known names");
    b.movement(&movement("2024-01-01", K::Return, "OLD", "A", 1000)).expect("known names");
    for n in 0..40 {
        let on = format!("20{}-0{}-11", 19 + n % 5, 1 + n % 9);
        let one = report(&format!("R-{n}"), &on, "A", "PACK", Some("OLD"));
        b.report(&Report { part_no: Some("ZIPPER".into()), mode: Some("ZIP-1".into()), ..one })
            .expect("known names");
    }
    b.requirement(&Requirement {
        item_part_no: "PACK".into(),
        requirement_no: "3.5".into(),
        text: "The pack fails seldom.".into(),
        measure: Some(Measure::RatePer1000ItemYears),
        limit_kind: Some(LimitKind::AtMost),
        limit: Some(2.0),
        configuration: None,
        size: None,
    })
    .expect("known");
    let field = b.build();
    let prediction = Prediction {
        basis: PredictionBasis::Bench,
        ratio_low: 0.3,
        ratio_best: 0.5,
        ratio_high: 0.8,
        source: "ten specimens each".into(),
    };
    let modes = ["ZIP-1".to_owned()];
    let written = Written {
        problem: "",
        description: "",
        modes: &modes,
        prediction: Some(&prediction),
        answers: &[],
        criteria: &[],
        has_effectivity: false,
        retrofit: None,
        has_handling: false,
    };
    let on = |day: &str| {
        let analysis = analyse(&field, date(day));
        let result = &analysis.changes[0];
        let assessed = assess(&field, Some(result), written);
        let line = &assessed.requirements[0];
        (
            line.by_figures,
            line.verdict(),
            line.check.as_ref().map(|check| check.figure.clone()).unwrap_or_default(),
        )
    };
    let (by_figures, verdict, figure) = on("2024-01-15");
    assert_eq!((by_figures, verdict), (true, Some(Verdict::NotMet)), "{figure}");
    let (by_figures, verdict, figure) = on("2026-01-01");
    assert_eq!((by_figures, verdict), (false, None), "{figure}");
    assert!(figure.contains("0.0 per 1,000 item-years (0.0 to 0.9) against 2"), "{figure}");
}
