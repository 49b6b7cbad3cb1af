//! Grams before and after a change, in each size and configuration and over the tariff.

use std::collections::BTreeSet;

use stats::uncertainty::{Size, tariff_mean};

use super::bill::{DEEPEST, Following, Unweighed, bill, children, mass_of};
use super::{Bill, Mass};
use crate::field::{ConfigurationId, Field, PartId, RevisionId, SizeId};

/// Grams of an item before and after, in one size and configuration.
#[derive(Clone, Debug, PartialEq)]
pub struct MassChange {
    /// The item.
    pub item: PartId,
    /// The size; `None` for an item without sizes.
    pub size: Option<SizeId>,
    /// The configuration; `None` where the item has only one, before or after.
    pub configuration: Option<ConfigurationId>,
    /// Before; `None` where something was never weighed.
    pub before: Option<Mass>,
    /// After.
    pub after: Option<Mass>,
    /// After less before, of the parts that differ only.
    pub difference: Option<Mass>,
    /// The parts that differ: what more of each there is after than before.
    pub differs: Bill,
    /// What would have to be weighed first.
    pub unweighed: Vec<Unweighed>,
}

impl MassChange {
    /// Change in percent of before.
    pub fn percent(before_g: f64, after_g: f64) -> f64 {
        100.0 * (after_g - before_g) / before_g
    }
}

/// Means over the tariff of sizes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TariffChange {
    /// Mean before, in grams.
    pub before_g: f64,
    /// Mean after.
    pub after_g: f64,
    /// Mean of the differences.
    pub difference_g: f64,
    /// Standard uncertainty of the mean difference: a weighing that stands in several sizes errs alike in all of them.
    /// `None` where one is not known.
    pub standard_g: Option<f64>,
}

/// Sizes an item is made in: those of its tariff, else those of its lots in the order they came, else none.
pub fn sizes_of(field: &Field, item: PartId) -> Vec<Option<SizeId>> {
    let tariff: Vec<_> = field.parts[item].tariff.iter().map(|(size, _)| Some(*size)).collect();
    if !tariff.is_empty() {
        return tariff;
    }
    // Evidence keeps the first lot of each size and names them anew: their order is the same there, that of their ids is not.
    let mut of_lots = Vec::new();
    for lot in field.lots.rows().iter().filter(|lot| field.revisions[lot.revision].part == item) {
        if !of_lots.contains(&lot.size) {
            of_lots.push(lot.size);
        }
    }
    if of_lots.is_empty() { vec![None] } else { of_lots }
}

/// Configurations named anywhere in an item's structure; `[None]` where there is only one.
pub fn configurations_of(field: &Field, item: RevisionId) -> Vec<Option<ConfigurationId>> {
    let mut found = BTreeSet::new();
    let mut seen = BTreeSet::new();
    let mut open = vec![item];
    while let Some(revision) = open.pop() {
        if seen.insert(revision) {
            for component in &field.revisions[revision].components {
                found.extend(component.configuration);
                open.push(component.child);
            }
        }
    }
    if found.is_empty() { vec![None] } else { found.into_iter().map(Some).collect() }
}

/// Grams before and after in every size and configuration.
///
/// `before` and `after` are revisions of the item, `from` and `to` those of the changed part in them, which may be the item
/// itself. Where no structure in the books carries the changed part yet, `after` is the same revision as `before`: then
/// `to` is put in the place of `from`.
pub fn mass_changes(
    field: &Field,
    (before, after): (RevisionId, RevisionId),
    (from, to): (RevisionId, RevisionId),
) -> Vec<MassChange> {
    let item = field.revisions[before].part;
    let swap = (before == after).then_some((from, to));
    // What the item was worn as before comes first: the mean over the tariff is of the first.
    let mut configurations = configurations_of(field, before);
    for named in configurations_of(field, after) {
        if named.is_some() && !configurations.contains(&named) {
            configurations.push(named);
        }
    }
    let mut changes = Vec::new();
    for configuration in configurations {
        for size in sizes_of(field, item) {
            let whole = told_apart_whole(field, [(from, to), (before, after)], size, configuration);
            let old = Following { swap: None, whole };
            let new = Following { swap, ..old.clone() };
            let old = bill(field, before, size, configuration, &old);
            let new = bill(field, after, size, configuration, &new);
            changes.push(compare(field, item, size, configuration, old, new));
        }
    }
    changes
}

