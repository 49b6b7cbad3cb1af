//! What a row of a pack needs: that it names only what exists, and uses no more than there is.

use super::{Known, hashed};
use crate::words::Problem;

fn named(makers: &[Option<String>]) -> String {
    let names: Vec<&str> =
        makers.iter().map(|maker| maker.as_deref().unwrap_or("an unnamed maker")).collect();
    names.join(" and ")
}

fn present(found: bool, field: &'static str, why: &str, problems: &mut Vec<Problem>) {
    if !found {
        problems.push(Problem::new(field, why));
    }
}

impl Known {
    /// Asks for a unit that exists.
    pub fn need_unit(&self, field: &'static str, unit: &str, problems: &mut Vec<Problem>) {
        present(self.has_unit(unit), field, "no unit has this code", problems);
    }

    /// Asks for a kind code of the catalogue, or one of the two of this program.
    pub fn need_kind(&self, field: &'static str, kind: &str, problems: &mut Vec<Problem>) {
        let why = "expected a kind code of the catalogue, ITEM or ASM";
        present(self.kinds.contains(kind), field, why, problems);
    }

    /// Asks for a mode of the catalogue.
    pub fn need_mode(&self, field: &'static str, mode: &str, problems: &mut Vec<Problem>) {
        present(
            self.modes.contains(mode),
            field,
            "the catalogue has no such mode; add it in modes.csv or on the page of the catalogue",
            problems,
        );
    }

    /// Asks for a part that exists in some revision.
    pub fn need_part(&self, field: &'static str, part_no: &str, problems: &mut Vec<Problem>) {
        present(self.has_part(part_no), field, "no part has this number", problems);
    }

    /// Asks for an end item that exists.
    pub fn need_item(&self, field: &'static str, part_no: &str, problems: &mut Vec<Problem>) {
        match self.parts.get(part_no) {
            None => problems.push(Problem::new(field, "no part has this number")),
            Some(part) if part.is_item => {}
            Some(_) => problems.push(Problem::new(field, "is a part, but not an end item (kind ITEM)")),
        }
    }

    /// Asks for a part that exists in a revision; names the part's field or the revision's, whichever is wrong.
    pub fn need_revision(&self, fields: [&'static str; 2], part: (&str, &str), problems: &mut Vec<Problem>) {
        let [part_field, revision_field] = fields;
        match self.parts.get(part.0) {
            None => problems.push(Problem::new(part_field, "no part has this number")),
            Some(entry) if !entry.revisions.iter().any(|r| r == part.1) => {
                let known = entry.revisions.join(", ");
                problems.push(Problem::new(
                    revision_field,
                    format!("part {} has no such revision, only {known}", part.0),
                ));
            }
            Some(_) => {}
        }
    }

    /// Asks for a lot number that exists and belongs to one maker only, so that the bare number says which lot.
    pub fn need_lot(&self, field: &'static str, lot_no: &str, problems: &mut Vec<Problem>) {
        match self.lots.get(lot_no).map(Vec::as_slice) {
            None | Some([]) => problems.push(Problem::new(field, "no lot has this number")),
            Some([_]) => {}
            Some(makers) => {
                let why = format!("this number is not enough: {} each have a lot of it", named(makers));
                problems.push(Problem::new(field, why));
            }
        }
    }

    /// Asks that the part named beside a lot is that of the lot: what contradicts it is a slip in the lot's number, and taken at
    /// its word the number would put the row on strange items.
    pub fn need_part_of_lot(
        &self,
        field: &'static str,
        lot_no: &str,
        part_no: Option<&str>,
        problems: &mut Vec<Problem>,
    ) {
        let only_one = self.lots.get(lot_no).is_some_and(|makers| makers.len() == 1);
        if let (Some(said), Some(own)) = (part_no, self.of_lots.get(lot_no).filter(|_| only_one))
            && said != own
        {
            let why = format!(
                "lot {lot_no} is of part {own}; expected {own} or nothing here, or another lot in lot_no"
            );
            problems.push(Problem::new(field, why));
        }
    }

    /// Asks that a lot that is new has a number of its own where rows name the number alone: of two makers' lots, they
    /// would name neither.
    pub fn need_own_number(
        &self,
        field: &'static str,
        lot_no: &str,
        maker: Option<&str>,
        problems: &mut Vec<Problem>,
    ) {
        let makers = self.lots.get(lot_no).map_or(&[][..], Vec::as_slice);
        if makers.is_empty() || !self.named_alone.contains(lot_no) || self.has_lot(lot_no, maker) {
            return;
        }
        let why = format!(
            "{} has a lot of this number, and rows of the books name it by the number alone, which must go on saying which lot; \
             expected another number for this lot, here and in the rows that name it",
            named(makers)
        );
        problems.push(Problem::new(field, why));
    }

    /// Asks for a lot number that one maker's lot has, where the maker is named, and else as [`Known::need_lot`].
    pub fn need_lot_of(
        &self,
        field: &'static str,
        lot_no: &str,
        maker: Option<&str>,
        problems: &mut Vec<Problem>,
    ) {
        // A lot of an unnamed maker may be anybody's, while it is the only one.
        let unnamed = self.lots.get(lot_no).is_some_and(|makers| matches!(makers.as_slice(), [None]));
        let own = maker.is_some() && (self.has_lot(lot_no, maker) || unnamed);
        if !own {
            match maker {
                Some(maker) if self.lots.contains_key(lot_no) => {
                    problems.push(Problem::new(field, format!("{maker} has no lot of this number")));
                }
                _ => self.need_lot(field, lot_no, problems),
            }
        }
    }

    /// Asks for a serial number that exists.
    pub fn need_serial(&self, field: &'static str, serial: &str, problems: &mut Vec<Problem>) {
        present(self.serials.contains(&hashed(serial)), field, "no item has this serial number", problems);
    }

    /// Asks for a change that exists.
    pub fn need_change(&self, field: &'static str, change_no: &str, problems: &mut Vec<Problem>) {
        present(self.has_change(change_no), field, "no change has this number", problems);
    }

    /// Asks for a change that exists or has been announced.
    pub fn need_announced_change(&self, field: &'static str, change_no: &str, problems: &mut Vec<Problem>) {
        let found = self.has_change(change_no) || self.announced_changes.contains(change_no);
        present(found, field, "no change has this number", problems);
    }

    /// Asks that no more of a lot is used than was made of it, this use and the others on record together.
    pub fn need_left_over(
        &self,
        lot_no: &str,
        used_lot_no: &str,
        quantity: Option<f64>,
        problems: &mut Vec<Problem>,
    ) {
        if let Some(why) = quantity.and_then(|n| self.used_up.too_much(lot_no, used_lot_no, n)) {
            problems.push(Problem::new("quantity", why));
        }
    }
}
