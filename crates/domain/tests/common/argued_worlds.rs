//! Invented worlds in which the truth is known, to hold predicted rates and forecasts of retrofit against.

use domain::change_record::{Prediction, PredictionBasis, Retrofit, by_cycles, by_strength};
use domain::retrofit::{Costs, Ground, MONTHS, compare};
use stats::forecast::{Use, power_sum};
use stats::life::{Model, fit};
use stats::lifetimes::{Life, Lifetimes};
use stats::product::{Estimate, limits};
use stats::special::{Tails, normal};
use stats::{Confidence, Exposure, Interval, poisson_rate};

/// 90 % limits.
fn ninety() -> Confidence {
    Confidence::new(0.9).expect("a level")
}

/// How often limits held the truth.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Held {
    /// Times that they did.
    pub(crate) held: u32,
    /// Times tried.
    pub(crate) of: u32,
}

impl Held {
    fn add(&mut self, low: f64, high: f64, truth: f64) {
        self.of += 1;
        self.held += u32::from(low <= truth && truth <= high);
    }

    /// The share.
    pub(crate) fn share(self) -> f64 {
        f64::from(self.held) / f64::from(self.of)
    }
}

fn uniform(draw: &mut impl FnMut() -> u64) -> f64 {
    ((draw() >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
}

fn gaussian(draw: &mut impl FnMut() -> u64) -> f64 {
    normal::quantile(Tails::from_lower(uniform(draw)))
}

fn poisson(mean: f64, draw: &mut impl FnMut() -> u64) -> u32 {
    let (mut count, mut product) = (0, uniform(draw));
    while product > (-mean).exp() {
        product *= uniform(draw);
        count += 1;
    }
    count
}

fn weibull(scale: f64, shape: f64, draw: &mut impl FnMut() -> u64) -> f64 {
    scale * (-uniform(draw).ln()).powf(shape.recip())
}

/// A fleet issued over the last five years whose failures follow a power of age; what an engineer would know of it.
struct World {
    ground: Ground,
    level: f64,
    shape: f64,
}

/// Items of each of five years; so many that counts are what varies.
const A_YEAR: f64 = 200.0;

fn world(wanted: f64, shape: f64, draw: &mut impl FnMut() -> u64) -> Option<World> {
    let ages: Vec<f64> = (1..=5).map(f64::from).collect();
    let past: Vec<Use> = ages.iter().map(|&to| Use { from: 0.0, to, items: A_YEAR }).collect();
    let level = wanted / power_sum(&past, shape);
    let (mut lives, mut failures) = (Vec::new(), 0);
    for &oldest in &ages {
        let seen = poisson(level * A_YEAR * oldest.powf(shape), draw);
        failures += seen;
        for _ in 0..seen {
            // Ages of a power law up to `oldest` are its power of a uniform number.
            let age = oldest * uniform(draw).powf(shape.recip());
            lives.push(Life::failed(age));
            lives.push(Life::survived(oldest).watched_from(age));
        }
        lives.push(Life::survived(oldest).times(A_YEAR - f64::from(seen)));
    }
    let fitted = fit(&Lifetimes::new(lives).ok()?, Model::Weibull).ok()?;
    let ground = Ground {
        past,
        failures,
        shape: fitted.distribution().shape(),
        variance_of_log_shape: fitted.covariance().ln_sigma,
        ages: ages.iter().map(|&age| (age, A_YEAR)).collect(),
        in_store: 60.0,
        leaving_per_year: 0.15,
        returning_per_year: 0.4,
        months_to_cut_in: 4,
        months: MONTHS,
        delta_g: None,
    };
    Some(World { ground, level, shape })
}

/// One place in the fleet: the age of its part and whether that is of the new design.
#[derive(Clone, Copy)]
struct Place {
    months: u32,
    is_new: bool,
}

impl World {
    /// What really happens under an option, against its twin in which nothing is done: failures avoided, failures left.
    fn truth(&self, option: Retrofit, ratio: f64, recall: u32, draw: &mut impl FnMut() -> u64) -> (f64, f64) {
        let ground = &self.ground;
        let monthly = |per_year: f64| -(-per_year / 12.0).exp_m1();
        let (leaving, returning) = (monthly(ground.leaving_per_year), monthly(ground.returning_per_year));
        let places = ground.ages.iter().flat_map(|&(age, items)| {
            let months = (age * 12.0).floor() as u32;
            std::iter::repeat_n(months, items as usize)
        });
        let mut twins: Vec<(u32, Place)> =
            places.map(|months| (months, Place { months, is_new: false })).collect();
        let mut in_store = if option == Retrofit::RunOut { ground.in_store } else { 0.0 };
        let (mut avoided, mut left) = (0.0, 0.0);
        for month in 0..ground.months {
            let has_new = month >= ground.months_to_cut_in;
            for (nothing, place) in &mut twins {
                let power = |age: u32| (f64::from(age) / 12.0).powf(self.shape);
                let hazard = |age: u32| self.level * (power(age + 1) - power(age));
                if place.is_new {
                    let instead = f64::from(poisson(ratio * hazard(place.months), draw));
                    avoided += f64::from(poisson(hazard(*nothing), draw)) - instead;
                    left += instead;
                } else {
                    left += f64::from(poisson(hazard(place.months), draw));
                }
                (*nothing, place.months) = (*nothing + 1, place.months + 1);
                if uniform(draw) < leaving {
                    let is_new = has_new && in_store < 1.0;
                    if has_new && in_store >= 1.0 {
                        in_store -= 1.0;
                    }
                    (*nothing, *place) = (0, Place { months: 0, is_new });
                }
                let converts = match option {
                    Retrofit::OnReturn => has_new && uniform(draw) < returning,
                    Retrofit::RecallAll => {
                        let left = (ground.months_to_cut_in + recall).saturating_sub(month);
                        has_new && (left <= 1 || uniform(draw) * f64::from(left) < 1.0)
                    }
                    Retrofit::NextLot | Retrofit::RunOut => false,
                };
                if converts && !place.is_new {
                    *place = Place { months: 0, is_new: true };
                }
            }
        }
        (avoided, left)
    }
}

/// How often 90 % bounds of failures avoided and of failures left hold what really happens, over all options.
pub(crate) fn retrofits(worlds: u32, draw: &mut impl FnMut() -> u64) -> (Held, Held) {
    let (mut avoided, mut left) = (Held::default(), Held::default());
    let recall = 10;
    for at in 0..worlds {
        let (wanted, shape) = [(8.0, 1.0), (20.0, 1.6), (60.0, 1.3)][at as usize % 3];
        let Some(world) = world(wanted, shape, draw) else { continue };
        // The bench sees the share of failures left within a factor of 1.5 or so.
        let (truth, spread) = (0.35_f64, 0.2);
        let seen = truth.ln() + spread * gaussian(draw);
        let prediction = Prediction {
            basis: PredictionBasis::Bench,
            ratio_low: (seen - 1.96 * spread).exp(),
            ratio_best: seen.exp(),
            ratio_high: (seen + 1.96 * spread).exp(),
            source: "simulated".into(),
        };
        let costs = Costs { recall_months: Some(f64::from(recall)), ..Costs::default() };
        let Ok(outcomes) = compare(&world.ground, &prediction, &costs, draw) else { continue };
        for outcome in outcomes {
            let (really, remain) = world.truth(outcome.option, truth, recall, draw);
            avoided.add(outcome.avoided.low, outcome.avoided.high, really);
            left.add(outcome.left.low, outcome.left.high, remain);
        }
    }
    (avoided, left)
}

/// How often 90 % limits of the rate after hold the true one: cycles to failure on the bench, and strength.
pub(crate) fn after_rates(worlds: u32, draw: &mut impl FnMut() -> u64) -> (Held, Held) {
    let (mut cycles, mut strength) = (Held::default(), Held::default());
    for at in 0..worlds {
        let specimens = [6, 10, 20][at as usize % 3];
        // The field: 12 a 1,000 item-years of the old design, a steady exposure of 2,000; the power of age known roughly.
        let (rate, exposure, power, of_power) = (12.0_f64, 2.0, 1.8_f64, 0.15);
        let count = poisson(rate * exposure, draw);
        if count == 0 {
            continue;
        }
        let interval =
            poisson_rate::exact(u64::from(count), Exposure::new(exposure).expect("above 0"), ninety());
        let before = Estimate { value: f64::from(count) / exposure, interval };
        let guess = (power.ln() + of_power * gaussian(draw)).exp();
        let shape = Estimate {
            value: guess,
            interval: Interval {
                low: guess * (-1.96 * of_power).exp(),
                high: guess * (1.96 * of_power).exp(),
            },
        };
        let longer = 1.7;
        let lives = |scale: f64, draw: &mut _| -> Vec<Life> {
            (0..specimens).map(|_| Life::failed(weibull(scale, 2.2, draw))).collect()
        };
        let (old, new) = (lives(1000.0, draw), lives(1000.0 * longer, draw));
        if let Some(found) = by_cycles((&old, &new), shape, ninety())
            && let Ok(Interval { low, high }) = limits(before, found.ratio)
        {
            cycles.add(low, high, rate * longer.powf(-power));
        }
        // Strength lognormal at 10 % scatter, loads at a scatter drawn from what is judged of it.
        let (cv, stronger) = (0.1_f64, 1.25_f64);
        let cv_load = 0.3 * (0.2 * gaussian(draw)).exp();
        let spread = |cv: f64| (cv * cv).ln_1p().sqrt();
        let values = |mean: f64, draw: &mut _| -> Vec<f64> {
            let sigma = spread(cv);
            (0..specimens).map(|_| mean * (sigma * gaussian(draw) - 0.5 * sigma * sigma).exp()).collect()
        };
        let (old, new) = (values(100.0, draw), values(100.0 * stronger, draw));
        let all = spread(cv).hypot(spread(cv_load));
        let z_old = -normal::quantile(Tails::from_lower(rate / 1000.0));
        let truth = rate * normal::tails(z_old + stronger.ln() / all).upper / (rate / 1000.0);
        let failing = before.value / 1000.0;
        let found = by_strength(PredictionBasis::Strength, (&old, &new), failing, ninety());
        if let Some(found) = found
            && let Ok(Interval { low, high }) = limits(before, found.ratio)
        {
            strength.add(low, high, truth);
        }
    }
    (cycles, strength)
}

/// A seeded source of draws (S. Vigna's splitmix64).
pub(crate) fn seeded(seed: u64) -> impl FnMut() -> u64 {
    let mut state = seed;
    move || {
        state = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = state;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }
}
