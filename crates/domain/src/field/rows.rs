//! Rows of which a copy shares what didn't change: a picture can be kept while the next one takes in a few more.

use std::marker::PhantomData;
use std::sync::Arc;

use super::ids::Id;

/// Rows kept together; a change copies so many at most.
const CHUNK: usize = 1024;

/// Rows found by their id, as in a [`Table`](super::Table); cloning them costs a pointer for every thousand.
#[derive(Clone, Debug)]
pub struct Rows<I, T> {
    chunks: Vec<Arc<Vec<T>>>,
    id: PhantomData<I>,
}

impl<I: Id, T: Clone> Rows<I, T> {
    /// Adds a row and says its id.
    pub fn push(&mut self, row: T) -> I {
        let at = self.len();
        match self.chunks.last_mut() {
            Some(last) if last.len() < CHUNK => Arc::make_mut(last).push(row),
            _ => {
                let mut chunk = Vec::with_capacity(CHUNK);
                chunk.push(row);
                self.chunks.push(Arc::new(chunk));
            }
        }
        I::from_index(at)
    }

    /// Puts a row in the place of another.
    pub fn set(&mut self, id: I, row: T) {
        Arc::make_mut(&mut self.chunks[id.index() / CHUNK])[id.index() % CHUNK] = row;
    }

    /// How many rows.
    pub fn len(&self) -> usize {
        self.chunks.last().map_or(0, |last| (self.chunks.len() - 1) * CHUNK + last.len())
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.chunks.is_empty()
    }

    /// Every row, in order.
    pub fn values(&self) -> impl Iterator<Item = &T> {
        self.chunks.iter().flat_map(|chunk| chunk.iter())
    }

    /// Every row with its id, in order.
    pub fn iter(&self) -> impl Iterator<Item = (I, &T)> {
        self.values().enumerate().map(|(at, row)| (I::from_index(at), row))
    }
}

impl<I, T> Default for Rows<I, T> {
    fn default() -> Self {
        Self { chunks: Vec::new(), id: PhantomData }
    }
}

impl<I: Id, T> std::ops::Index<I> for Rows<I, T> {
    type Output = T;
    fn index(&self, id: I) -> &T {
        &self.chunks[id.index() / CHUNK][id.index() % CHUNK]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::field::ReportId;

    #[test]
    fn a_copy_stays_as_it_was() {
        let mut rows: Rows<ReportId, usize> = Rows::default();
        for n in 0..3 * CHUNK - 1 {
            assert_eq!(rows.push(n), ReportId::from_index(n));
        }
        let before = rows.clone();
        rows.push(7);
        rows.set(ReportId::from_index(5), 9);
        assert_eq!((before.len(), rows.len()), (3 * CHUNK - 1, 3 * CHUNK));
        let five = ReportId::from_index(5);
        assert_eq!((before[five], rows[five], rows.values().last()), (5, 9, Some(&7)));
        assert!(Arc::ptr_eq(&before.chunks[1], &rows.chunks[1]), "the untouched rows are shared");
        assert!(rows.iter().all(|(id, &n)| id == five || n == 7 || n == id.index()));
    }
}
