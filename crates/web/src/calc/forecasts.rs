//! How many will fail ahead, from a distribution taken as true and from one known only so well.

use serde::Deserialize;
use serde_json::Value;
use stats::StatsError;
use stats::forecast::{self, Cohort, Count as Failures, Group};
use stats::life::{Covariance, Distribution};

use super::answer::answer;
use super::draws::Draws;
use super::input::{Count, Number, names, read};
use super::lives::Family;
use super::say::number;
use super::{Answer, CalcError, Method};

pub(super) const METHODS: [Method; 2] = [
    Method {
        name: "prediction_plugin",
        says: "How many of the units alive fail within each cohort's horizon, the distribution taken as true (params: eta and \
               beta, theta, or mu and sigma).",
        example: r#"{"dist": "weibull", "params": {"eta": 2000, "beta": 2}, "cohorts": [{"age": 500, "n": 40, "horizon": 300}, {"age": 900, "n": 15, "horizon": 300}]}"#,
        run: plug_in,
    },
    Method {
        name: "prediction_mc",
        says: "The same with bounds that allow for how little the fit is known: by bootstrap (groups_total, at_risk, \
               horizon, B), or by drawing parameters (log_eta, log_beta, cov, cohorts; poor below 50 failures). A seed \
               may be given; the same one gives the same answer.",
        example: r#"{"dist": "weibull", "params": {"eta": 2000, "beta": 2}, "groups_total": [{"age": 500, "n": 40}, {"age": 900, "n": 20}], "at_risk": [{"age": 500, "n": 38}, {"age": 900, "n": 16}], "horizon": 300, "B": 500}"#,
        run: monte_carlo,
    },
];

/// Draws of parameters where the input names no number.
const SAMPLES: u64 = 40_000;
/// The most that may be named, beyond which it would run for minutes.
const MOST_SAMPLES: u64 = 400_000;
/// Samples times units of a bootstrap, beyond which it would run for hours.
const MOST_LIVES: u64 = 2_000_000_000;
/// Failures ahead up to which drawn forecasts are laid out.
const LONGEST: u64 = 5000;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Parameters {
    theta: Option<Number>,
    eta: Option<Number>,
    beta: Option<Number>,
    mu: Option<Number>,
    sigma: Option<Number>,
}

