//! Which of many comparisons to believe: the Benjamini-Hochberg step-up procedure.

use crate::dealing;
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
    let total = p_values.len() as f64;
    let mut adjusted = vec![0.0; p_values.len()];
    let mut least = 1.0_f64;
    for (rank, i) in ranked(p_values).enumerate().rev() {
        least = least.min(p_values[i] * (total / (rank as f64 + 1.0)));
        adjusted[i] = least;
    }
    Ok(adjusted)
}

/// The places of the p-values, each from 0 to 1, by rising value.
fn ranked(p_values: &[f64]) -> impl DoubleEndedIterator<Item = usize> + ExactSizeIterator {
    // Sorted are whole numbers: as much of the value as there is room for, then the place.
    let place_bits = usize::BITS - p_values.len().leading_zeros();
    let value_bits = (u64::BITS - place_bits).min(f64::MANTISSA_DIGITS);
    let steps = (1_u64 << value_bits) - 1;
    let number = |(&p, place): (&f64, u64)| ((p * steps as f64) as u64).min(steps) << place_bits | place;
    let place_of = move |number: u64| (number & ((1 << place_bits) - 1)) as usize;
    let numbers = p_values.iter().zip(0..).map(number).collect();
    let mut sorted = dealing::sorted(numbers, value_bits + place_bits, place_bits);
    for alike in sorted.chunk_by_mut(|one, two| one >> place_bits == two >> place_bits) {
        if alike.len() > 1 {
            alike.sort_by(|&one, &two| p_values[place_of(one)].total_cmp(&p_values[place_of(two)]));
        }
    }
    sorted.into_iter().map(place_of)
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
    Ok(p_values.iter().map(|&p| is_within(p * total, q)).collect())
}

/// Which comparisons the step-up procedure calls at false-discovery rate `q`, in the order given.
///
/// A value on its line counts as called, whatever rounding makes of it.
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
    Ok(adjusted.iter().map(|&p| is_within(p, q)).collect())
}

/// Whether a value is at most a bound, or above it by no more than rounding.
fn is_within(value: f64, bound: f64) -> bool {
    value <= bound * (1.0 + 4.0 * f64::EPSILON)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_stand_in_their_order_also_where_they_are_close_or_alike() {
        let close = |i: u64| f64::from_bits(1.0_f64.to_bits() - i * 7919 % 40);
        let small = |i: u64| 10.0_f64.powi(-((i * 7919 % 300) as i32));
        let ends = |i: u64| (i * i % 3) as f64 / 2.0;
        for count in [0, 1, 2, 63, 1000] {
            for value in [close, small, ends] {
                let values: Vec<f64> = (0..count).map(value).collect();
                let places: Vec<usize> = ranked(&values).collect();
                assert!(places.is_sorted_by(|&one, &two| (values[one], one) <= (values[two], two)));
                let mut all = places;
                all.sort_unstable();
                assert!(all.into_iter().eq(0..values.len()));
            }
        }
    }
}
