//! Which of many comparisons to believe: the Benjamini-Hochberg step-up procedure.

use crate::error::StatsError;

/// Adjusted p-values, in the order given: comparison `i` is called at false-discovery rate `q` when its value is `<= q`.
///
/// With the p-values sorted, the adjusted value of rank `r` of `m` is the running minimum from the top of
/// `p_(r) m / r`. The expected share of false calls among all calls is then at most `q` for independent (and for
/// positively dependent) comparisons. An empty list gives an empty list.
///
/// Source: Benjamini & Hochberg, J. R. Stat. Soc. B 57 (1995) 289.
///
/// # Errors
/// [`StatsError::ItemOutOfRange`] for a value outside 0 to 1.
///
/// ```
/// let adjusted = stats::false_discovery::benjamini_hochberg(&[0.01, 0.04, 0.03]).unwrap();
/// assert_eq!(adjusted, [0.03, 0.04, 0.04]);
/// ```
pub fn benjamini_hochberg(p_values: &[f64]) -> Result<Vec<f64>, StatsError> {
    if let Some(index) = p_values.iter().position(|p| !(0.0..=1.0).contains(p)) {
        let (what, accepted) = ("p-value", "from 0 to 1");
        return Err(StatsError::ItemOutOfRange { what, index, value: p_values[index], accepted });
    }
    let mut order: Vec<usize> = (0..p_values.len()).collect();
    order.sort_by(|&i, &j| p_values[i].total_cmp(&p_values[j]));
    let total = p_values.len() as f64;
    let mut adjusted = vec![0.0; p_values.len()];
    let mut least = 1.0_f64;
    for (rank, &i) in order.iter().enumerate().rev() {
        least = least.min(p_values[i] * (total / (rank as f64 + 1.0)));
        adjusted[i] = least;
    }
    Ok(adjusted)
}

/// Which comparisons Bonferroni's rule calls: `p m <= q`, so that any false call at all has probability at most `q`.
///
/// Far stricter than [`called`] where there are many comparisons.
///
/// # Errors
/// As [`called`].
///
/// ```
/// use stats::false_discovery::{bonferroni_called, called};
/// let p = [0.01, 0.02, 0.9];
/// assert_eq!(bonferroni_called(&p, 0.05).unwrap(), [true, false, false]);
/// assert_eq!(called(&p, 0.05).unwrap(), [true, true, false]);
/// ```
pub fn bonferroni_called(p_values: &[f64], q: f64) -> Result<Vec<bool>, StatsError> {
    called(p_values, q)?;
    let total = p_values.len() as f64;
    Ok(p_values.iter().map(|&p| p * total <= q).collect())
}

/// Which comparisons the step-up procedure calls at false-discovery rate `q`, in the order given.
///
/// Compares `p_(r) m <= r q` directly, so that a value exactly on its line counts as called despite rounding.
///
/// # Errors
/// [`StatsError::ItemOutOfRange`] for a p-value, [`StatsError::OutOfRange`] for a `q`, outside 0 to 1.
pub fn called(p_values: &[f64], q: f64) -> Result<Vec<bool>, StatsError> {
    if !(0.0..=1.0).contains(&q) {
        return Err(StatsError::OutOfRange {
            what: "false-discovery rate",
            value: q,
            accepted: "from 0 to 1",
        });
    }
    let adjusted = benjamini_hochberg(p_values)?;
    Ok(adjusted.iter().map(|&p| p <= q * (1.0 + 4.0 * f64::EPSILON)).collect())
}
