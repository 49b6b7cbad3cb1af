//! The options side by side: what each avoids against doing nothing, with bounds, and what it asks for.
//!
//! Failures follow a power of the part's age, as seen before the change; the new design has a share of that rate. The
//! level, the shape and the share are drawn from what is known of each, and the counts from Poisson distributions with
//! these means. What both designs have in common cancels, so that only the difference is drawn.

use stats::Confidence;
use stats::forecast::power_sum;
use stats::special::{Tails, gamma, normal};

use super::fleet::{Course, follow};
use super::{Bounds, Costs, DEFAULT_RECALL_MONTHS, Ground, NoComparison, Outcome};
use crate::change_record::{Prediction, Retrofit};

/// Fleets drawn.
const DRAWS: usize = 4_000;

/// Shapes that stand for all that are likely, each as likely.
const SHAPES: usize = 41;

/// Above this mean a Poisson count is drawn as a normal number.
const LARGE: f64 = 300.0;

/// Power sums of one shape.
struct Sums {
    past: f64,
    nothing: f64,
    /// Of the old and of the new design, by option.
    options: Vec<(f64, f64)>,
}

/// Compares every option with doing nothing.
///
/// # Errors
/// [`NoComparison`] where there is no fleet without the change, or no use to set the failures against.
pub fn compare(
    ground: &Ground,
    prediction: &Prediction,
    costs: &Costs,
    draw: &mut impl FnMut() -> u64,
) -> Result<Vec<Outcome>, NoComparison> {
    if ground.fleet() <= 0.0 {
        return Err(NoComparison::NobodyWithout);
    }
    if power_sum(&ground.past, ground.shape) <= 0.0 {
        return Err(NoComparison::NoUse);
    }
    let recall = costs.recall_months.unwrap_or(DEFAULT_RECALL_MONTHS);
    let nothing = follow(ground, None, recall);
    let courses: Vec<Course> =
        Retrofit::ALL.iter().map(|&option| follow(ground, Some(option), recall)).collect();
    let sums = |shape: f64| Sums {
        past: power_sum(&ground.past, shape),
        nothing: power_sum(&nothing.old, shape),
        options: courses.iter().map(|c| (power_sum(&c.old, shape), power_sum(&c.new, shape))).collect(),
    };
    let spread = ground.variance_of_log_shape.sqrt();
    let likely: Vec<Sums> = (0..SHAPES)
        .map(|at| {
            let z = normal::quantile(Tails::from_lower((at as f64 + 0.5) / SHAPES as f64));
            sums(ground.shape * (spread * z).exp())
        })
        .collect();
    let best = sums(ground.shape);
    let drawn = draws(ground, prediction, &likely, draw);
    let outcomes = Retrofit::ALL.iter().zip(&courses).zip(drawn).enumerate();
    Ok(outcomes
        .map(|(at, ((&option, course), drawn))| {
            let level = f64::from(ground.failures) / best.past;
            let (old, new) = best.options[at];
            let after = level * (old + prediction.ratio_best * new);
            outcome(ground, costs, option, course, level * best.nothing - after, after, drawn)
        })
        .collect())
}

/// Failures avoided and failures left, by option and draw.
type Drawn = (Vec<f64>, Vec<f64>);

fn draws(
    ground: &Ground,
    prediction: &Prediction,
    likely: &[Sums],
    draw: &mut impl FnMut() -> u64,
) -> Vec<Drawn> {
    let mut all: Vec<Drawn> =
        vec![(Vec::with_capacity(DRAWS), Vec::with_capacity(DRAWS)); Retrofit::ALL.len()];
    let known = f64::from(ground.failures) + 0.5;
    for at in 0..DRAWS {
        let sums = &likely[at % likely.len()];
        let level = gamma::quantile(known, Tails::from_lower(uniform(draw))) / sums.past;
        let ratio = share(prediction, gaussian(draw));
        for (option, (avoided, left)) in all.iter_mut().enumerate() {
            let (old, new) = sums.options[option];
            let spared = poisson(level * (sums.nothing - old).max(0.0), draw);
            let instead = poisson(level * ratio * new, draw);
            avoided.push(spared - instead);
            left.push(poisson(level * old, draw) + instead);
        }
    }
    all
}

/// The share of the failures that is left, from its 95 % limits: normal in its logarithm, each side with its own spread.
fn share(prediction: &Prediction, z: f64) -> f64 {
    let end = if z < 0.0 { prediction.ratio_low } else { prediction.ratio_high };
    let spread = (end / prediction.ratio_best).ln().abs() / Confidence::NINETY_FIVE.normal_reach();
    prediction.ratio_best * (spread * z).exp()
}

fn outcome(
    ground: &Ground,
    costs: &Costs,
    option: Retrofit,
    course: &Course,
    avoided: f64,
    left: f64,
    (mut drawn_avoided, mut drawn_left): Drawn,
) -> Outcome {
    let money =
        |items: f64, each: Option<f64>| if items > 0.0 { each.map(|each| items * each) } else { Some(0.0) };
    let parts = [
        money(course.converted, costs.conversion),
        money(course.set_aside, costs.scrapped_item),
        money(course.issued, costs.new_item),
    ];
    let with_change = course.reach.last().copied().unwrap_or(0.0) * ground.fleet();
    Outcome {
        option,
        avoided: bounds(avoided, &mut drawn_avoided),
        left: bounds(left, &mut drawn_left),
        converted: course.converted,
        set_aside: course.set_aside,
        issued: course.issued,
        grams: ground.delta_g.map(|delta| delta * with_change),
        cost: parts.into_iter().sum(),
        reach: course.reach.clone(),
        full_after_months: course.full,
    }
}

fn bounds(best: f64, drawn: &mut [f64]) -> Bounds {
    drawn.sort_unstable_by(f64::total_cmp);
    let at = |share: f64| drawn[(share * (drawn.len() - 1) as f64).round() as usize];
    Bounds { best, low: at(0.05), high: at(0.95) }
}

fn uniform(draw: &mut impl FnMut() -> u64) -> f64 {
    ((draw() >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
}

fn gaussian(draw: &mut impl FnMut() -> u64) -> f64 {
    normal::quantile(Tails::from_lower(uniform(draw)))
}

/// A Poisson count as a number: by a product of uniform numbers (Knuth), by a normal number where it is large.
fn poisson(mean: f64, draw: &mut impl FnMut() -> u64) -> f64 {
    if mean > LARGE {
        return gaussian(draw).mul_add(mean.sqrt(), mean).round().max(0.0);
    }
    let end = (-mean).exp();
    let (mut count, mut product) = (0.0, uniform(draw));
    while product > end {
        product *= uniform(draw);
        count += 1.0;
    }
    count
}
