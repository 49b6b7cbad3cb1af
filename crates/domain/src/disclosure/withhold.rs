//! Small counts withheld, and others with them (primary and complementary cell suppression, as the literature of statistical
//! disclosure control calls it; Willenborg and de Waal, Elements of Statistical Disclosure Control, 2001, from memory).

use super::{Counts, Told};

/// What the rows of the table by lot lie whole within: a lot has one maker and one size.
const AROUND_LOTS: [&str; 2] = ["maker", "size"];

/// The counts of one table that may be told where their total is told too.
///
/// Every count from 1 to `threshold - 1` is withheld. A single one could be worked out from the total, and so could several
/// whose sum leaves no choice: the smallest of the other counts go with them until at least two are withheld and together
/// come to `threshold` or more, and to more than one each. Where that can't be, all are withheld. An empty row is told: it
/// tells of nobody. `None` where every count is one: the total would tell them all, however many are withheld.
pub fn withhold(counts: &[u64], threshold: u64) -> Option<Vec<Told>> {
    let mut by_size: Vec<usize> = (0..counts.len()).filter(|&at| counts[at] > 0).collect();
    by_size.sort_by_key(|&at| counts[at]);
    let small = by_size.iter().take_while(|&&at| counts[at] < threshold).count();
    let (mut gone, mut sum) = (small, by_size[..small].iter().map(|&at| counts[at]).sum::<u64>());
    while small > 0 && gone < by_size.len() && (gone < 2 || sum < threshold || sum == gone as u64) {
        sum += counts[by_size[gone]];
        gone += 1;
    }
    if gone > 1 && sum == gone as u64 {
        return None;
    }
    let mut told: Vec<Told> = counts.iter().copied().map(Some).collect();
    for &at in &by_size[..gone] {
        told[at] = None;
    }
    Some(told)
}

/// By what no table may leave beside the one by lot: whoever knows the lots adds up those of a maker or a size, and the
/// difference between what the two tables tell is what one of them withholds. Where either withholds anything, the lots leave
/// alone. No other two tables lie within each other: quarters, harm, units, sizes and makers cut across.
pub(super) fn adding_up(tables: &[Counts]) -> Vec<&'static str> {
    let withholds = |table: &Counts| table.rows.iter().any(|(_, told)| told.is_none());
    let Some(lots) = tables.iter().find(|table| table.by == "lot") else { return Vec::new() };
    let around = tables.iter().filter(|table| AROUND_LOTS.contains(&table.by));
    around.filter(|table| withholds(lots) || withholds(table)).map(|table| table.by).collect()
}
