//! How often each pair of labels occurs, with labels numbered in the order they are first met.

use std::collections::BTreeMap;

/// So many labels are looked up in a list, the rest in a tree.
const LISTED: usize = 128;

/// Numbers for labels.
struct Numbers<'a, T> {
    /// The first labels met, in their own order.
    listed: Vec<(&'a T, usize)>,
    others: BTreeMap<&'a T, usize>,
}

impl<'a, T: Ord> Numbers<'a, T> {
    fn new() -> Self {
        Self { listed: Vec::new(), others: BTreeMap::new() }
    }

    fn count(&self) -> usize {
        self.listed.len() + self.others.len()
    }

    fn of(&mut self, label: &'a T) -> usize {
        let next = self.count();
        match self.listed.binary_search_by(|(known, _)| (*known).cmp(label)) {
            Ok(place) => self.listed[place].1,
            Err(place) if next < LISTED => {
                self.listed.insert(place, (label, next));
                next
            }
            Err(_) => *self.others.entry(label).or_insert(next),
        }
    }
}

/// A table of two labellings of the same items.
pub(crate) struct CrossTable {
    /// Each pair of numbers that occurs, with how often.
    pub(crate) cells: Vec<((usize, usize), u64)>,
    /// How often each label occurs in the first and in the second labelling.
    pub(crate) rows: Vec<u64>,
    pub(crate) columns: Vec<u64>,
}

impl CrossTable {
    /// Labels of both kinds apart: that two are equal means nothing.
    pub(crate) fn apart<T: Ord, F: Ord>(first: &[T], second: &[F]) -> Self {
        let (mut ones, mut twos) = (Numbers::new(), Numbers::new());
        let pairs = first.iter().zip(second).map(|(one, two)| (ones.of(one), twos.of(two))).collect();
        Self::of(pairs, ones.count(), twos.count())
    }

    /// Equal labels have one number in both.
    pub(crate) fn shared<T: Ord>(first: &[T], second: &[T]) -> Self {
        let mut names = Numbers::new();
        let pairs = first.iter().zip(second).map(|(one, two)| (names.of(one), names.of(two))).collect();
        let count = names.count();
        Self::of(pairs, count, count)
    }

    fn of(pairs: Vec<(usize, usize)>, height: usize, width: usize) -> Self {
        let mut cells = Vec::new();
        if height.saturating_mul(width) <= 4 * pairs.len() {
            let mut all = vec![0; height * width];
            for (one, two) in pairs {
                all[one * width + two] += 1;
            }
            let filled = all.into_iter().enumerate().filter(|&(_, count)| count > 0);
            cells.extend(filled.map(|(at, count)| ((at / width, at % width), count)));
        } else {
            let mut all = BTreeMap::new();
            for pair in pairs {
                *all.entry(pair).or_insert(0) += 1;
            }
            cells.extend(all);
        }
        let (mut rows, mut columns) = (vec![0; height], vec![0; width]);
        for &((one, two), count) in &cells {
            rows[one] += count;
            columns[two] += count;
        }
        Self { cells, rows, columns }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The table as a tree, keyed by the labels.
    fn plainly(first: &[u64], second: &[u64]) -> BTreeMap<(u64, u64), u64> {
        let mut all = BTreeMap::new();
        for (&one, &two) in first.iter().zip(second) {
            *all.entry((one, two)).or_insert(0) += 1;
        }
        all
    }

    #[test]
    fn few_labels_and_many_are_counted_alike() {
        for kinds in [1, 2, 12, 127, 129, 5000] {
            let first: Vec<u64> = (0..3000_u64).map(|i| i * i * 7919 % kinds).collect();
            let second: Vec<u64> = (0..3000_u64).map(|i| i * 104_729 % kinds).collect();
            let plain = plainly(&first, &second);
            for table in [CrossTable::apart(&first, &second), CrossTable::shared(&first, &second)] {
                let (mut counted, mut expected): (Vec<u64>, Vec<u64>) =
                    (table.cells.iter().map(|cell| cell.1).collect(), plain.values().copied().collect());
                counted.sort_unstable();
                expected.sort_unstable();
                assert_eq!(counted, expected);
                assert_eq!(table.rows.iter().sum::<u64>(), 3000);
                assert_eq!(table.columns.iter().sum::<u64>(), 3000);
            }
            let alike = |table: &CrossTable| -> u64 {
                table.cells.iter().filter(|((one, two), _)| one == two).map(|cell| cell.1).sum()
            };
            let expected: u64 =
                plain.iter().filter(|((one, two), _)| one == two).map(|(_, count)| count).sum();
            assert_eq!(alike(&CrossTable::shared(&first, &second)), expected);
        }
    }
}
