//! Uncertainty of a measured or summed quantity: contributions combined, effective degrees of freedom, roll-up of parts.

use crate::error::{StatsError, not_negative};
use crate::special::{Tails, student};
use crate::value::{Confidence, Interval};

/// One contribution to an uncertainty: a standard uncertainty already multiplied by its sensitivity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contribution {
    /// Standard uncertainty in the unit of the result, 0 or more.
    pub standard: f64,
    /// Degrees of freedom it rests on: 0.001 or more, infinite for one known without sampling.
    pub freedom: f64,
}

/// A combined uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Combined {
    /// Combined standard uncertainty, the root of the sum of squares.
    pub standard: f64,
    /// Effective degrees of freedom by Welch and Satterthwaite, not rounded; infinite where nothing was sampled.
    pub freedom: f64,
}

/// An expanded uncertainty and the factor that made it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expanded {
    /// Coverage factor.
    pub factor: f64,
    /// Half width of the interval: factor times standard uncertainty.
    pub half_width: f64,
}

/// Combines independent contributions.
///
/// `u^2 = sum(u_i^2)` and `nu = u^4 / sum(u_i^4 / nu_i)`, with nothing rounded on the way: the printed example G.4.1 of
/// the guide gets 19.0 from a rounded `u`, where the exact 18.9987 truncates to 18.
///
/// Source: JCGM 100:2008 (GUM), 5.1.2 and G.4.1.
///
/// # Errors
/// [`StatsError::TooFew`] for no contributions, [`StatsError::ItemOutOfRange`] for a value out of range.
///
/// ```
/// use stats::uncertainty::{Contribution, combine};
/// let part = |standard, freedom| Contribution { standard, freedom };
/// // GUM G.4.1, in percent.
/// let all = combine(&[part(0.25, 9.0), part(0.57, 4.0), part(0.82, 14.0)]).unwrap();
/// assert!((all.standard - 1.03).abs() < 5e-3 && (all.freedom - 18.9987).abs() < 5e-5);
/// ```
pub fn combine(contributions: &[Contribution]) -> Result<Combined, StatsError> {
    if contributions.is_empty() {
        return Err(StatsError::TooFew { what: "contributions", given: 0, needed: 1 });
    }
    let mut largest = 0.0_f64;
    for (index, c) in contributions.iter().enumerate() {
        let bad = |what, value, accepted| Err(StatsError::ItemOutOfRange { what, index, value, accepted });
        if not_negative("standard uncertainty", c.standard).is_err() {
            return bad("standard uncertainty", c.standard, "a finite number of 0 or more");
        }
        if c.freedom.is_nan() || c.freedom < 0.001 {
            return bad("degrees of freedom", c.freedom, "0.001 or more, infinity included");
        }
        largest = largest.max(c.standard);
    }
    if largest == 0.0 {
        return Ok(Combined { standard: 0.0, freedom: f64::INFINITY });
    }
    // Taken relative to the largest, so that fourth powers neither overflow nor vanish.
    let (mut squares, mut fourths) = (0.0, 0.0);
    for c in contributions {
        let square = (c.standard / largest).powi(2);
        squares += square;
        fourths += square * square / c.freedom;
    }
    Ok(Combined { standard: largest * squares.sqrt(), freedom: squares * squares / fourths })
}

impl Combined {
    /// Expanded uncertainty with Student's t at the effective degrees of freedom as they are.
    pub fn expanded(self, confidence: Confidence) -> Expanded {
        let factor = student::quantile(Tails::from_upper(confidence.half_risk()), self.freedom);
        Expanded { factor, half_width: factor * self.standard }
    }

    /// Expanded uncertainty with the degrees of freedom cut to a whole number, as the guide prints it.
    ///
    /// `None` below one degree of freedom.
    pub fn expanded_truncated(self, confidence: Confidence) -> Option<Expanded> {
        let whole = self.freedom.floor();
        (whole >= 1.0).then(|| Self { freedom: whole, ..self }.expanded(confidence))
    }
}

/// One kind of part in a roll-up of masses (or of any other quantity that adds).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Part {
    /// How many of it, finite; negative for parts taken out.
    pub quantity: f64,
    /// Value of one.
    pub value: f64,
    /// Standard uncertainty of one, 0 or more, shared by all of its kind.
    pub standard: f64,
    /// Kinds with the same group err together (one scale, one cloth); `None` errs by itself.
    pub group: Option<usize>,
}

/// A total and its standard uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Total {
    /// Sum of quantity times value.
    pub value: f64,
    /// Combined standard uncertainty.
    pub standard: f64,
}

