//! How many items of a lot contain another lot: the share to be expected, the fewest and the most.

/// How much of a lot contains the lot in question.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Content {
    /// Share of its items to be expected to contain it, 0 to 1.
    pub share: f64,
    /// The most of its items that can contain it; infinite where records set no limit.
    pub most: f64,
    /// The most of its items that can be without it; infinite where records set no limit.
    pub without: f64,
}

impl Content {
    /// Nothing of it.
    pub const NOTHING: Self = Self { share: 0.0, most: 0.0, without: f64::INFINITY };
    /// It itself, or wholly made from it.
    pub const ALL: Self = Self { share: 1.0, most: f64::INFINITY, without: 0.0 };

    /// Whether anything can contain it.
    pub fn is_nothing(self) -> bool {
        self.most <= 0.0
    }

    /// Of so many items, the fewest that contain it.
    pub fn fewest_of(self, items: f64) -> f64 {
        (items - self.without).max(0.0)
    }

    /// Of so many items, the most that contain it.
    pub fn most_of(self, items: f64) -> f64 {
        items.min(self.most)
    }

    /// Of items that have it by one way or another, or by both.
    pub(super) fn or(self, other: Self) -> Self {
        Self {
            share: either(self.share, other.share),
            most: self.most + other.most,
            without: self.without.min(other.without),
        }
    }

    /// Of a lot of so many items, which bounds both numbers.
    pub(super) fn within(self, items: Option<f64>) -> Self {
        let items = items.unwrap_or(f64::INFINITY);
        Self { most: self.most.min(items), without: self.without.min(items), ..self }
    }
}

/// The share that has one thing, or another of which it is independent, or both.
pub(super) fn either(one: f64, other: f64) -> f64 {
    one + other - one * other
}

/// What a lot was made from, of one part.
pub(super) struct Group {
    /// How many were made, where known.
    pub(super) items: Option<f64>,
    /// Pieces of the part in each, where known.
    pub(super) pieces: Option<f64>,
    /// The lots used, each with the quantity that went in and how much of it contains the lot in question.
    pub(super) used: Vec<(Option<f64>, Content)>,
}

impl Group {
    /// How much of the made lot contains the lot in question by this part.
    pub(super) fn content(&self) -> Content {
        if self.used.iter().all(|(_, content)| content.is_nothing()) {
            return Content::NOTHING;
        }
        let quantities = self.used.iter().map(|used| used.0);
        let share = super::shares(quantities.clone()).zip(&self.used).map(|(s, (_, c))| s * c.share).sum();
        let items = self.items.filter(|n| *n > 0.0);
        let Some(total) = quantities.sum::<Option<f64>>().filter(|total| *total > 0.0) else {
            let wholly = self.used.iter().all(|(_, content)| content.without <= 0.0);
            let without = if wholly { 0.0 } else { f64::INFINITY };
            return Content { share, most: f64::INFINITY, without }.within(items);
        };
        let sum = |of: fn(Content, f64) -> f64| -> f64 {
            self.used.iter().map(|&(quantity, content)| of(content, quantity.unwrap_or(0.0))).sum()
        };
        let (fewest, most) = (sum(Content::fewest_of), sum(Content::most_of));
        let pieces = self.pieces.filter(|p| *p > 0.0).or(items.map(|n| total / n)).unwrap_or(1.0);
        let made = items.unwrap_or_else(|| (total / pieces - 1e-6).ceil());
        // What the records are short of may be of any lot.
        let short = (made * pieces - total).max(0.0);
        // An item holds so many pieces and no more, and what is of other lots fills so many items and no more; where
        // records don't come out even, only what both leave is sure.
        let sure = (fewest / pieces).min(made - (total - fewest) / pieces).max(0.0);
        Content {
            share,
            most: items_reached(most + short, pieces).min(made),
            without: (made - (sure - 1e-6).ceil().max(0.0)).max(0.0),
        }
    }
}

