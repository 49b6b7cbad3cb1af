//! Class I or II: the check list that decides how a change is handled, with justification and priority.

use crate::words::words;

words! {
    /// What a change may touch (MIL-STD-973 list as carried in a public information model; MIL-HDBK-61A,
    /// Table 6-3, from memory). One tick makes it class I.
    pub enum Criterion {
        /// What the item does.
        Performance = "performance",
        /// Protection given, or safety in use.
        Safety = "safety",
        /// How often it fails, how well it is maintained, how it survives.
        Reliability = "reliability",
        /// Grams.
        Weight = "weight",
        /// How it meets other items.
        Interface = "interface",
        /// Whether old and new exchange without selection or alteration.
        Interchangeability = "interchangeability",
        /// Items furnished by others.
        FurnishedItems = "furnished items",
        /// Whether it still works with what it is worn with, its spares and trainers.
        Compatibility = "compatibility",
        /// Whether issued items must change.
        Retrofit = "retrofit",
        /// Manuals already delivered.
        Manuals = "manuals",
        /// Where a controlled source is named.
        Sources = "sources",
        /// Skills, training, fit to the human body.
        People = "people",
        /// Other characteristics in the specification.
        Specification = "specification",
        /// Cost, price, warranty, delivery, contract dates.
        Contract = "contract",
    }
}

impl Criterion {
    /// The question the engineer answers.
    pub const fn question(self) -> &'static str {
        match self {
            Self::Performance => "Does it change what the item does, or how well?",
            Self::Safety => "Does it touch protection or safety?",
            Self::Reliability => {
                "Does it change how often it fails, how it is maintained or how it survives?"
            }
            Self::Weight => "Does it change weight or balance in any size or configuration?",
            Self::Interface => "Does it change how the item meets other items?",
            Self::Interchangeability => {
                "Are old and new no longer exchangeable without selection or alteration?"
            }
            Self::FurnishedItems => "Does it touch items furnished by others?",
            Self::Compatibility => "Does it touch what is worn with it, its spares or trainers?",
            Self::Retrofit => "Must items already issued be changed?",
            Self::Manuals => "Do delivered manuals change?",
            Self::Sources => "Does a controlled source change?",
            Self::People => "Does it touch skills, training or fit to the body?",
            Self::Specification => "Does any other specified characteristic change?",
            Self::Contract => "Does it change cost, warranty, delivery or contract dates?",
        }
    }
}

words! {
    /// Class of a change.
    pub enum Class {
        /// Major: the board decides.
        One = "I",
        /// Minor: the board concurs in the classification.
        Two = "II",
    }
}

/// Class I when any criterion is touched, else class II.
pub fn decide(touched: impl IntoIterator<Item = bool>) -> Class {
    if touched.into_iter().any(|t| t) { Class::One } else { Class::Two }
}

/// What the program knows by itself of a change.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Known {
    /// The mass differs beyond its uncertainty in some size; `None` where it was not weighed.
    pub weight_changes: Option<bool>,
    /// A changed failure rate is predicted or observed.
    pub reliability_changes: Option<bool>,
    /// Issued items are to be changed.
    pub retrofit: Option<bool>,
}

/// Whether the program itself can tick a criterion; `None` leaves it to the engineer.
pub const fn computed(criterion: Criterion, known: Known) -> Option<bool> {
    match criterion {
        Criterion::Weight => known.weight_changes,
        Criterion::Reliability => known.reliability_changes,
        Criterion::Retrofit => known.retrofit,
        _ => None,
    }
}

words! {
    /// Why a class I change is made, exactly one (codes from memory).
    pub enum Justification {
        /// An interface.
        Interface = "B",
        /// Compatibility.
        Compatibility = "C",
        /// Correction of a deficiency: the usual one.
        Deficiency = "D",
        /// Operational or logistics support.
        Support = "O",
        /// A production stoppage.
        Stoppage = "P",
        /// Cost reduction.
        Cost = "R",
        /// Safety: only when a hazard needs correction.
        Safety = "S",
        /// Value engineering.
        Value = "V",
    }
}

impl Justification {
    /// The code in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Interface => "interface",
            Self::Compatibility => "compatibility",
            Self::Deficiency => "correction of a deficiency",
            Self::Support => "operational or logistics support",
            Self::Stoppage => "production stoppage",
            Self::Cost => "cost reduction",
            Self::Safety => "safety",
            Self::Value => "value engineering",
        }
    }
}

words! {
    /// How soon a change must be decided.
    pub enum Priority {
        /// A hazard that may kill or injure.
        Emergency = "E",
        /// A potential hazard, or work seriously hindered.
        Urgent = "U",
        /// Neither.
        Routine = "R",
    }
}

impl Priority {
    /// The priority in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Emergency => "emergency",
            Self::Urgent => "urgent",
            Self::Routine => "routine",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// MIL-STD-973 5.4.2.3.1 list as carried in a public information model: weight, reliability and retrofit
    /// are each enough for class I; a change that touches none is class II.
    #[test]
    fn weight_reliability_or_retrofit_alone_make_class_one() {
        for alone in [Criterion::Weight, Criterion::Reliability, Criterion::Retrofit] {
            assert_eq!(decide(Criterion::ALL.iter().map(|&c| c == alone)), Class::One, "{alone}");
        }
        assert_eq!(decide(Criterion::ALL.iter().map(|_| false)), Class::Two);
    }

    #[test]
    fn the_program_ticks_only_what_it_knows() {
        let known = Known { weight_changes: Some(true), ..Known::default() };
        assert_eq!(computed(Criterion::Weight, known), Some(true));
        assert_eq!(computed(Criterion::Reliability, known), None);
        assert_eq!(computed(Criterion::Safety, known), None);
    }
}
