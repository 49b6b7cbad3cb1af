//! How much of each lot is used, so that no more of it can be used than was made.

use std::collections::HashMap;

/// Sums of quantities with fractions come out even only so far.
const SLACK: f64 = 1e-9;

/// What one lot number stands for.
#[derive(Clone, Debug, Default)]
struct Stock {
    made: Option<u32>,
    by_lot: HashMap<String, f64>,
}

/// Lots by number, with how many were made and what of them was used in which lot.
#[derive(Clone, Debug, Default)]
pub(super) struct UsedUp(HashMap<String, Stock>);

impl UsedUp {
    /// A lot was made. Where several makers have the number, no use can name it, so that it does not matter which stays.
    pub(super) fn make(&mut self, lot_no: &str, made: Option<u32>) {
        self.0.entry(lot_no.to_owned()).or_default().made = made;
    }

    /// Some of a lot was used in another.
    pub(super) fn take(&mut self, lot_no: &str, used_lot_no: &str, quantity: Option<f64>) {
        let stock = self.0.entry(used_lot_no.to_owned()).or_default();
        stock.by_lot.insert(lot_no.to_owned(), quantity.unwrap_or(0.0));
    }

    /// What is wrong with using so much of a lot in another, if anything. A use on record already is not used twice.
    pub(super) fn too_much(&self, lot_no: &str, used_lot_no: &str, quantity: f64) -> Option<String> {
        let stock = self.0.get(used_lot_no)?;
        let made = f64::from(stock.made?);
        if stock.by_lot.contains_key(lot_no) {
            return None;
        }
        let used: f64 = stock.by_lot.values().sum();
        if used + quantity <= made * (1.0 + SLACK) {
            return None;
        }
        let left = (made - used).max(0.0);
        Some(if used > 0.0 {
            format!(
                "more than is left: {made} of lot {used_lot_no} were made and other lots used {used}; expected at most {left}"
            )
        } else {
            format!("more than was made of lot {used_lot_no}; expected at most {made}")
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_more_is_used_than_was_made() {
        let mut lots = UsedUp::default();
        lots.make("T1", Some(100));
        assert_eq!(
            lots.too_much("Z1", "T1", 100.5).as_deref(),
            Some("more than was made of lot T1; expected at most 100")
        );
        assert_eq!(lots.too_much("Z1", "T1", 60.0), None);
        lots.take("Z1", "T1", Some(60.0));
        assert_eq!(lots.too_much("Z1", "T1", 60.0), None, "sent twice, used once");
        assert_eq!(lots.too_much("Z2", "T1", 40.0), None);
        assert_eq!(
            lots.too_much("Z2", "T1", 41.0).as_deref(),
            Some("more than is left: 100 of lot T1 were made and other lots used 60; expected at most 40")
        );
    }

    #[test]
    fn fractions_that_add_up_to_the_whole_are_taken() {
        let mut lots = UsedUp::default();
        lots.make("T1", Some(1));
        for n in 0..9 {
            assert_eq!(lots.too_much(&n.to_string(), "T1", 0.1), None);
            lots.take(&n.to_string(), "T1", Some(0.1));
        }
        assert_eq!(lots.too_much("9", "T1", 0.1), None);
    }

    #[test]
    fn a_lot_of_unknown_quantity_is_never_used_up() {
        let mut lots = UsedUp::default();
        lots.make("T1", None);
        assert_eq!(lots.too_much("Z1", "T1", 1e9), None);
    }
}
