//! The words of fixed lists as a unit says them.

use std::fmt::Display;

use domain::report::{Altered, FoundWhen, Harm, ItemFate, LotKnown};

use crate::view::Choice;

/// A choice for each value of a list; `chosen` is the word the form held.
pub fn choices<T: Copy + Display>(all: &[T], chosen: &str, words: fn(T) -> &'static str) -> Vec<Choice> {
    let choice = |&value: &T| {
        let word = value.to_string();
        let is_chosen = word == chosen;
        Choice::new(word, words(value), is_chosen)
    };
    all.iter().map(choice).collect()
}

/// What could be said of the label.
pub const fn lot_known(known: LotKnown) -> &'static str {
    match known {
        LotKnown::Read => "I can read it",
        LotKnown::Unreadable => "It can't be read",
        LotKnown::Absent => "There is no label",
        LotKnown::NotLooked => "I didn't look",
    }
}

/// When it was found.
pub const fn found_when(found: FoundWhen) -> &'static str {
    match found {
        FoundWhen::OnReceipt => "Unpacking it, brand new",
        FoundWhen::Fitting => "Fitting it to somebody",
        FoundWhen::InUse => "At work or in training",
        FoundWhen::AfterWash => "After a wash",
        FoundWhen::InRepair => "While mending it",
        FoundWhen::TurnIn => "Turning it in",
        FoundWhen::Inspection => "At an inspection",
    }
}

/// Whether it had been changed.
pub const fn altered(altered: Altered) -> &'static str {
    match altered {
        Altered::No => "No, as it was issued",
        Altered::Authorised => "Yes, by a repair shop or on orders",
        Altered::ByUnit => "Yes, by us",
    }
}

/// Whether anybody was hurt.
pub const fn harm(harm: Harm) -> &'static str {
    match harm {
        Harm::None => "Nobody",
        Harm::NearMiss => "Nobody, but somebody could have been",
        Harm::Injury => "Somebody was hurt",
    }
}

/// What became of the item.
pub const fn fate(fate: ItemFate) -> &'static str {
    match fate {
        ItemFate::Kept => "Still worn",
        ItemFate::Repaired => "Mended",
        ItemFate::Exchanged => "Exchanged for another",
        ItemFate::Withdrawn => "Taken out of use",
        ItemFate::Lost => "Lost",
        ItemFate::Exhibit => "Tagged and kept for examination",
    }
}