/// Revisions of one part that stand in the place of each other before and after, at any depth, the inner ones first.
fn replaced(
    field: &Field,
    (before, after): (RevisionId, RevisionId),
    size: Option<SizeId>,
    configuration: Option<ConfigurationId>,
) -> Vec<(RevisionId, RevisionId)> {
    let [olds, news] = [before, after].map(|item| {
        let mut found = Vec::new();
        made_of(field, (size, configuration), (item, 0), &mut BTreeSet::new(), &mut found);
        found
    });
    let part = |revision: RevisionId| field.revisions[revision].part;
    // What is on both sides stands in its own place.
    let is_one_sided = |old: RevisionId, new: RevisionId| !news.contains(&old) || !olds.contains(&new);
    let of_old = |&old: &RevisionId| {
        let news = news.iter().filter(move |&&new| part(new) == part(old) && is_one_sided(old, new));
        news.map(move |&new| (old, new))
    };
    olds.iter().flat_map(of_old).collect()
}

/// A revision with everything it is made of, each after what it is made of itself.
fn made_of(
    field: &Field,
    worn: (Option<SizeId>, Option<ConfigurationId>),
    (revision, depth): (RevisionId, usize),
    seen: &mut BTreeSet<RevisionId>,
    found: &mut Vec<RevisionId>,
) {
    if depth <= DEEPEST && seen.insert(revision) {
        for (child, _) in children(field, revision, worn.0, worn.1) {
            made_of(field, worn, (child, depth + 1), seen, found);
        }
        found.push(revision);
    }
}

/// Revisions that have to be weighed whole, for only so can before and after be told apart.
///
/// The changed part and the item are where both sides are made of the same parts. They, and whatever else is replaced, are where
/// one side was weighed whole for lack of weighed parts and the other was not: a whole and the sum of its parts can't be
/// compared, for what holds the parts together is in one only.
fn told_apart_whole(
    field: &Field,
    [changed, item]: [(RevisionId, RevisionId); 2],
    size: Option<SizeId>,
    configuration: Option<ConfigurationId>,
) -> Vec<RevisionId> {
    let mut pairs = replaced(field, item, size, configuration);
    if !pairs.contains(&changed) {
        pairs.insert(0, changed);
    }
    let mut whole = Vec::new();
    for pair in pairs.into_iter().filter(|(one, other)| one != other) {
        let following = Following { swap: None, whole: whole.clone() };
        let of = |revision| bill(field, revision, size, configuration, &following).ok();
        let (Some(bill), Some(other_bill)) = (of(pair.0), of(pair.1)) else { continue };
        let is_whole = |bill: &Bill, of| bill.len() == 1 && bill.keys().all(|&(revision, _)| revision == of);
        let is_same = bill == other_bill && (pair == changed || pair == item);
        if is_same || is_whole(&bill, pair.0) != is_whole(&other_bill, pair.1) {
            whole.extend([pair.0, pair.1]);
        }
    }
    whole
}

fn compare(
    field: &Field,
    item: PartId,
    size: Option<SizeId>,
    configuration: Option<ConfigurationId>,
    old: Result<Bill, Vec<Unweighed>>,
    new: Result<Bill, Vec<Unweighed>>,
) -> MassChange {
    let differs = match (&old, &new) {
        (Ok(old), Ok(new)) => Some(subtract(new, old)),
        _ => None,
    };
    let difference = differs.as_ref().map(|differs| mass_of(field, differs));
    let differs = differs.unwrap_or_default();
    let mut unweighed = Vec::new();
    let mut mass = |bill: Result<Bill, Vec<Unweighed>>| match bill {
        Ok(bill) => Some(mass_of(field, &bill)),
        Err(missing) => {
            unweighed.extend(missing);
            None
        }
    };
    let (before, after) = (mass(old), mass(new));
    unweighed.sort_unstable();
    unweighed.dedup();
    MassChange { item, size, configuration, before, after, difference, differs, unweighed }
}

