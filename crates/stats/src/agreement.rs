//! Agreement of two judges beyond chance: Cohen's kappa.

use crate::cross_table::CrossTable;
use crate::error::StatsError;

/// How far two judges who named the same items agree.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Agreement {
    /// Items judged.
    pub items: u64,
    /// Share on which both gave the same name.
    pub observed: f64,
    /// Share on which they would by chance, `sum of row share * column share`.
    pub by_chance: f64,
    /// `(observed - by_chance) / (1 - by_chance)`; `None` where chance alone agrees on everything.
    pub kappa: Option<f64>,
    /// Standard error of kappa, for limits around it; `None` where kappa is.
    pub standard_error: Option<f64>,
}

/// Compares the names two judges gave to the same items.
///
/// `kappa = (po - pe)/(1 - pe)`; its variance is
/// `[sum_i p_ii (1 - (p_i. + p_.i)(1 - k))^2 + (1 - k)^2 sum_{i != j} p_ij (p_.i + p_j.)^2 - (k - pe (1 - k))^2] / (n (1 - pe)^2)`.
///
/// Sources: J. Cohen, Educ. Psychol. Meas. 20 (1960); J. L. Fleiss, J. Cohen and B. S. Everitt, Psychol. Bull. 72 (1969).
///
/// ```
/// // 20 and 15 items named alike, 5 and 10 not: kappa 0.4.
/// let first: Vec<_> = "y".repeat(25).chars().chain("n".repeat(25).chars()).collect();
/// let second: Vec<_> = ["y".repeat(20), "n".repeat(5), "y".repeat(10), "n".repeat(15)].concat().chars().collect();
/// assert!((stats::agreement::kappa(&first, &second).unwrap().kappa.unwrap() - 0.4).abs() < 1e-15);
/// ```
///
/// # Errors
/// [`StatsError::LengthsDiffer`] where an item has one name only; [`StatsError::TooFew`] for no items.
pub fn kappa<T: Ord>(first: &[T], second: &[T]) -> Result<Agreement, StatsError> {
    if first.len() != second.len() {
        return Err(StatsError::LengthsDiffer {
            first: "names by the first judge",
            second: "by the second",
            lengths: (first.len(), second.len()),
        });
    }
    if first.is_empty() {
        return Err(StatsError::TooFew { what: "items judged", given: 0, needed: 1 });
    }
    let CrossTable { cells, rows, columns } = CrossTable::shared(first, second);
    let n = first.len() as u64;
    let alike: u64 = cells.iter().filter(|((one, two), _)| one == two).map(|(_, count)| count).sum();
    let chance: u128 =
        rows.iter().zip(&columns).map(|(&row, &column)| u128::from(row) * u128::from(column)).sum();
    let all = u128::from(n) * u128::from(n);
    let (observed, by_chance) = (alike as f64 / n as f64, chance as f64 / all as f64);
    let mut found = Agreement { items: n, observed, by_chance, kappa: None, standard_error: None };
    if chance < all {
        let agreed = u128::from(alike) * u128::from(n);
        let beyond = agreed as f64 - chance as f64;
        let k = beyond / (all - chance) as f64;
        let share = |count: u64| count as f64 / n as f64;
        let (mut sum, rest) = (0.0, 1.0 - k);
        for ((one, two), count) in cells {
            sum += share(count)
                * if one == two {
                    (1.0 - (share(rows[one]) + share(columns[one])) * rest).powi(2)
                } else {
                    (rest * (share(columns[one]) + share(rows[two]))).powi(2)
                };
        }
        let variance = (sum - (k - by_chance * rest).powi(2)) / (n as f64 * (1.0 - by_chance).powi(2));
        found.kappa = Some(k);
        found.standard_error = Some(variance.max(0.0).sqrt());
    }
    Ok(found)
}
