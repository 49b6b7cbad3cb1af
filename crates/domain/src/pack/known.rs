//! The keys that exist, in the books or earlier in a pack; what a row may name of them is asked in `need`.

mod need;

use std::collections::{HashMap, HashSet};
use std::hash::{DefaultHasher, Hash, Hasher};

use super::used_up::UsedUp;
use crate::catalogue::Catalogue;
use crate::part::{ASSEMBLY, ITEM};

/// What is known of one part number.
#[derive(Clone, Debug, Default)]
struct PartEntry {
    revisions: Vec<String>,
    is_item: bool,
}

/// Keys that exist. Reports and serials are kept as 64-bit hashes, so that a million of them stay small.
#[derive(Clone, Debug)]
pub struct Known {
    units: HashMap<String, Option<String>>,
    kinds: HashSet<String>,
    modes: HashSet<String>,
    parts: HashMap<String, PartEntry>,
    components: HashMap<(String, String), Vec<(String, String)>>,
    lots: HashMap<String, Vec<Option<String>>>,
    of_lots: HashMap<String, String>,
    named_alone: HashSet<String>,
    made_from: HashMap<String, Vec<String>>,
    used_up: UsedUp,
    changes: HashSet<String>,
    announced_changes: HashSet<String>,
    dimensions: HashSet<String>,
    serials: HashSet<u64>,
    reports: HashSet<u64>,
}

fn hashed(key: &str) -> u64 {
    let mut hasher = DefaultHasher::new();
    key.hash(&mut hasher);
    hasher.finish()
}

impl Known {
    /// Nothing but the kinds and modes of a catalogue.
    pub fn new(catalogue: &Catalogue) -> Self {
        let own_kinds = [ITEM, ASSEMBLY].map(str::to_owned);
        Self {
            units: HashMap::new(),
            kinds: catalogue.kinds().iter().map(|k| k.code.clone()).chain(own_kinds).collect(),
            modes: catalogue.modes().iter().map(|m| m.code.clone()).collect(),
            parts: HashMap::new(),
            components: HashMap::new(),
            lots: HashMap::new(),
            of_lots: HashMap::new(),
            named_alone: HashSet::new(),
            made_from: HashMap::new(),
            used_up: UsedUp::default(),
            changes: HashSet::new(),
            announced_changes: HashSet::new(),
            dimensions: HashSet::new(),
            serials: HashSet::new(),
            reports: HashSet::new(),
        }
    }

    /// Adds a mode of failure, and its kind.
    pub fn add_mode(&mut self, kind: &str, mode: &str) {
        self.kinds.insert(kind.to_owned());
        self.modes.insert(mode.to_owned());
    }

    /// Adds a unit and the unit it belongs to.
    pub fn add_unit(&mut self, unit: &str, parent: Option<&str>) {
        self.units.insert(unit.to_owned(), parent.map(str::to_owned));
    }

    /// Takes a unit back.
    pub fn remove_unit(&mut self, unit: &str) {
        self.units.remove(unit);
    }

    /// Adds a revision of a part of a kind.
    pub fn add_part(&mut self, part_no: &str, revision: &str, kind: &str) {
        let entry = self.parts.entry(part_no.to_owned()).or_default();
        entry.is_item |= kind == ITEM;
        if !entry.revisions.iter().any(|r| r == revision) {
            entry.revisions.push(revision.to_owned());
        }
    }

    /// Takes a revision of a part back.
    pub fn remove_part(&mut self, part_no: &str, revision: &str) {
        if let Some(entry) = self.parts.get_mut(part_no) {
            entry.revisions.retain(|r| r != revision);
            if entry.revisions.is_empty() {
                self.parts.remove(part_no);
            }
        }
    }

    /// Adds a line of the structure, parent before child, each as part and revision.
    pub fn add_component(&mut self, parent: (&str, &str), child: (&str, &str)) {
        let own = |(part_no, revision): (&str, &str)| (part_no.to_owned(), revision.to_owned());
        self.components.entry(own(parent)).or_default().push(own(child));
    }

    /// Adds a lot of a maker.
    pub fn add_lot(&mut self, lot_no: &str, maker: Option<&str>) {
        let makers = self.lots.entry(lot_no.to_owned()).or_default();
        if !makers.iter().any(|m| m.as_deref() == maker) {
            makers.push(maker.map(str::to_owned));
        }
    }

    /// Adds the part that a lot is of. Where several makers have the number, rows can't name it alone, so that it does not
    /// matter which stays.
    pub fn add_part_of_lot(&mut self, lot_no: &str, part_no: &str) {
        self.of_lots.insert(lot_no.to_owned(), part_no.to_owned());
    }

    /// Adds a lot number by which a row names a lot without its maker: it must go on saying which lot.
    pub fn name_lot(&mut self, lot_no: &str) {
        if !self.named_alone.contains(lot_no) {
            self.named_alone.insert(lot_no.to_owned());
        }
    }

