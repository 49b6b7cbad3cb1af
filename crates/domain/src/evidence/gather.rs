//! Gathers from the field what the figures of one change rest on, and nothing else.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use super::{Inputs, Stated};
use crate::analysis::{ChangeResult, Holders};
use crate::change::Change;
use crate::field::{Day, Field, LotFacts, PartId, RevisionId, SizeId};
use crate::fit::FitRange;
use crate::lot::Lot;
use crate::part::PartRevision;
use crate::person::Person;
use crate::proof_plan::ProofPlan;
use crate::requirement::Measure;
use crate::size_share::SizeShare;
use crate::structure::Component;
use crate::weighing::Weighing;

pub(super) fn gather(
    field: &Field,
    result: &ChangeResult,
    as_of: NaiveDate,
    change: &Change,
    stated: Stated,
    plan: Option<ProofPlan>,
) -> Inputs {
    let facts = &field.changes[result.change];
    let both = [facts.from, facts.to];
    let holders = both.map(|revision| Holders::of_revision(field, revision));
    let of_items = of_items(field, &holders);
    let holding = of_items.iter().filter(|&&revision| holders.iter().any(|held| held.has(revision, None)));
    let revisions = with_what_is_below(field, holding.chain(&both));
    let named: BTreeSet<RevisionId> = revisions.union(&of_items).copied().collect();
    let parts: BTreeSet<PartId> = named.iter().map(|&revision| field.revisions[revision].part).collect();
    let items: BTreeSet<PartId> = result.mass.iter().map(|line| line.item).collect();
    let tests = field.bench_tests.iter().filter(|test| both.contains(&test.revision));
    let requirements = field.requirements.iter().filter(|facts| items.contains(&facts.item));
    Inputs {
        as_of,
        change: change.clone(),
        parts: named.iter().map(|&revision| part(field, revision)).collect(),
        structure: structure(field, &revisions),
        shares: parts.iter().flat_map(|&part| shares(field, part)).collect(),
        lots: items.iter().flat_map(|&item| sizes_by_lots(field, item)).collect(),
        weighings: revisions.iter().flat_map(|&revision| weighings(field, revision)).collect(),
        bench_tests: tests.map(|facts| facts.test.clone()).collect(),
        requirements: requirements.map(|facts| facts.requirement.clone()).collect(),
        people: people(field, &items),
        fit_ranges: fit_ranges(field, &items),
        counts: result.counts.clone(),
        stated,
        plan,
    }
}

/// Every revision of the items that hold the part before or after, in the field's order: lots may be of any of them, and items
/// stand in the order of their first.
fn of_items(field: &Field, holders: &[Holders]) -> BTreeSet<RevisionId> {
    let items = holders.iter().flat_map(|held| held.items(field));
    items.flat_map(|item| field.parts[item].revisions.iter().copied()).collect()
}

/// Some revisions with everything below them, in the field's order.
fn with_what_is_below<'a>(
    field: &Field,
    revisions: impl Iterator<Item = &'a RevisionId>,
) -> BTreeSet<RevisionId> {
    let mut open: Vec<RevisionId> = revisions.copied().collect();
    let mut found = BTreeSet::new();
    while let Some(revision) = open.pop() {
        if found.insert(revision) {
            open.extend(field.revisions[revision].components.iter().map(|line| line.child));
        }
    }
    found
}

fn part(field: &Field, id: RevisionId) -> PartRevision {
    let facts = &field.revisions[id];
    PartRevision {
        part_no: field.part_names[facts.part].to_owned(),
        revision: facts.revision.to_string(),
        name: facts.name.to_string(),
        kind: facts.kind.to_string(),
        released_on: facts.released_on.map(Day::date),
        replaces_revision: facts.replaces.map(|before| field.revisions[before].revision.to_string()),
        change_no: facts.change_no.as_deref().map(str::to_owned),
        life_years: facts.life_years,
    }
}

