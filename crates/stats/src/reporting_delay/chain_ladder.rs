//! The chain ladder with Mack's standard errors.

use crate::error::StatsError;

/// One period of a chain ladder.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ladder {
    /// Amount when all is in.
    pub ultimate: f64,
    /// What is still to come.
    pub outstanding: f64,
    /// Standard error of what is still to come.
    pub standard_error: f64,
}

/// A chain ladder of a whole triangle.
#[derive(Clone, Debug, PartialEq)]
pub struct ChainLadder {
    /// Growth from each delay to the next.
    pub factors: Vec<f64>,
    /// Variance parameter of each factor.
    pub variances: Vec<f64>,
    /// By period, the oldest first.
    pub periods: Vec<Ladder>,
    /// Sum of what is still to come.
    pub total_outstanding: f64,
    /// Its standard error.
    pub total_standard_error: f64,
}

/// The chain ladder of a square triangle of amounts by period and delay, each row one shorter than the one before.
///
/// Factors `f_k = sum C_(i,k+1) / sum C_ik` on cumulative amounts `C`; variance parameters
/// `s2_k = sum C_ik (C_(i,k+1)/C_ik - f_k)^2 / (n - k - 2)`, the last one by Mack's rule
/// `min(s2_(n-3)^2 / s2_(n-4), s2_(n-4), s2_(n-3))`.
///
/// Source: T. Mack, ASTIN Bulletin 23 (1993) 213.
///
/// # Errors
/// [`StatsError::TooFew`] for fewer than four periods, [`StatsError::LengthsDiffer`] for a row of the wrong length,
/// [`StatsError::ItemOutOfRange`] for an amount that is not finite, [`StatsError::NoEstimate`] where a cumulative amount
/// is not above 0.
pub fn chain_ladder(triangle: &[Vec<f64>]) -> Result<ChainLadder, StatsError> {
    let n = triangle.len();
    if n < 4 {
        return Err(StatsError::TooFew { what: "periods", given: n, needed: 4 });
    }
    let mut grown = Vec::with_capacity(n);
    for (i, row) in triangle.iter().enumerate() {
        grown.push(accumulated(i, row, n - i)?);
    }
    let factors: Vec<f64> = (0..n - 1)
        .map(|k| {
            let rows = &grown[..n - 1 - k];
            rows.iter().map(|c| c[k + 1]).sum::<f64>() / rows.iter().map(|c| c[k]).sum::<f64>()
        })
        .collect();
    let mut variances: Vec<f64> = (0..n - 2)
        .map(|k| {
            let squares: f64 =
                grown[..n - 1 - k].iter().map(|c| c[k] * (c[k + 1] / c[k] - factors[k]).powi(2)).sum();
            squares / (n - k - 2) as f64
        })
        .collect();
    let (before, last) = (variances[n - 4], variances[n - 3]);
    let ruled = if before > 0.0 { (last * last / before).min(before).min(last) } else { 0.0 };
    variances.push(ruled);
    Ok(completed(&grown, factors, variances))
}

/// A row's running sums, each above 0.
fn accumulated(index: usize, row: &[f64], due: usize) -> Result<Vec<f64>, StatsError> {
    if row.len() != due {
        let (first, second) = ("amounts in a row of the triangle", "delays its period has seen");
        return Err(StatsError::LengthsDiffer { first, second, lengths: (row.len(), due) });
    }
    let mut sum = 0.0;
    let mut sums = Vec::with_capacity(due);
    for &value in row {
        if !value.is_finite() {
            return Err(StatsError::ItemOutOfRange {
                what: "amount in row",
                index,
                value,
                accepted: "a finite number",
            });
        }
        sum += value;
        if sum <= 0.0 {
            return Err(StatsError::NoEstimate { reason: "a period has nothing yet to grow from" });
        }
        sums.push(sum);
    }
    Ok(sums)
}

/// Projects every period to the end and adds up the errors.
fn completed(grown: &[Vec<f64>], factors: Vec<f64>, variances: Vec<f64>) -> ChainLadder {
    let n = grown.len();
    // What a factor rests on: the sum of the amounts it was taken from.
    let bases: Vec<f64> = (0..n - 1).map(|k| grown[..n - 1 - k].iter().map(|c| c[k]).sum()).collect();
    let relative = |k: usize| variances[k] / (factors[k] * factors[k]);
    let mut periods = Vec::with_capacity(n);
    for row in grown {
        let now = row[row.len() - 1];
        let (mut amount, mut sum) = (now, 0.0);
        for k in row.len() - 1..n - 1 {
            sum += relative(k) * (1.0 / amount + 1.0 / bases[k]);
            amount *= factors[k];
        }
        periods.push(Ladder {
            ultimate: amount,
            outstanding: amount - now,
            standard_error: amount * sum.sqrt(),
        });
    }
    let mut square = 0.0;
    for (i, period) in periods.iter().enumerate() {
        let younger: f64 = periods[i + 1..].iter().map(|p| p.ultimate).sum();
        // Periods share the factors, so that their errors go together.
        let shared: f64 = (n - 1 - i..n - 1).map(|k| 2.0 * relative(k) / bases[k]).sum();
        square += period.standard_error.powi(2) + period.ultimate * younger * shared;
    }
    let total_outstanding = periods.iter().map(|p| p.outstanding).sum();
    ChainLadder { factors, variances, periods, total_outstanding, total_standard_error: square.sqrt() }
}