    /// Adds a lot number that a row names with a maker, where that maker's lot is on record; else as [`Known::name_lot`].
    pub fn name_lot_of(&mut self, lot_no: &str, maker: Option<&str>) {
        if maker.is_none() || !self.has_lot(lot_no, maker) {
            self.name_lot(lot_no);
        }
    }

    /// Adds how many were made of a lot.
    pub fn add_lot_quantity(&mut self, lot_no: &str, made: Option<u32>) {
        self.used_up.make(lot_no, made);
    }

    /// Adds that a lot was made from another, and how much of it went in.
    pub fn add_lot_use(&mut self, lot_no: &str, used_lot_no: &str, quantity: Option<f64>) {
        self.made_from.entry(lot_no.to_owned()).or_default().push(used_lot_no.to_owned());
        self.used_up.take(lot_no, used_lot_no, quantity);
    }

    /// Adds a change.
    pub fn add_change(&mut self, change_no: &str) {
        self.changes.insert(change_no.to_owned());
    }

    /// Adds a change that comes further down in the pack; parts may name it before it is read.
    pub fn announce_change(&mut self, change_no: &str) {
        self.announced_changes.insert(change_no.to_owned());
    }

    /// Adds a body dimension that some size is made for.
    pub fn add_dimension(&mut self, dimension: &str) {
        self.dimensions.insert(dimension.to_owned());
    }

    /// Adds a serial number.
    pub fn add_serial(&mut self, serial: &str) {
        self.serials.insert(hashed(serial));
    }

    /// Adds a report.
    pub fn add_report(&mut self, report_ref: &str) {
        self.reports.insert(hashed(report_ref));
    }

    /// Whether a mode of failure exists.
    pub fn has_mode(&self, mode: &str) -> bool {
        self.modes.contains(mode)
    }

    /// Whether a unit exists.
    pub fn has_unit(&self, unit: &str) -> bool {
        self.units.contains_key(unit)
    }

    /// Whether a part exists in some revision.
    pub fn has_part(&self, part_no: &str) -> bool {
        self.parts.contains_key(part_no)
    }

    /// Whether a part exists in a revision.
    pub fn has_revision(&self, part_no: &str, revision: &str) -> bool {
        self.parts.get(part_no).is_some_and(|p| p.revisions.iter().any(|r| r == revision))
    }

    /// Whether a maker's lot exists.
    pub fn has_lot(&self, lot_no: &str, maker: Option<&str>) -> bool {
        self.lots.get(lot_no).is_some_and(|makers| makers.iter().any(|m| m.as_deref() == maker))
    }

    /// Whether a change exists.
    pub fn has_change(&self, change_no: &str) -> bool {
        self.changes.contains(change_no)
    }

    /// Whether some size is made for a body dimension.
    pub fn has_dimension(&self, dimension: &str) -> bool {
        self.dimensions.contains(dimension)
    }

    /// Whether a report exists.
    pub fn has_report(&self, report_ref: &str) -> bool {
        self.reports.contains(&hashed(report_ref))
    }

    /// Whether a unit would come to stand above itself if it belonged to `parent`.
    pub fn unit_would_loop(&self, unit: &str, parent: &str) -> bool {
        let mut at = Some(parent);
        for _ in 0..=self.units.len() {
            match at {
                None => return false,
                Some(code) if code == unit => return true,
                Some(code) => at = self.units.get(code).and_then(Option::as_deref),
            }
        }
        false
    }

    /// Whether a part would come to be inside itself with this line of structure.
    pub fn component_would_loop(&self, parent: (&str, &str), child: (&str, &str)) -> bool {
        let own = |(part_no, revision): (&str, &str)| (part_no.to_owned(), revision.to_owned());
        reaches(&self.components, own(child), &own(parent))
    }

    /// Whether a lot would come to be made from itself with this use.
    pub fn lot_use_would_loop(&self, lot_no: &str, used_lot_no: &str) -> bool {
        reaches(&self.made_from, used_lot_no.to_owned(), &lot_no.to_owned())
    }
}

