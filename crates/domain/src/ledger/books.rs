//! In which books an item stands: the best account, and the least and the most that the records allow.

/// A set of accounts in which items are counted.
///
/// "Lot" accounts answer how many of one lot; "all" accounts answer how many of the part, whichever lot. They
/// differ where records mix up lots: eight too few of one lot and six too many of another are two lost items.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Books(u8);

impl Books {
    /// No account.
    pub const NONE: Self = Self(0);
    /// The least of the lot.
    pub const LOT_LOW: Self = Self(1);
    /// The best account.
    pub const BEST: Self = Self(2);
    /// The most of the lot.
    pub const LOT_HIGH: Self = Self(4);
    /// The least of the part.
    pub const ALL_LOW: Self = Self(8);
    /// The most of the part.
    pub const ALL_HIGH: Self = Self(16);
    /// Every account.
    pub const CERTAIN: Self = Self(31);
    /// The most, of lot and part.
    pub const MOST: Self = Self(4 | 16);

    /// With the accounts of `other` added.
    pub const fn with(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// Without the accounts of `other`.
    pub const fn without(self, other: Self) -> Self {
        Self(self.0 & !other.0)
    }

    /// Whether it has every account of `other`.
    pub const fn has(self, other: Self) -> bool {
        self.0 & other.0 == other.0
    }

    /// Whether it is in no account.
    pub const fn is_none(self) -> bool {
        self.0 == 0
    }
}

/// A quantity with the least and the most that the records allow.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Span {
    /// The best account.
    pub best: f64,
    /// The least.
    pub low: f64,
    /// The most.
    pub high: f64,
}

impl Span {
    /// Adds an amount to the accounts of one lot.
    pub fn add_lot(&mut self, books: Books, amount: f64) {
        self.add(books, amount, Books::LOT_LOW, Books::LOT_HIGH);
    }

    /// Adds an amount to the accounts of the part.
    pub fn add_all(&mut self, books: Books, amount: f64) {
        self.add(books, amount, Books::ALL_LOW, Books::ALL_HIGH);
    }

    fn add(&mut self, books: Books, amount: f64, low: Books, high: Books) {
        if books.has(Books::BEST) {
            self.best += amount;
        }
        if books.has(low) {
            self.low += amount;
        }
        if books.has(high) {
            self.high += amount;
        }
    }
}