fn distribution(family: Family, p: &Parameters) -> Result<Distribution, CalcError> {
    let need = |name: &str, value: Option<Number>| {
        value.map(|v| v.0).ok_or_else(|| CalcError::input(format!("`params.{name}` is needed for this dist")))
    };
    Ok(match family {
        Family::Exponential => Distribution::exponential(need("theta", p.theta)?),
        Family::Weibull => Distribution::weibull(need("eta", p.eta)?, need("beta", p.beta)?),
        Family::Lognormal => Distribution::lognormal(need("mu", p.mu)?, need("sigma", p.sigma)?),
    }?)
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CohortInput {
    age: Number,
    n: Count,
    horizon: Number,
}

fn cohorts(rows: &[CohortInput]) -> Vec<Cohort> {
    rows.iter().map(|c| Cohort { age: c.age.0, units: c.n.0, ahead: c.horizon.0 }).collect()
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PlugInInput {
    dist: Family,
    params: Parameters,
    cohorts: Vec<CohortInput>,
}

fn plug_in(input: &Value) -> Result<Answer, CalcError> {
    let i: PlugInInput = read(input)?;
    let (distribution, cohorts) = (distribution(i.dist, &i.params)?, cohorts(&i.cohorts));
    let exact = forecast::plug_in(&distribution, &cohorts)?;
    let poisson = Failures::poisson(exact.mean())?;
    Ok(answer! {
        "expected": exact.mean(), "variance": exact.variance(),
        "pmf_0_to_10": (0..=10).map(|k| exact.exactly(k)).collect::<Vec<_>>(),
        "lower_05": exact.lower(0.05), "upper_95": exact.upper(0.95),
        "lower_025": exact.lower(0.025), "upper_975": exact.upper(0.975),
        "lower_10": exact.lower(0.1), "upper_90": exact.upper(0.9),
        "poisson_lower_05": poisson.lower(0.05), "poisson_upper_95": poisson.upper(0.95),
        "prob_zero": exact.none(), "min_gap_to_quantile_levels": gap(&exact),
        "rho": forecast::failure_probabilities(&distribution, &cohorts)?,
    }
    .saying(format!(
        "{} failures are expected; 9 times in 10 there are {} to {}, if the distribution is true.",
        number(exact.mean()),
        exact.lower(0.05),
        exact.upper(0.95)
    )))
}

/// How near a bound is to being another: the least distance of a level from a probability beside it.
fn gap(count: &Failures) -> f64 {
    let levels = [0.05, 0.95, 0.025, 0.975, 0.1, 0.9];
    let beside = levels.into_iter().flat_map(|level| {
        let k = count.upper(level);
        [k.saturating_sub(1), k, k + 1].map(|k| (count.at_most(k) - level).abs())
    });
    beside.fold(1.0, f64::min)
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct AgeGroup {
    age: Number,
    n: Count,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct BootstrapInput {
    dist: Family,
    params: Parameters,
    groups_total: Vec<AgeGroup>,
    at_risk: Vec<AgeGroup>,
    horizon: Number,
    #[serde(rename = "B")]
    samples: Count,
    seed: Option<Count>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct DrawnInput {
    dist: Family,
    log_eta: Number,
    log_beta: Number,
    cov: [[Number; 2]; 2],
    cohorts: Vec<CohortInput>,
    samples: Option<Count>,
    seed: Option<Count>,
}

fn monte_carlo(input: &Value) -> Result<Answer, CalcError> {
    if names(input, "groups_total") { bootstrap(&read(input)?) } else { drawn(&read(input)?) }
}

fn bootstrap(i: &BootstrapInput) -> Result<Answer, CalcError> {
    let lengths = (i.groups_total.len(), i.at_risk.len());
    if lengths.0 != lengths.1 {
        let (first, second) = ("groups in groups_total", "in at_risk");
        return Err(StatsError::LengthsDiffer { first, second, lengths }.into());
    }
    if let Some((all, _)) =
        i.groups_total.iter().zip(&i.at_risk).find(|(all, alive)| all.age.0 != alive.age.0)
    {
        return Err(CalcError::input(format!(
            "at_risk has no group of age {} where groups_total has",
            all.age.0
        )));
    }
    let units = i.groups_total.iter().fold(0_u64, |sum, group| sum.saturating_add(group.n.0));
    if units.saturating_mul(i.samples.0) > MOST_LIVES {
        let words =
            format!("B times the units is {units} x {} but must be at most {MOST_LIVES}", i.samples.0);
        return Err(CalcError::input(words));
    }
    let groups: Vec<Group> = i
        .groups_total
        .iter()
        .zip(&i.at_risk)
        .map(|(all, alive)| Group { age: all.age.0, started: all.n.0, alive: alive.n.0 })
        .collect();
    let distribution = distribution(i.dist, &i.params)?;
    let mut draws = Draws::new(i.seed);
    let found =
        forecast::bootstrap(&distribution, &groups, i.horizon.0, i.samples.0 as usize, &mut || draws.next())?;
    let shown = (found.direct_upper(0.95) + 1).max(25);
    Ok(answer! {
        "direct_lower_05": found.direct_lower(0.05), "direct_upper_95": found.direct_upper(0.95),
        "calibrated_level_upper": found.calibrated_level(0.95), "calibrated_level_lower": found.calibrated_level(0.05),
        "calibrated_upper_95": found.calibrated_upper(0.95), "calibrated_lower_05": found.calibrated_lower(0.05),
        "predictive_cdf": (0..shown).map(|k| found.at_most(k)).collect::<Vec<_>>(),
    }
    .saying(format!(
        "9 times in 10 there are {} to {} failures, the fit's own uncertainty counted.",
        found.calibrated_lower(0.05),
        found.calibrated_upper(0.95)
    )))
}

fn drawn(i: &DrawnInput) -> Result<Answer, CalcError> {
    if !matches!(i.dist, Family::Weibull) {
        return Err(CalcError::input("dist must be weibull where parameters are drawn"));
    }
    let around = Distribution::weibull(i.log_eta.0.exp(), i.log_beta.0.exp())?;
    let [[mu, both], [other, ln_sigma]] = i.cov.map(|row| row.map(|v| v.0));
    if both != other {
        return Err(CalcError::input(format!("cov must be symmetric but holds {both} and {other}")));
    }
    // The shape is the inverse of the spread, so that its logarithm has the other sign.
    let covariance = Covariance { mu, ln_sigma, both: -both };
    let cohorts = cohorts(&i.cohorts);
    let plain = forecast::plug_in(&around, &cohorts)?;
    let longest = plain.upper(0.999).saturating_mul(4).saturating_add(60);
    if longest > LONGEST {
        let words = format!("{} failures are expected, which is too many to draw", number(plain.mean()));
        return Err(CalcError::input(words));
    }
    let samples = i.samples.map_or(SAMPLES, |n| n.0);
    if samples > MOST_SAMPLES {
        return Err(CalcError::input(format!("samples is {samples} but must be at most {MOST_SAMPLES}")));
    }
    let mut draws = Draws::new(i.seed);
    let found = forecast::normal_approximation(
        &around,
        covariance,
        &cohorts,
        samples as usize,
        longest,
        &mut || draws.next(),
    )?;
    if found.upper(0.95) > longest {
        return Err(CalcError::input("cov is so wide that no upper bound can be given"));
    }
    let shown = (found.upper(0.95) as usize + 1).clamp(30, found.at_most.len());
    Ok(answer! {
        "predictive_cdf": found.at_most[..shown].to_vec(),
        "lower_05": found.lower(0.05), "upper_95": found.upper(0.95),
        "mean_lambda": found.mean_expected, "median_lambda": found.median_expected,
    }
    .saying(format!("9 times in 10 there are {} to {} failures.", found.lower(0.05), found.upper(0.95))))
}