/// Whether `goal` is `start` or below it.
fn reaches<K: Clone + Eq + Hash>(below: &HashMap<K, Vec<K>>, start: K, goal: &K) -> bool {
    let mut seen = HashSet::new();
    let mut waiting = vec![start];
    while let Some(at) = waiting.pop() {
        if at == *goal {
            return true;
        }
        if seen.insert(at.clone())
            && let Some(children) = below.get(&at)
        {
            waiting.extend(children.iter().cloned());
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::Problem;

    fn problems(check: impl FnOnce(&mut Vec<Problem>)) -> Vec<String> {
        let mut problems = Vec::new();
        check(&mut problems);
        problems.iter().map(ToString::to_string).collect()
    }

    fn known() -> Known {
        Known::new(Catalogue::shipped())
    }

    #[test]
    fn a_bare_lot_number_is_enough_while_one_maker_has_it() {
        let mut known = known();
        known.add_lot("H-12", Some("Oreval Sewing"));
        assert!(problems(|p| known.need_lot("lot_no", "H-12", p)).is_empty());
        known.add_lot("H-12", None);
        assert_eq!(
            problems(|p| known.need_lot("lot_no", "H-12", p)),
            ["lot_no: this number is not enough: Oreval Sewing and an unnamed maker each have a lot of it"]
        );
    }

    #[test]
    fn a_part_beside_a_lot_is_that_of_the_lot() {
        let mut known = known();
        known.add_lot("H-12", None);
        known.add_part_of_lot("H-12", "HARNESS");
        let said =
            |known: &Known, part_no| problems(|p| known.need_part_of_lot("part_no", "H-12", part_no, p));
        assert!(said(&known, None).is_empty(), "nothing is said");
        assert!(said(&known, Some("HARNESS")).is_empty());
        assert_eq!(
            said(&known, Some("ZIP-20")),
            [
                "part_no: lot H-12 is of part HARNESS; expected HARNESS or nothing here, or another lot in lot_no"
            ]
        );
        known.add_lot("H-12", Some("Brant"));
        assert!(said(&known, Some("ZIP-20")).is_empty(), "which of two is told for the number");
    }

    #[test]
    fn a_number_that_rows_name_alone_stays_with_its_lot() {
        let mut known = known();
        known.add_lot("H-12", Some("Oreval Sewing"));
        let of_brant =
            |known: &Known| problems(|p| known.need_own_number("lot_no", "H-12", Some("Brant"), p));
        assert!(of_brant(&known).is_empty(), "nobody names it yet");
        known.name_lot_of("H-12", Some("Oreval Sewing"));
        assert!(of_brant(&known).is_empty(), "it is named with its maker");
        known.name_lot_of("H-12", None);
        assert_eq!(
            of_brant(&known),
            [
                "lot_no: Oreval Sewing has a lot of this number, and rows of the books name it by the number alone, \
              which must go on saying which lot; expected another number for this lot, here and in the rows that \
              name it"
            ]
        );
        let again = problems(|p| known.need_own_number("lot_no", "H-12", Some("Oreval Sewing"), p));
        assert!(again.is_empty(), "what is there already may come again");
    }

    #[test]
    fn a_lot_of_an_unnamed_maker_is_anybodys_only_while_nobody_else_has_its_number() {
        let mut known = known();
        known.add_lot("H-12", None);
        let of_brant = |known: &Known| problems(|p| known.need_lot_of("from_lot", "H-12", Some("Brant"), p));
        assert!(of_brant(&known).is_empty());
        known.add_lot("H-12", Some("Oreval Sewing"));
        assert_eq!(of_brant(&known), ["from_lot: Brant has no lot of this number"]);
    }

    #[test]
    fn a_wrong_revision_is_told_from_a_wrong_part() {
        let mut known = known();
        known.add_part("SL-20", "A", "WEB");
        known.add_part("SL-20", "B", "WEB");
        let fields = ["part_no", "revision"];
        assert_eq!(
            problems(|p| known.need_revision(fields, ("SL-20", "C"), p)),
            ["revision: part SL-20 has no such revision, only A, B"]
        );
        assert_eq!(
            problems(|p| known.need_revision(fields, ("SL-21", "A"), p)),
            ["part_no: no part has this number"]
        );
        assert_eq!(
            problems(|p| known.need_item("item_part_no", "SL-20", p)),
            ["item_part_no: is a part, but not an end item (kind ITEM)"]
        );
    }

    #[test]
    fn a_part_taken_back_is_no_longer_known() {
        let mut known = known();
        known.add_part("SL-20", "A", "WEB");
        known.remove_part("SL-20", "A");
        assert!(!known.has_revision("SL-20", "A"));
        assert_eq!(problems(|p| known.need_part("part_no", "SL-20", p)).len(), 1);
    }

    #[test]
    fn nothing_can_be_inside_itself() {
        let mut known = known();
        known.add_component(("H", "A"), ("S", "A"));
        known.add_component(("S", "A"), ("B", "A"));
        assert!(known.component_would_loop(("B", "A"), ("H", "A")));
        assert!(!known.component_would_loop(("H", "A"), ("B", "A")));
        known.add_lot_use("L2", "L1", None);
        assert!(known.lot_use_would_loop("L1", "L2"));
        known.add_unit("base", None);
        known.add_unit("team", Some("base"));
        assert!(known.unit_would_loop("base", "team"));
        assert!(!known.unit_would_loop("team", "base"));
    }
}
