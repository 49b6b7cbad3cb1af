//! How often limits of survival curves, repairs and their trend hold the truth, by simulation with seeded draws.

use crate::draws::{poisson, seeded, uniform};
use stats::history::History;
use stats::lifetimes::{Life, Lifetimes};
use stats::power_law::{PowerLaw, fit, fit_failure_terminated};
use stats::special::{Tails, gamma};
use stats::{Confidence, Interval, mean_cumulative, survival};

/// How often limits held, and how often there were any.
#[derive(Default)]
struct Tally {
    held: u32,
    given: u32,
}

impl Tally {
    fn see(&mut self, limits: Option<Interval>, truth: f64) {
        if let Some(limits) = limits {
            self.given += 1;
            self.held += u32::from(limits.contains(truth));
        }
    }

    /// Prints the share that held, and holds it within a range.
    fn close(&self, what: &str, range: std::ops::Range<f64>) {
        let share = f64::from(self.held) / f64::from(self.given);
        println!("{what}: {share:.4} of {}", self.given);
        assert!(range.contains(&share), "{what}: {share} is not within {range:?}");
    }
}

/// Lives of a constant hazard 1, watched to ages between 0.5 and 2.5.
fn exponential_lives(n: u32, draw: &mut impl FnMut() -> u64) -> Lifetimes {
    let one = |_| {
        let (age, watched) = (-uniform(draw).ln(), 0.5 + 2.0 * uniform(draw));
        if age < watched { Life::failed(age) } else { Life::survived(watched) }
    };
    Lifetimes::new((0..n).map(one)).expect("lives")
}

#[test]
fn limits_of_survival_and_hazard_cover_nearly_as_stated() {
    let mut draw = seeded(21);
    for (n, age, survived, hazard) in [
        (30, 0.3, 0.93..0.97, 0.93..0.975),
        (30, 1.0, 0.93..0.97, 0.93..0.975),
        (100, 1.0, 0.935..0.965, 0.935..0.965),
    ] {
        let (mut curve, mut cumulative) = (Tally::default(), Tally::default());
        for _ in 0..6000 {
            let steps = survival::curve(&exponential_lives(n, &mut draw)).expect("a curve");
            let Some(step) = steps.steps().iter().rev().find(|s| s.age <= age) else { continue };
            curve.see(step.limits(Confidence::NINETY_FIVE), (-age).exp());
            cumulative.see(Some(step.hazard_limits(Confidence::NINETY_FIVE)), age);
        }
        curve.close(&format!("survival at {age} of {n} lives, 0.95"), survived);
        cumulative.close(&format!("cumulative hazard at {age} of {n} lives, 0.95"), hazard);
    }
}

/// Units repaired at a constant rate of their own, gamma distributed with mean 1 and this shape, watched to ages 1 to 3.
fn repaired_units(n: u32, spread: f64, draw: &mut impl FnMut() -> u64) -> Vec<History> {
    (0..n)
        .map(|_| {
            let rate = gamma::quantile(spread, Tails::from_lower(uniform(draw))) / spread;
            let end = 1.0 + 2.0 * uniform(draw);
            let repairs: Vec<f64> = (0..poisson(rate * end, draw)).map(|_| end * uniform(draw)).collect();
            History::new(0.0, end, repairs).expect("a history")
        })
        .collect()
}

#[test]
fn limits_of_mean_repairs_cover_as_their_documentation_says() {
    let mut draw = seeded(22);
    for (n, spread, range) in [(20, 1.0, 0.90..0.94), (20, 1e6, 0.91..0.95), (100, 1.0, 0.93..0.96)] {
        let mut tally = Tally::default();
        for _ in 0..3000 {
            let points =
                mean_cumulative::mean_cumulative(&repaired_units(n, spread, &mut draw)).expect("points");
            let point = points.iter().rev().find(|p| p.age <= 1.5);
            tally.see(point.map(|p| p.limits(Confidence::NINETY_FIVE)), 1.5);
        }
        let kind = if spread > 100.0 { "alike" } else { "unlike" };
        tally.close(&format!("mean repairs by 1.5 of {n} units {kind}, 0.95"), range);
    }
}

/// Repairs of one unit whose mean number by age `t` is `scale t^shape`, up to age 1.
fn to_a_time(scale: f64, shape: f64, draw: &mut impl FnMut() -> u64) -> Option<PowerLaw> {
    let count = poisson(scale, draw);
    let ages: Vec<f64> = (0..count).map(|_| uniform(draw).powf(1.0 / shape)).collect();
    fit(&[History::new(0.0, 1.0, ages).expect("a history")]).ok()
}

/// The same up to and with the `count`-th repair, and the age of that.
fn to_a_failure(count: u32, scale: f64, shape: f64, draw: &mut impl FnMut() -> u64) -> (PowerLaw, f64) {
    let mut sum = 0.0;
    let ages: Vec<f64> = (0..count)
        .map(|_| {
            sum -= uniform(draw).ln();
            (sum / scale).powf(1.0 / shape)
        })
        .collect();
    (fit_failure_terminated(&ages).expect("a fit"), ages[ages.len() - 1])
}

#[test]
fn limits_of_the_power_law_cover_as_their_documentation_says() {
    let mut draw = seeded(23);
    let confidence = Confidence::NINETY;
    for (scale, shape) in [(8.0, 0.5), (8.0, 1.6), (30.0, 0.5)] {
        let (mut shapes, mut wald, mut handbook) = (Tally::default(), Tally::default(), Tally::default());
        let mtbf = 1.0 / (scale * shape);
        for _ in 0..10_000 {
            let Some(fitted) = to_a_time(scale, shape, &mut draw) else { continue };
            shapes.see(fitted.shape_limits(confidence), shape);
            wald.see(fitted.mtbf_at_end_wald(confidence), mtbf);
            handbook.see(fitted.mtbf_at_end_handbook(confidence), mtbf);
        }
        let about = format!("some {scale} repairs to a time, shape {shape}, 0.90");
        shapes.close(&format!("shape, {about}"), 0.89..0.91);
        wald.close(&format!("Wald limits of the last mean time between repairs, {about}"), 0.87..0.92);
        handbook.close(&format!("handbook limits of the same, {about}"), 0.88..0.95);
    }
    for (count, scale, shape) in [(6, 8.0, 0.5), (20, 8.0, 1.6)] {
        let (mut shapes, mut wald) = (Tally::default(), Tally::default());
        for _ in 0..10_000 {
            let (fitted, end) = to_a_failure(count, scale, shape, &mut draw);
            shapes.see(fitted.shape_limits(confidence), shape);
            let mtbf = 1.0 / (scale * shape * end.powf(shape - 1.0));
            wald.see(fitted.mtbf_at_end_wald(confidence), mtbf);
        }
        let about = format!("to the {count}th repair, shape {shape}, 0.90");
        shapes.close(&format!("shape, {about}"), 0.89..0.91);
        wald.close(&format!("Wald limits of the last mean time between repairs, {about}"), 0.70..0.92);
    }
}
