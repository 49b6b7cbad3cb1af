//! The life of a part: a Weibull fitted to the ages at which it failed, among all the ages its items have passed at each unit.

mod fitting;

use std::fmt;

use stats::life::NoFit;
use stats::{Interval, Probability};

use super::CONFIDENCE;
use super::age_profile::{AgeProfile, STEP_YEARS};
use fitting::Fitted;

/// Ages shown of the fitted life.
const SHOWN: usize = 24;

/// A shape whose limits lie within these is as good as 1.
const AS_GOOD_AS_STEADY: (f64, f64) = (0.6, 1.6);

/// Failures of which a pattern is told: limits from the likelihood don't hold for a handful.
const FEWEST_FAILURES: u32 = 5;

/// How the rate of failure goes with age.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pattern {
    /// The limits of the shape lie below 1: it falls.
    Early,
    /// They hold 1 and lie close to it: it stays.
    Steady,
    /// They lie above 1: it rises.
    WearOut,
    /// They hold 1 and reach far from it, or rest on a handful of failures.
    Open,
}

impl Pattern {
    fn of(shape: Interval, failures: u32) -> Self {
        match shape {
            _ if failures < FEWEST_FAILURES => Self::Open,
            Interval { high, .. } if high < 1.0 => Self::Early,
            Interval { low, .. } if low > 1.0 => Self::WearOut,
            Interval { low, high } if low > AS_GOOD_AS_STEADY.0 && high < AS_GOOD_AS_STEADY.1 => Self::Steady,
            _ => Self::Open,
        }
    }

    /// The pattern in a word or two.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Early => "early",
            Self::Steady => "steady",
            Self::WearOut => "wear-out",
            Self::Open => "not shown",
        }
    }

    /// What it means.
    pub const fn sentence(self) -> &'static str {
        match self {
            Self::Early => "early failures: the older an item, the less often it fails",
            Self::Steady => "steady failures: age makes little difference",
            Self::WearOut => "wear-out: the older an item, the more often it fails",
            Self::Open => "whether age matters is not shown by these failures",
        }
    }
}

/// Share failed by one age.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LifePoint {
    /// Age in service.
    pub age_years: f64,
    /// Share of parts reported failed by it, as fitted.
    pub failed: f64,
    /// Lower 95 % limit.
    pub low: f64,
    /// Upper 95 % limit.
    pub high: f64,
    /// As counted, without a model: from failures and items at risk at each age (Nelson and Aalen).
    pub counted: f64,
}

/// A fitted distribution of life, of failures as reported.
#[derive(Clone, Debug, PartialEq)]
pub struct Life {
    /// Shape of the Weibull distribution.
    pub shape: f64,
    /// Its lower limit (95 %, profile likelihood).
    pub shape_low: f64,
    /// Its upper limit; `None` where there is no useful one.
    pub shape_high: Option<f64>,
    /// Its scale in years.
    pub scale_years: f64,
    /// Years at which a tenth has been reported failed.
    pub b10_years: f64,
    /// Its lower limit.
    pub b10_low: f64,
    /// Its upper limit; `None` where there is no useful one.
    pub b10_high: Option<f64>,
    /// What the limits of the shape say.
    pub pattern: Pattern,
    /// Failures with an age.
    pub failures: u32,
    /// Of these, found by an inspection: known to a span of ages.
    pub found_at_inspection: u32,
    /// Left out: neither lot nor weeks worn are known. They count in the scale, as far as they are of items with an age, and not in the shape.
    pub without_age: u32,
    /// Left out: items that were there before records began.
    pub age_not_on_record: u32,
    /// Left out: found so recently that other reports of those days are still on their way.
    pub too_recent: u32,
    /// The longest time in service of any item.
    pub oldest_years: f64,
    /// Share failed by rising ages.
    pub points: Vec<LifePoint>,
    /// The shape as reports come, with all units taken as one and unmended items as they are: what is to come goes on so.
    pub(super) seen_shape: f64,
    /// Variance of its logarithm.
    pub(super) seen_variance: f64,
}

