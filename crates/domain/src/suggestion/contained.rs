//! Which kinds of part can have failed on an item.

use std::collections::BTreeSet;

use crate::catalogue::Catalogue;
use crate::field::{Field, PartId};

/// Kinds that every sewn item has, whether or not its structure lists them as parts of their own.
const EVERYWHERE: [&str; 7] = ["PNL", "SEM", "BTK", "BND", "COT", "LBL", "FIT"];
/// How many times likelier than others is the kind of the part that the unit named. A judgement, not measured.
const NAMED: f32 = 10.0;

/// The kinds of part an item contains, at any depth and in any revision, and those that no structure can name.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Contained<'a> {
    /// Kinds of the parts within it; none where nothing is known of its structure.
    kinds: BTreeSet<&'a str>,
    /// Kinds of all parts in the books.
    in_books: BTreeSet<&'a str>,
}

impl<'a> Contained<'a> {
    /// The kinds within an item.
    pub fn of(field: &'a Field, item: PartId) -> Self {
        let mut kinds = BTreeSet::new();
        let mut seen = BTreeSet::from([item]);
        let mut open = vec![item];
        while let Some(part) = open.pop() {
            for &revision in &field.parts[part].revisions {
                for line in &field.revisions[revision].components {
                    let child = &field.revisions[line.child];
                    kinds.insert(child.kind.as_ref());
                    if seen.insert(child.part) {
                        open.push(child.part);
                    }
                }
            }
        }
        let in_books = field.revisions.rows().iter().map(|revision| &*revision.kind).collect();
        Self { kinds, in_books }
    }

    /// The weight of a kind before anything was told: none where the item doesn't contain it, more where the unit
    /// named a part of that kind. An item of unknown structure may contain everything.
    pub fn weight(&self, kind: &str, named: Option<&str>) -> f32 {
        match named {
            _ if !self.may_have(kind) => 0.0,
            Some(named) if named == kind => NAMED,
            _ => 1.0,
        }
    }

    /// Whether a part of a kind may have failed on the item: the kind is in its structure or on every item; or somebody added
    /// it to the catalogue and no part in the books is of it, so that no structure can name it.
    fn may_have(&self, kind: &str) -> bool {
        self.kinds.is_empty()
            || self.kinds.contains(kind)
            || is_everywhere(kind)
            || !self.in_books.contains(kind) && Catalogue::shipped().kind(kind).is_none()
    }
}

/// Whether a kind is found on every sewn item, so that a failure of it may be booked on the item itself.
pub fn is_everywhere(kind: &str) -> bool {
    EVERYWHERE.contains(&kind)
}

#[cfg(test)]
mod tests {
    use super::super::examples::{Example, starters};
    use super::super::learned::Learned;
    use super::*;
    use crate::catalogue::Mode;
    use crate::field::FieldBuilder;
    use crate::nouns::{component, part, unit};
    use crate::unit::UnitKind;

    /// The shipped catalogue with a mode of a new kind.
    fn with_antennas() -> Catalogue {
        let mut catalogue = Catalogue::shipped().clone();
        let mode = Mode {
            kind: "ANT".into(),
            kind_name: "Antenna holder".into(),
            code: "ANT-1".into(),
            name: "Radio antenna holder torn off".into(),
            mechanism: String::new(),
            how_found: String::new(),
            field_words: Vec::new(),
            ..catalogue.mode("PKT-1").expect("shipped").clone()
        };
        catalogue.add(mode).expect("a new mode");
        catalogue
    }

    /// An item CARRIER with a pocket and an item PACK with a frame.
    fn books() -> Field {
        let mut b = FieldBuilder::new(&with_antennas());
        b.unit(&unit("A", UnitKind::Wearing)).expect("new unit");
        for (part_no, kind) in [("CARRIER", "ITEM"), ("PACK", "ITEM"), ("POCKET", "PKT"), ("FRAME", "FRM")] {
            b.part(&part(part_no, "A", kind)).expect("new part");
        }
        for (item, inside) in [("CARRIER", "POCKET"), ("PACK", "FRAME")] {
            b.component(&component((item, "A"), (inside, "A"), 1.0)).expect("known parts");
        }
        b.build()
    }

    fn on<'a>(field: &'a Field, item: &str) -> Contained<'a> {
        Contained::of(field, field.part_names.find(item).expect("a known item"))
    }

    #[test]
    fn what_was_sorted_under_a_new_kind_is_suggested_though_no_part_is_of_it() {
        let told = "antenna holder broke off the collar";
        let confirmed: Vec<Example> =
            (0..10).map(|_| Example { narrative: told.into(), mode: "ANT-1".into() }).collect();
        let learned = Learned::train(&with_antennas(), starters(), &confirmed);
        let field = books();
        let carrier = on(&field, "CARRIER");
        let told = "the antenna holder of the radio broke off the collar";
        let found = learned.suggest(told, |kind| carrier.weight(kind, None), 5);
        assert_eq!(found[0].mode.code, "ANT-1", "{found:?}");
        assert!(found[0].probability > 0.5, "{found:?}");
    }

    #[test]
    fn a_kind_of_the_shipped_catalogue_is_not_new_though_no_part_is_of_it() {
        let field = books();
        assert_eq!(on(&field, "CARRIER").weight("FRM", None), 0.0);
        assert_eq!(on(&field, "CARRIER").weight("STY", None), 0.0);
    }

    #[test]
    fn an_item_without_a_frame_has_no_frame_failure_and_a_named_part_comes_forward() {
        let carrier = Contained { kinds: BTreeSet::from(["ZIP", "WEB"]), ..Contained::default() };
        assert_eq!(carrier.weight("FRM", None), 0.0);
        assert_eq!(carrier.weight("FRM", Some("FRM")), 0.0);
        assert!(carrier.weight("ZIP", Some("ZIP")) > carrier.weight("WEB", Some("ZIP")));
        assert_eq!(carrier.weight("SEM", None), 1.0, "every item has seams");
        assert_eq!(Contained::default().weight("FRM", None), 1.0, "nothing is known of the structure");
    }

    #[test]
    fn what_every_item_has_is_in_the_catalogue() {
        assert!(EVERYWHERE.iter().all(|kind| Catalogue::shipped().kind(kind).is_some()));
    }
}
