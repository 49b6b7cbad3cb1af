//! What the report form offers: the items that are issued, with their parts by plain names.

use std::collections::BTreeSet;

use domain::field::{Field, PartId, RevisionId};

use super::form::{Offer, OfferedItem};

/// Items and their parts at any depth, each once, in the order of the books.
pub(crate) fn offer(field: &Field) -> Offer {
    let items = field.parts.iter().filter(|(part, _)| field.is_item(*part));
    Offer {
        items: items.map(|(part, _)| item(field, part)).collect(),
        sizes: field.sizes.iter().map(|(_, size)| size.to_owned()).collect(),
    }
}

fn item(field: &Field, part: PartId) -> OfferedItem {
    let mut seen = BTreeSet::new();
    let mut parts = Vec::new();
    for &revision in &field.parts[part].revisions {
        below(field, revision, &mut seen, &mut parts);
    }
    let name = |part: PartId| name(field, part).to_owned();
    OfferedItem {
        part_no: field.part_names[part].to_owned(),
        name: name(part),
        parts: parts.into_iter().map(|part| (field.part_names[part].to_owned(), name(part))).collect(),
    }
}

fn below(field: &Field, revision: RevisionId, seen: &mut BTreeSet<PartId>, parts: &mut Vec<PartId>) {
    for component in &field.revisions[revision].components {
        let part = field.revisions[component.child].part;
        if seen.insert(part) {
            parts.push(part);
            below(field, component.child, seen, parts);
        }
    }
}

fn name(field: &Field, part: PartId) -> &str {
    field.parts[part].revisions.last().map_or("", |&revision| &field.revisions[revision].name)
}
