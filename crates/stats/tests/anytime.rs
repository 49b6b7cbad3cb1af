//! The anytime limits keep their promise at every look, with closed periods and with a long history before.

use crate::draws::{poisson, seeded};
use stats::Confidence;
use stats::anytime::{evidence_against, ratio};
use stats::stratified::{Stratum, exact};

const LOOKS: u32 = 60;
const RUNS: u32 = 400;

fn row(before_count: u64, before_exposure: f64, after_count: u64, after_exposure: f64) -> Stratum {
    Stratum { before_count, before_exposure, after_count, after_exposure }
}

/// Share of runs in which the true ratio is ever left out at 95 %, the history of each stratum closed beforehand.
///
/// Each look multiplies the exposure per look by `growth`.
fn ever_left_out(history: &[f64], first_look: &[f64], growth: f64, true_ratio: f64, seed: u64) -> f64 {
    let mut draw = seeded(seed);
    let mut left_out = 0;
    for _ in 0..RUNS {
        let mut rows: Vec<_> = history.iter().map(|&e| row(poisson(e, &mut draw), e, 0, 0.0)).collect();
        let mut scale = 1.0;
        for _ in 0..LOOKS {
            for (row, &step) in rows.iter_mut().zip(first_look) {
                row.after_exposure += scale * step;
                row.after_count += poisson(true_ratio * scale * step, &mut draw);
            }
            scale *= growth;
            if evidence_against(&rows, true_ratio).is_ok_and(|m| m >= 20.0) {
                left_out += 1;
                break;
            }
        }
    }
    f64::from(left_out) / f64::from(RUNS)
}

#[test]
fn a_long_history_keeps_the_risk_over_all_looks_together() {
    println!(
        "Anytime limits at 95 %: share of {RUNS} runs of {LOOKS} looks that ever leave the true ratio out"
    );
    let cases: [(&[f64], &[f64], f64); 7] = [
        (&[2.0], &[0.05], 1.0),
        (&[2.0], &[0.5], 1.1),
        (&[10.0], &[0.2], 1.1),
        (&[50.0], &[0.3], 1.0),
        (&[400.0], &[0.5], 1.0),
        (&[1.0, 3.0, 8.0, 3.0, 1.0], &[0.3, 0.2, 0.1, 0.05, 0.01], 1.02),
        (&[40.0, 80.0, 20.0], &[1.0, 0.5, 0.2], 1.0),
    ];
    let mut seed = 1;
    for (history, first_look, growth) in cases {
        for true_ratio in [0.5, 1.0, 2.0] {
            seed += 1;
            let share = ever_left_out(history, first_look, growth, true_ratio, seed);
            println!("  {history:?} events before, {first_look:?} a look, ratio {true_ratio}: {share:.4}");
            assert!(share <= 0.05);
        }
    }
}

#[test]
fn closed_periods_keep_the_risk_though_base_rates_and_splits_change() {
    let mut draw = seeded(77);
    let mut left_out = 0;
    for _ in 0..RUNS {
        let mut rows = Vec::new();
        for period in 0..30 {
            let (base, moved) = (1.0 + f64::from(period % 7), f64::from(period + 1) / 31.0);
            let before = poisson(base * (1.0 - moved), &mut draw);
            let after = poisson(0.6 * base * moved, &mut draw);
            rows.push(row(before, 1.0 - moved, after, moved));
            if evidence_against(&rows, 0.6).is_ok_and(|m| m >= 20.0) {
                left_out += 1;
                break;
            }
        }
    }
    let share = f64::from(left_out) / f64::from(RUNS);
    println!("closed periods: {share:.4}");
    assert!(share <= 0.05);
}

#[test]
fn limits_for_one_look_are_wrong_far_more_often_when_looked_at_every_week() {
    let mut draw = seeded(5);
    let mut left_out = 0;
    for _ in 0..RUNS {
        let mut rows = [row(poisson(200.0, &mut draw), 200.0, 0, 0.0)];
        for _ in 0..LOOKS {
            rows[0].after_exposure += 1.0;
            rows[0].after_count += poisson(1.0, &mut draw);
            let seen = exact(&rows, Confidence::NINETY_FIVE).expect("limits");
            if seen.low > 1.0 || seen.high < 1.0 {
                left_out += 1;
                break;
            }
        }
    }
    let share = f64::from(left_out) / f64::from(RUNS);
    println!("one-look limits looked at {LOOKS} times: {share:.4}");
    assert!(share > 0.10);
}

#[test]
fn the_limits_are_where_the_evidence_meets_the_risk() {
    let rows = [row(40, 1000.0, 10, 500.0), row(12, 300.0, 9, 700.0)];
    let limits = ratio(&rows, Confidence::NINETY).expect("limits");
    for limit in [limits.low, limits.high] {
        let evidence = evidence_against(&rows, limit).expect("evidence");
        assert!((evidence / 10.0 - 1.0).abs() < 1e-9, "{evidence}");
    }
}

#[test]
fn a_side_without_events_has_an_open_end() {
    let none_after = ratio(&[row(30, 10.0, 0, 5.0)], Confidence::NINETY_FIVE).expect("limits");
    assert!(none_after.low == 0.0 && none_after.high < 1.0);
    let none_before = ratio(&[row(0, 10.0, 30, 5.0)], Confidence::NINETY_FIVE).expect("limits");
    assert!(none_before.high == f64::INFINITY && none_before.low > 1.0);
    assert!(ratio(&[row(0, 10.0, 0, 5.0)], Confidence::NINETY_FIVE).is_err());
}