/// Lines of structure; those of the first configuration first, so that it is the first here too.
fn structure(field: &Field, revisions: &BTreeSet<RevisionId>) -> Vec<Component> {
    let name = |id: RevisionId| {
        let facts = &field.revisions[id];
        (field.part_names[facts.part].to_owned(), facts.revision.to_string())
    };
    let mut lines = Vec::new();
    for &parent in revisions {
        for line in &field.revisions[parent].components {
            let (parent_part_no, parent_revision) = name(parent);
            let (child_part_no, child_revision) = name(line.child);
            let component = Component {
                parent_part_no,
                parent_revision,
                child_part_no,
                child_revision,
                quantity: line.quantity,
                position: line.position.map(|position| field.texts[position].to_owned()),
                size: size(field, line.size),
                configuration: line.configuration.map(|one| field.configurations[one].to_owned()),
            };
            lines.push((line.configuration, component));
        }
    }
    lines.sort_by_key(|(configuration, _)| configuration.map(crate::field::Id::index));
    lines.into_iter().map(|(_, line)| line).collect()
}

fn size(field: &Field, size: Option<SizeId>) -> Option<String> {
    size.map(|size| field.sizes[size].to_owned())
}

fn shares(field: &Field, part: PartId) -> impl Iterator<Item = SizeShare> {
    field.parts[part].tariff.iter().map(move |&(size, share_per_1000)| SizeShare {
        part_no: field.part_names[part].to_owned(),
        size: field.sizes[size].to_owned(),
        share_per_1000,
    })
}

/// One lot of each size of an item that has no tariff.
fn sizes_by_lots(field: &Field, item: PartId) -> Vec<Lot> {
    let mut found: Vec<&LotFacts> = Vec::new();
    let of_item = field.lots.rows().iter().filter(|lot| field.revisions[lot.revision].part == item);
    for lot in of_item.filter(|_| field.parts[item].tariff.is_empty()) {
        if found.iter().all(|other| other.size != lot.size) {
            found.push(lot);
        }
    }
    let lot = |facts: &&LotFacts| Lot {
        lot_no: facts.lot_no.to_string(),
        part_no: field.part_names[item].to_owned(),
        revision: field.revisions[facts.revision].revision.to_string(),
        size: size(field, facts.size),
        made_on: facts.made_on.map(Day::date),
        quantity: facts.quantity,
        maker: facts.maker.map(|maker| field.makers[maker].to_owned()),
        contract_no: None,
        stock_no: None,
        purpose: facts.purpose,
    };
    found.iter().map(lot).collect()
}

/// The weighings of a revision, numbered as they came.
fn weighings(field: &Field, id: RevisionId) -> impl Iterator<Item = Weighing> {
    let facts = &field.revisions[id];
    facts.weighings.iter().enumerate().map(move |(at, &(of, mass_g))| Weighing {
        part_no: field.part_names[facts.part].to_owned(),
        revision: facts.revision.to_string(),
        size: size(field, of),
        specimen: (at + 1).to_string(),
        mass_g,
    })
}

fn fit_ranges(field: &Field, items: &BTreeSet<PartId>) -> Vec<FitRange> {
    let ranges = field.fit_ranges.iter().filter(|range| items.contains(&range.item));
    let range = |facts: &crate::field::FitFacts| FitRange {
        item_part_no: field.part_names[facts.item].to_owned(),
        size: field.sizes[facts.size].to_owned(),
        dimension: facts.dimension.to_string(),
        low_mm: facts.low_mm,
        high_mm: facts.high_mm,
    };
    ranges.map(range).collect()
}

/// The measured people without what no range of these items asks for.
fn people(field: &Field, items: &BTreeSet<PartId>) -> Vec<Person> {
    let asks = |facts: &&crate::field::RequirementFacts| {
        items.contains(&facts.item) && facts.requirement.measure == Some(Measure::AccommodatedPercent)
    };
    if field.requirements.iter().find(asks).is_none() {
        return Vec::new();
    }
    let of_items = field.fit_ranges.iter().filter(|range| items.contains(&range.item));
    let governing: BTreeSet<&str> = of_items.map(|range| &*range.dimension).collect();
    let person = |(at, person): (usize, &Person)| {
        let dimensions = person.dimensions_mm.iter();
        let kept = dimensions.filter(|(dimension, _)| governing.contains(dimension.as_str())).cloned();
        let sex = person.sex.clone();
        Person { person: (at + 1).to_string(), sex, mass_kg: None, dimensions_mm: kept.collect() }
    };
    field.people.iter().enumerate().map(person).collect()
}