/// Why there is no fitted life.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoLife {
    /// No item with an age on record.
    NoService,
    /// No failure with an age.
    NoAges,
    /// Every failure with an age is so recent that others of the same days are still on their way.
    TooRecent,
    /// No failure of an item with an age on record.
    NoneAtRisk,
    /// No estimate exists.
    NoEstimate(NoFit),
}

impl fmt::Display for NoLife {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoService => {
                f.write_str("no life: no item that contains the part has its time in service on record")
            }
            Self::NoAges => f.write_str(
                "no life: no failure has an age, for want of lots, weeks worn or time in service on record",
            ),
            Self::TooRecent => f.write_str(
                "no life yet: its failures are all so recent that reports of others of the same days are still on their way",
            ),
            Self::NoneAtRisk => f.write_str(
                "no life: as far as is known the failures are of items whose time in service isn't on record",
            ),
            Self::NoEstimate(reason) => reason.fmt(f),
        }
    }
}

impl Life {
    /// Whether so many failures tell a life at all; a curve and a share failed by an age from fewer are no figures to act on.
    pub fn is_told(&self) -> bool {
        self.failures >= FEWEST_FAILURES
    }

    pub(super) fn new(profile: &AgeProfile<'_>, share_reported: f64) -> Result<Self, NoLife> {
        if profile.at_risk.all.is_empty() {
            return Err(NoLife::NoService);
        }
        if profile.ends.is_empty() {
            let is_only_recent =
                profile.too_recent > 0 && profile.without_age + profile.age_not_on_record == 0;
            return Err(if is_only_recent { NoLife::TooRecent } else { NoLife::NoAges });
        }
        if profile.of_items_at_risk <= 0.0 {
            return Err(NoLife::NoneAtRisk);
        }
        let seen = Fitted::as_seen(profile)?;
        let seen_shape = seen.fit.distribution().shape();
        let seen_variance = seen.fit.covariance().ln_sigma;
        let fitted = Fitted::within_units(profile, share_reported, seen_shape).unwrap_or(seen);
        let found = &fitted.fit;
        let life = found.distribution();
        let shape = found.shape_limits(CONFIDENCE);
        let tenth = Probability::new(0.1).expect("a probability");
        let b10 = found.quantile_limits(tenth, CONFIDENCE);
        Ok(Self {
            shape: life.shape(),
            shape_low: shape.low,
            shape_high: Some(shape.high).filter(|high| *high < 100.0),
            scale_years: life.scale(),
            b10_years: life.quantile(tenth),
            b10_low: b10.low,
            b10_high: found.useful_upper(b10),
            pattern: Pattern::of(shape, profile.failures()),
            failures: profile.failures(),
            found_at_inspection: profile.found_at_inspection,
            without_age: profile.without_age,
            age_not_on_record: profile.age_not_on_record,
            too_recent: profile.too_recent,
            oldest_years: profile.at_risk.all.len() as f64 * STEP_YEARS,
            points: points(profile, &fitted),
            seen_shape,
            seen_variance,
        })
    }
}

fn points(profile: &AgeProfile<'_>, found: &Fitted) -> Vec<LifePoint> {
    let counted = found.counted(profile);
    let (mut hazard, mut next) = (0.0, 0);
    (1..=SHOWN)
        .map(|n| {
            let end = (n * counted.len()).div_ceil(SHOWN).max(1);
            hazard += counted[next..end].iter().sum::<f64>();
            next = end;
            let age_years = end as f64 * STEP_YEARS;
            let limits = found.fit.failed_by_wald(age_years, CONFIDENCE);
            let failed = -found.fit.distribution().ln_survival(age_years).exp_m1();
            LifePoint { age_years, failed, low: limits.low, high: limits.high, counted: -(-hazard).exp_m1() }
        })
        .collect()
}
