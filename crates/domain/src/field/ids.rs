//! Small numbers that stand for named things in a [`Field`](super::Field): four bytes each, also when optional.

use std::num::NonZeroU32;

/// A small number that stands for one row of a table.
pub trait Id: Copy + Eq + std::hash::Hash {
    /// The id of the row at `index`, counted from 0.
    fn from_index(index: usize) -> Self;
    /// The row it stands for, counted from 0.
    fn index(self) -> usize;
}

macro_rules! ids {
    ($($(#[$meta:meta])* $name:ident),+ $(,)?) => { $(
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(NonZeroU32);

        impl Id for $name {
            fn from_index(index: usize) -> Self {
                let number = u32::try_from(index + 1).ok().and_then(NonZeroU32::new);
                Self(number.expect("a table has fewer than four thousand million rows"))
            }
            fn index(self) -> usize {
                self.0.get() as usize - 1
            }
        }
    )+ };
}

ids! {
    /// A unit.
    UnitId,
    /// A part number, all revisions together.
    PartId,
    /// One revision of a part.
    RevisionId,
    /// A lot.
    LotId,
    /// A mode of the catalogue.
    ModeId,
    /// A size.
    SizeId,
    /// A configuration.
    ConfigurationId,
    /// A maker.
    MakerId,
    /// An activity.
    ActivityId,
    /// What a lot label says, as written.
    LotTextId,
    /// A serial number.
    SerialId,
    /// Any other short text: a contract, a notice, a position.
    TextId,
    /// A change.
    ChangeId,
    /// A failure report.
    ReportId,
}

/// Rows of one kind, found by their id.
#[derive(Clone, Debug, PartialEq)]
pub struct Table<I, T> {
    rows: Vec<T>,
    id: std::marker::PhantomData<I>,
}

impl<I: Id, T> Table<I, T> {
    /// As many equal rows as wanted.
    pub fn filled(len: usize, row: T) -> Self
    where
        T: Clone,
    {
        Self { rows: vec![row; len], id: std::marker::PhantomData }
    }

    /// Adds a row and says its id.
    pub fn push(&mut self, row: T) -> I {
        self.rows.push(row);
        I::from_index(self.rows.len() - 1)
    }

    /// How many rows.
    pub fn len(&self) -> usize {
        self.rows.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// Every row with its id, in order.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = (I, &T)> {
        self.rows.iter().enumerate().map(|(i, row)| (I::from_index(i), row))
    }

    /// Every row, in order.
    pub fn rows(&self) -> &[T] {
        &self.rows
    }
}

impl<I: Id, T> Default for Table<I, T> {
    fn default() -> Self {
        Self { rows: Vec::new(), id: std::marker::PhantomData }
    }
}

impl<I: Id, T> std::ops::Index<I> for Table<I, T> {
    type Output = T;
    fn index(&self, id: I) -> &T {
        &self.rows[id.index()]
    }
}

impl<I: Id, T> std::ops::IndexMut<I> for Table<I, T> {
    fn index_mut(&mut self, id: I) -> &mut T {
        &mut self.rows[id.index()]
    }
}