/// The most items among which a quantity can be spread. A fraction is cut for one item; whole pieces can go one to an
/// item; a length above one can be cut so that nobody knows.
fn items_reached(quantity: f64, pieces: f64) -> f64 {
    let is_whole = (pieces - pieces.round()).abs() < 1e-9;
    match pieces {
        p if p < 1.0 => (quantity / p - 1e-6).ceil(),
        _ if is_whole => (quantity - 1e-6).ceil(),
        _ => f64::INFINITY,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn group(items: Option<f64>, pieces: Option<f64>, used: &[(Option<f64>, Content)]) -> Content {
        Group { items, pieces, used: used.to_vec() }.content()
    }

    #[test]
    fn one_piece_an_item_says_exactly_how_many_contain_it() {
        let used = [(Some(60.0), Content::ALL), (Some(40.0), Content::NOTHING)];
        let content = group(Some(100.0), Some(1.0), &used);
        assert_eq!((content.share, content.most, content.without), (0.6, 60.0, 40.0));
        assert_eq!((content.fewest_of(50.0), content.most_of(50.0)), (10.0, 50.0));
    }

    /// 100 items with two buckles each, 150 of one lot and 50 of the other: 75 items if in pairs, all 100 if not.
    #[test]
    fn two_pieces_an_item_leave_a_span() {
        let used = [(Some(150.0), Content::ALL), (Some(50.0), Content::NOTHING)];
        let content = group(Some(100.0), Some(2.0), &used);
        assert_eq!((content.most, content.without), (100.0, 25.0));
    }

    /// 100 items, but only 90 pieces on record, 50 of them of the lot in question: 50 surely, 60 at most.
    #[test]
    fn what_records_are_short_of_may_be_of_any_lot() {
        let used = [(Some(50.0), Content::ALL), (Some(40.0), Content::NOTHING)];
        let content = group(Some(100.0), Some(1.0), &used);
        assert_eq!((content.most, content.without), (60.0, 50.0));
    }

    /// 110 pieces for 100 items, 60 of them in question: ten were scrapped, so 50 to 60.
    #[test]
    fn what_was_scrapped_may_have_been_of_any_lot() {
        let used = [(Some(60.0), Content::ALL), (Some(50.0), Content::NOTHING)];
        let content = group(Some(100.0), Some(1.0), &used);
        assert_eq!((content.most, content.without), (60.0, 50.0));
    }

    #[test]
    fn quantities_not_on_record_set_no_limit_unless_every_lot_has_it() {
        let mixed = group(Some(80.0), None, &[(None, Content::ALL), (Some(4.0), Content::NOTHING)]);
        assert_eq!((mixed.share, mixed.most, mixed.without), (0.5, 80.0, 80.0));
        let only = group(None, None, &[(None, Content::ALL)]);
        assert_eq!((only.share, only.without, only.fewest_of(7.0), only.most_of(7.0)), (1.0, 0.0, 7.0, 7.0));
    }

    /// 120 m of one roll at 0.35 m an item are for 342 items and most of another, however many were made: all are of that roll.
    #[test]
    fn what_is_wholly_of_one_lot_is_of_it_whatever_is_left_over() {
        let content = group(None, Some(0.35), &[(Some(120.0), Content::ALL)]);
        assert_eq!((content.without, content.fewest_of(10.0), content.most_of(10.0)), (0.0, 10.0, 10.0));
    }

    /// Two metres of a roll for each of 10 items, 5 m of one roll and 15 m of the other: in whole pieces, so 3 to 5 items.
    #[test]
    fn a_length_that_is_a_whole_number_is_taken_as_pieces() {
        let used = [(Some(5.0), Content::ALL), (Some(15.0), Content::NOTHING)];
        let content = group(Some(10.0), Some(2.0), &used);
        assert_eq!((content.most, content.without), (5.0, 7.0));
        let half = group(Some(10.0), Some(0.5), &[(Some(2.0), Content::ALL), (Some(3.0), Content::NOTHING)]);
        assert_eq!((half.most, half.without), (4.0, 6.0));
    }
}