impl Total {
    /// The normal interval around the total.
    pub fn interval(self, confidence: Confidence) -> Interval {
        let reach = confidence.normal_reach() * self.standard;
        Interval { low: self.value - reach, high: self.value + reach }
    }
}

/// Adds parts up: `total = sum(q m)`, a group's uncertainties `q u` adding linearly, groups in quadrature.
///
/// The quantity multiplies the uncertainty linearly, since parts made to one drawing share its error. For a difference
/// before and after a change leave the shared parts out on both sides, or give the parts removed a negative quantity
/// and the group of those they share an error with; two separate totals would overstate its uncertainty.
///
/// # Errors
/// [`StatsError::TooFew`] for no parts, [`StatsError::ItemOutOfRange`] for a value out of range.
pub fn roll_up(parts: &[Part]) -> Result<Total, StatsError> {
    if parts.is_empty() {
        return Err(StatsError::TooFew { what: "parts", given: 0, needed: 1 });
    }
    let mut value = 0.0;
    let mut squares = 0.0;
    let mut groups = std::collections::BTreeMap::<usize, f64>::new();
    for (index, part) in parts.iter().enumerate() {
        for (what, number) in [("quantity", part.quantity), ("value", part.value)] {
            if !number.is_finite() {
                return Err(StatsError::ItemOutOfRange {
                    what,
                    index,
                    value: number,
                    accepted: "a finite number",
                });
            }
        }
        if not_negative("standard uncertainty", part.standard).is_err() {
            let (what, accepted) = ("standard uncertainty", "a finite number of 0 or more");
            return Err(StatsError::ItemOutOfRange { what, index, value: part.standard, accepted });
        }
        value += part.quantity * part.value;
        let own = part.quantity * part.standard;
        match part.group {
            Some(group) => *groups.entry(group).or_default() += own,
            None => squares += own * own,
        }
    }
    squares += groups.values().map(|sum| sum * sum).sum::<f64>();
    Ok(Total { value, standard: squares.sqrt() })
}

/// One size of a tariff: what it weighs and how often it is issued.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Size {
    /// Share, or count, of items in this size; shares are brought to a sum of 1.
    pub share: f64,
    /// Value of one.
    pub value: f64,
    /// Standard uncertainty of one, 0 or more.
    pub standard: f64,
}

/// A mean over the sizes of a tariff with its uncertainties.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TariffMean {
    /// Mean by share.
    pub mean: f64,
    /// Standard deviation of the values over the items.
    pub spread: f64,
    /// From the values' uncertainties when sizes err independently: `sqrt(sum p^2 u^2)`.
    pub standard_independent: f64,
    /// From the values' uncertainties when sizes err together: `sum p u`.
    pub standard_together: f64,
    /// From the shares having been counted in a sample: `sqrt((sum p m^2 - mean^2) / n)`; 0 for shares known exactly.
    pub standard_of_shares: f64,
}

/// Mean over a tariff of sizes, with `sampled` items behind the shares (`None` for shares known exactly).
///
/// # Errors
/// [`StatsError::TooFew`] for no sizes, [`StatsError::ItemOutOfRange`] for a value out of range, and
/// [`StatsError::OutOfRange`] for shares that add up to 0 or a sample size that is not above 0.
pub fn tariff_mean(sizes: &[Size], sampled: Option<f64>) -> Result<TariffMean, StatsError> {
    if sizes.is_empty() {
        return Err(StatsError::TooFew { what: "sizes", given: 0, needed: 1 });
    }
    for (index, size) in sizes.iter().enumerate() {
        for (what, value) in [("share", size.share), ("standard uncertainty", size.standard)] {
            if not_negative(what, value).is_err() {
                let accepted = "a finite number of 0 or more";
                return Err(StatsError::ItemOutOfRange { what, index, value, accepted });
            }
        }
        crate::error::finite("value", size.value)?;
    }
    let total = crate::error::positive("sum of the shares", sizes.iter().map(|s| s.share).sum())?;
    let weigh = |f: &dyn Fn(&Size) -> f64| sizes.iter().map(|s| s.share / total * f(s)).sum::<f64>();
    let mean = weigh(&|s| s.value);
    let spread = weigh(&|s| (s.value - mean).powi(2)).sqrt();
    let standard_of_shares = match sampled {
        Some(n) => spread / crate::error::positive("sample size", n)?.sqrt(),
        None => 0.0,
    };
    Ok(TariffMean {
        mean,
        spread,
        standard_independent: weigh(&|s| s.share / total * s.standard * s.standard).sqrt(),
        standard_together: weigh(&|s| s.standard),
        standard_of_shares,
    })
}
