//! Which kinds of part can have failed on an item.

use std::collections::BTreeSet;

use crate::field::{Field, PartId};

/// Kinds that every sewn item has, whether or not its structure lists them as parts of their own.
const EVERYWHERE: [&str; 7] = ["PNL", "SEM", "BTK", "BND", "COT", "LBL", "FIT"];
/// How many times likelier than others is the kind of the part that the unit named. A judgement, not measured.
const NAMED: f32 = 10.0;

/// The kinds of part an item contains, at any depth and in any revision.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Contained<'a>(BTreeSet<&'a str>);

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
        Self(kinds)
    }

    /// The weight of a kind before anything was told: none where the item doesn't contain it, more where the unit
    /// named a part of that kind. An item of unknown structure may contain everything.
    pub fn weight(&self, kind: &str, named: Option<&str>) -> f32 {
        let may_be = self.0.is_empty() || self.0.contains(kind) || EVERYWHERE.contains(&kind);
        match named {
            _ if !may_be => 0.0,
            Some(named) if named == kind => NAMED,
            _ => 1.0,
        }
    }
}

/// Whether a kind is found on every sewn item, so that a failure of it may be booked on the item itself.
pub fn is_everywhere(kind: &str) -> bool {
    EVERYWHERE.contains(&kind)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Catalogue;

    #[test]
    fn an_item_without_a_frame_has_no_frame_failure_and_a_named_part_comes_forward() {
        let carrier = Contained(BTreeSet::from(["ZIP", "WEB"]));
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
