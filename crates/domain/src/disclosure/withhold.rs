//! Small counts withheld, and others with them (primary and complementary cell suppression, as the literature of statistical
//! disclosure control calls it; Willenborg and de Waal, Elements of Statistical Disclosure Control, 2001, from memory).

use super::Told;

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