/// What is in one bill and not in the other: unchanged parts cancel, and their uncertainty with them.
fn subtract(new: &Bill, old: &Bill) -> Bill {
    let mut left = new.clone();
    for (key, quantity) in old {
        *left.entry(*key).or_default() -= quantity;
    }
    left.retain(|_, quantity| quantity.abs() > 1e-12);
    left
}

/// Means over the tariff, in one configuration.
///
/// `None` when a size with a share was never weighed: nothing is filled in. For an item without a tariff `None` too.
pub fn tariff_change(
    field: &Field,
    changes: &[MassChange],
    configuration: Option<ConfigurationId>,
) -> Option<TariffChange> {
    let item = changes.first()?.item;
    let mut before = Vec::new();
    let mut after = Vec::new();
    let mut difference = Vec::new();
    let mut differs = Bill::new();
    for &(size, share) in field.parts[item].tariff.iter().filter(|(_, share)| *share > 0.0) {
        let row = changes.iter().find(|c| c.size == Some(size) && c.configuration == configuration)?;
        let delta = row.difference?;
        before.push(Size { share, value: row.before?.grams, standard: 0.0 });
        after.push(Size { share, value: row.after?.grams, standard: 0.0 });
        difference.push(Size { share, value: delta.grams, standard: 0.0 });
        for (weighed, quantity) in &row.differs {
            *differs.entry(*weighed).or_default() += share * quantity;
        }
    }
    let shares: f64 = difference.iter().map(|size| size.share).sum();
    let of_all = mass_of(field, &differs).uncertainty;
    Some(TariffChange {
        before_g: tariff_mean(&before, None).ok()?.mean,
        after_g: tariff_mean(&after, None).ok()?.mean,
        difference_g: tariff_mean(&difference, None).ok()?.mean,
        standard_g: of_all.map(|of_all| of_all.standard / shares),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::field::FieldBuilder;
    use crate::nouns::{builder, component, part};
    use crate::size_share::SizeShare;
    use crate::structure::Component;
    use crate::weighing::Weighing;

    /// The item, as part and revision.
    const CARRIER: (&str, &str) = ("RC-100", "A");

    fn weigh(builder: &mut FieldBuilder, part: (&str, &str), size: Option<&str>, grams: &[f64]) {
        for (i, mass_g) in grams.iter().enumerate() {
            let weighing = Weighing {
                part_no: part.0.into(),
                revision: part.1.into(),
                size: size.map(Into::into),
                specimen: i.to_string(),
                mass_g: *mass_g,
            };
            builder.weighing(&weighing).expect("known part");
        }
    }

    const TARIFF: [(&str, f64, f64); 6] = [
        ("XS", 1.0, 18.0),
        ("S", 80.0, 20.0),
        ("M", 352.0, 22.0),
        ("L", 393.0, 24.0),
        ("XL", 152.0, 26.0),
        ("XXL", 22.0, 30.0),
    ];

    /// A carrier of a heavy shell weighed by size and two zips; the zip changes from A to B.
    fn carrier() -> Field {
        let mut b = builder();
        b.part(&part("RC-100", "A", "ITEM")).expect("new");
        b.part(&part("SHELL", "A", "PNL")).expect("new");
        for revision in ["A", "B"] {
            b.part(&part("ZIP-9", revision, "ZIP")).expect("new");
        }
        b.part(&part("POUCH", "A", "PKT")).expect("new");
        b.component(&component(CARRIER, ("SHELL", "A"), 1.0)).expect("known");
        b.component(&component(CARRIER, ("ZIP-9", "A"), 2.0)).expect("known");
        b.component(&Component {
            configuration: Some("full".into()),
            ..component(CARRIER, ("POUCH", "A"), 1.0)
        })
        .expect("known");
        for (size, share, _) in TARIFF {
            let share = SizeShare { part_no: "RC-100".into(), size: size.into(), share_per_1000: share };
            b.size_share(&share).expect("known");
            weigh(&mut b, ("SHELL", "A"), Some(size), &[2900.0, 2960.0]);
        }
        weigh(&mut b, ("ZIP-9", "A"), None, &[40.0, 42.0]);
        for (size, _, delta) in TARIFF {
            weigh(&mut b, ("ZIP-9", "B"), Some(size), &[41.0 + delta / 2.0, 41.0 + delta / 2.0]);
        }
        weigh(&mut b, ("POUCH", "A"), None, &[150.0, 151.0]);
        b.build()
    }

    fn changes(field: &Field) -> Vec<MassChange> {
        let item = field.find_revision("RC-100", "A").expect("known");
        let from = field.find_revision("ZIP-9", "A").expect("known");
        let to = field.find_revision("ZIP-9", "B").expect("known");
        mass_changes(field, (item, item), (from, to))
    }

    #[test]
    fn unchanged_parts_cancel_and_take_their_uncertainty_with_them() {
        let field = carrier();
        let row = changes(&field).into_iter().find(|c| c.size == field.sizes.find("M")).expect("weighed");
        let delta = row.difference.expect("weighed");
        assert!((delta.grams - 22.0).abs() < 1e-9);
        // Two zips of u = 1 g each, erring alike: 2 g; the shell's 30 g is not in it.
        assert!((delta.uncertainty.expect("known").standard - 2.0).abs() < 1e-9);
        assert!(row.before.expect("weighed").uncertainty.expect("known").standard > 29.0);
    }

    /// Worked check of the mean over a tariff: 1/80/352/393/152/22 per 1,000 and 18/20/22/24/26/30 g give
    /// 23.406 g, where the plain mean would be 23.333 g. Arithmetic worked by hand; the shares are the chest bands
    /// of Gordon et al., NATICK/TR-15/007 (2014), men.
    #[test]
    fn the_tariff_mean_weighs_sizes_by_their_share() {
        let field = carrier();
        let all = changes(&field);
        let mean = tariff_change(&field, &all, field.configurations.find("full")).expect("all weighed");
        assert!((mean.difference_g - 23.406).abs() < 1e-9, "{}", mean.difference_g);
        assert!((mean.after_g - mean.before_g - mean.difference_g).abs() < 1e-9);
        // The zips were weighed once for all sizes, two in each carrier: 2 g in every size, and so in the mean.
        assert!((mean.standard_g.expect("known") - 2.0).abs() < 1e-9, "{mean:?}");
    }

    #[test]
    fn a_configuration_counts_only_what_it_wears() {
        let field = carrier();
        let item = field.find_revision("RC-100", "A").expect("known");
        let full = field.configurations.find("full");
        let size = field.sizes.find("M");
        let grams = |configuration| {
            mass_of(&field, &bill(&field, item, size, configuration, &Following::default()).expect("weighed"))
                .grams
        };
        assert!((grams(full) - grams(None) - 150.5).abs() < 1e-9);
    }

    #[test]
    fn a_size_never_weighed_is_named_and_not_filled_in() {
        let mut b = builder();
        b.part(&part("RC-100", "A", "ITEM")).expect("new");
        b.part(&part("SHELL", "A", "PNL")).expect("new");
        b.component(&component(CARRIER, ("SHELL", "A"), 1.0)).expect("known");
        weigh(&mut b, ("SHELL", "A"), Some("M"), &[100.0]);
        let share =
            |size: &str| SizeShare { part_no: "RC-100".into(), size: size.into(), share_per_1000: 500.0 };
        b.size_share(&share("M")).expect("known");
        b.size_share(&share("L")).expect("known");
        let field = b.build();
        let item = field.find_revision("RC-100", "A").expect("known");
        let rows = mass_changes(&field, (item, item), (item, item));
        let large = rows.iter().find(|c| c.size == field.sizes.find("L")).expect("a row");
        assert_eq!((large.before, large.unweighed.len()), (None, 1));
        assert_eq!(tariff_change(&field, &rows, None), None);
    }

    /// An item weighed whole, for one of its labels was never weighed, with two zips of 41 g that become 81 g each.
    fn weighed_whole() -> FieldBuilder {
        let mut b = builder();
        b.part(&part("RC-100", "A", "ITEM")).expect("new");
        b.part(&part("LABEL", "A", "LBL")).expect("new");
        for revision in ["A", "B"] {
            b.part(&part("ZIP-9", revision, "ZIP")).expect("new");
        }
        b.component(&component(CARRIER, ("LABEL", "A"), 1.0)).expect("known");
        b.component(&component(CARRIER, ("ZIP-9", "A"), 2.0)).expect("known");
        weigh(&mut b, ("RC-100", "A"), None, &[2930.0, 2932.0]);
        weigh(&mut b, ("ZIP-9", "A"), None, &[40.0, 42.0]);
        b
    }

    #[test]
    fn a_whole_that_stands_in_for_its_parts_takes_on_the_new_part() {
        let mut b = weighed_whole();
        weigh(&mut b, ("ZIP-9", "B"), None, &[80.0, 82.0]);
        let row = changes(&b.build()).remove(0);
        assert!((row.before.expect("weighed").grams - 2931.0).abs() < 1e-9);
        assert!((row.after.expect("weighed").grams - 3011.0).abs() < 1e-9);
        let delta = row.difference.expect("weighed");
        // Two of each, each kind with u = 1 g and erring alike: 2 g and 2 g.
        assert!((delta.grams - 80.0).abs() < 1e-9);
        assert!((delta.uncertainty.expect("known").standard - 8.0_f64.sqrt()).abs() < 1e-9);
    }

    #[test]
    fn a_whole_does_not_stand_in_for_a_new_part_that_was_never_weighed() {
        let field = weighed_whole().build();
        let row = changes(&field).remove(0);
        let new = field.find_revision("ZIP-9", "B").expect("known");
        assert_eq!((row.after, row.difference), (None, None));
        assert_eq!(row.unweighed, [Unweighed { revision: new, size: None }]);
    }

    /// An item proposed with the structure of the one before it: only weighing both whole tells them apart.
    #[test]
    fn revisions_made_of_the_same_parts_are_weighed_whole() {
        let proposed = |weighed: &[(&str, f64)]| {
            let mut b = weighed_whole();
            weigh(&mut b, ("LABEL", "A"), None, &[3.0, 3.0]);
            b.part(&part("RC-100", "B", "ITEM")).expect("new");
            for (child, quantity) in [("LABEL", 1.0), ("ZIP-9", 2.0)] {
                b.component(&component(("RC-100", "B"), (child, "A"), quantity)).expect("known");
            }
            for (revision, grams) in weighed {
                weigh(&mut b, ("RC-100", revision), None, &[*grams, grams + 2.0]);
            }
            let field = b.build();
            let pair = ["A", "B"].map(|r| field.find_revision("RC-100", r).expect("known"));
            let row = mass_changes(&field, pair.into(), pair.into()).remove(0);
            (row.difference.map(|delta| delta.grams), row.unweighed.len())
        };
        assert_eq!(proposed(&[("B", 2870.0)]), (Some(-60.0), 0));
        assert_eq!(proposed(&[]), (None, 1), "what B weighs is not known from the parts of A");
    }

    /// A carrier in two revisions with the zip of the same revision and a panel of 102 g; zips of 11 g and 21 g.
    fn two_carriers() -> FieldBuilder {
        let mut b = builder();
        for (part_no, kind) in [("RC-100", "ITEM"), ("ZIP-9", "ZIP")] {
            for revision in ["A", "B"] {
                b.part(&part(part_no, revision, kind)).expect("new");
            }
        }
        b.part(&part("SHELL", "A", "PNL")).expect("new");
        weigh(&mut b, ("SHELL", "A"), None, &[100.0, 104.0]);
        weigh(&mut b, ("ZIP-9", "A"), None, &[10.0, 12.0]);
        weigh(&mut b, ("ZIP-9", "B"), None, &[20.0, 22.0]);
        b
    }

    fn pair(field: &Field, part_no: &str) -> (RevisionId, RevisionId) {
        ["A", "B"].map(|revision| field.find_revision(part_no, revision).expect("known")).into()
    }

    /// By hand: 11 + 102 = 113 g before; after 21 + 102 = 123 g, and with the pouch of 51 g, which only the new one has, 174 g.
    #[test]
    fn a_configuration_of_either_structure_has_its_row() {
        let mut b = two_carriers();
        b.part(&part("POUCH", "A", "PKT")).expect("new");
        weigh(&mut b, ("POUCH", "A"), None, &[50.0, 52.0]);
        for revision in ["A", "B"] {
            b.component(&component(("RC-100", revision), ("ZIP-9", revision), 1.0)).expect("known");
            b.component(&component(("RC-100", revision), ("SHELL", "A"), 1.0)).expect("known");
        }
        b.component(&Component {
            configuration: Some("full".into()),
            ..component(("RC-100", "B"), ("POUCH", "A"), 1.0)
        })
        .expect("known");
        let field = b.build();
        let (item, zip) = (pair(&field, "RC-100"), pair(&field, "ZIP-9"));
        let rows = |item, zip| -> Vec<_> {
            let grams = |mass: Option<Mass>| mass.map(|mass| mass.grams);
            let row = |c: MassChange| (c.configuration, grams(c.before), grams(c.difference));
            mass_changes(&field, item, zip).into_iter().map(row).collect()
        };
        let full = field.configurations.find("full");
        assert!(full.is_some());
        assert_eq!(rows(item, zip), [(None, Some(113.0), Some(10.0)), (full, Some(113.0), Some(61.0))]);
        assert_eq!(rows((item.1, item.0), (zip.1, zip.0)), [(full, Some(174.0), Some(-61.0))]);
    }

    /// A sub-assembly between item and zip, weighed whole at 501 g for a thread in it never was; its next revision is zip, panel
    /// and a thread that was weighed. 501 g against 21 + 102 + 5 g would be told to two grams.
    #[test]
    fn a_sub_assembly_weighed_whole_is_not_held_against_a_sum_of_parts() {
        let carrier = |weighed: &[f64]| {
            let mut b = two_carriers();
            for (revision, thread) in [("A", "THREAD-1"), ("B", "THREAD-2")] {
                b.part(&part("SUB", revision, "ASM")).expect("new");
                b.part(&part(thread, "A", "SEM")).expect("new");
                b.component(&component(("RC-100", revision), ("SUB", revision), 1.0)).expect("known");
                for child in [("ZIP-9", revision), ("SHELL", "A"), (thread, "A")] {
                    b.component(&component(("SUB", revision), child, 1.0)).expect("known");
                }
            }
            weigh(&mut b, ("SUB", "A"), None, &[500.0, 502.0]);
            weigh(&mut b, ("SUB", "B"), None, weighed);
            weigh(&mut b, ("THREAD-2", "A"), None, &[5.0, 5.0]);
            b.build()
        };
        let row = |field: &Field| mass_changes(field, pair(field, "RC-100"), pair(field, "ZIP-9")).remove(0);
        let field = carrier(&[]);
        let found = row(&field);
        assert_eq!(found.before.map(|mass| mass.grams), Some(501.0));
        assert_eq!((found.after, found.difference), (None, None));
        assert_eq!(found.unweighed, [Unweighed { revision: pair(&field, "SUB").1, size: None }]);
        let found = row(&carrier(&[430.0, 432.0]));
        assert_eq!(found.difference.map(|mass| mass.grams), Some(-70.0));
    }

    /// Twenty-four assemblies, each with one of the next on the left and one on the right: some sixteen million ways to the
    /// last part, which weighs a gram.
    #[test]
    fn a_part_is_weighed_once_however_many_ways_lead_to_it() {
        let mut b = builder();
        let name = |level: usize| format!("P{level}");
        for level in 0..=24 {
            b.part(&part(&name(level), "A", if level == 0 { "ITEM" } else { "PNL" })).expect("new");
        }
        for level in 0..24 {
            for position in ["left", "right"] {
                b.component(&Component {
                    position: Some(position.into()),
                    ..component((&name(level), "A"), (&name(level + 1), "A"), 1.0)
                })
                .expect("known");
            }
        }
        weigh(&mut b, (&name(24), "A"), None, &[1.0]);
        let field = b.build();
        let item = field.find_revision("P0", "A").expect("known");
        let whole = bill(&field, item, None, None, &Following::default()).expect("weighed");
        assert_eq!(whole.into_values().collect::<Vec<_>>(), [f64::from(1 << 24)]);
    }
}
