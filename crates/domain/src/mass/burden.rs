//! What a change of mass means: over the fleet, for the lightest wearer, and what a reader might be misled by.

use std::collections::BTreeSet;

use stats::load_carriage::Walk;

use super::MassChange;
use crate::accommodation::{lightest_kg, ranges};
use crate::analysis::Holders;
use crate::field::{ChangeFacts, Field, PartId, RevisionId};
use crate::ledger::{Books, Ledger, part_of, size_of};

/// The share of body mass that can be carried with most of one's agility left (ADP 3-90; GAO-17-431 uses it too).
pub const BUDGET_SHARE: f64 = 0.3;

/// The person and walk of the illustration: body kg, load kg, m/s, level hard ground.
const WALKER: (f64, f64, f64) = (80.0, 20.0, 1.34);

/// Measured cost of a carried kilogram at 1.25 m/s, about linear to 40 % of body mass, in watts (Huang and Kuo 2014).
const MEASURED_W_PER_KG: f64 = 7.6;

/// Kinds of part that take up water.
const TAKES_UP_WATER: [&str; 2] = ["FOM", "PNL"];

/// Grams that the items in service together would gain.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FleetMass {
    /// Grams, over the items whose size was weighed.
    pub grams: f64,
    /// These items.
    pub items: u64,
    /// Items whose size is not known or was not weighed; left out.
    pub left_out: u64,
}

/// What a change of mass means for one size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Budget {
    /// The lightest of the measured people whom the size fits, in kg.
    pub lightest_kg: f64,
    /// What the difference is of that person's load budget, [`BUDGET_SHARE`] of body mass.
    pub share: f64,
}

/// Something that a reader might be misled by.
#[derive(Clone, Debug, PartialEq)]
pub enum Flag {
    /// Some sizes gain and others lose: the mean hides it. Lowest and highest difference in grams.
    OppositeSigns(f64, f64),
    /// Lines that were not weighed; nothing is filled in for them.
    NotWeighed(usize),
    /// Lines whose difference is below twice the step that specimens were weighed to, in grams.
    BelowResolution(usize, f64),
    /// Lines whose difference is within the scatter from specimen to specimen, the largest in grams.
    WithinScatter(usize, f64),
    /// The part takes up water, and only dry mass is on record.
    WetGain,
}

/// An illustration of what carrying the difference costs, in watts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Energy {
    /// Grams carried more.
    pub grams: f64,
    /// By Pandolf's equation of 1977, which is likely low.
    pub pandolf_w: f64,
    /// By the slope that was measured on walkers.
    pub measured_w: f64,
}

/// Grams over the fleet: each item in service gains what its size gains, in the first configuration that was weighed. A line
/// without a size counts only for an item that has none with one.
pub fn fleet(field: &Field, ledger: &Ledger, change: &ChangeFacts, masses: &[MassChange]) -> FleetMass {
    let holders = Holders::of_part(field, change.part);
    let by_size: BTreeSet<PartId> = masses.iter().filter(|m| m.size.is_some()).map(|m| m.item).collect();
    let mut fleet = FleetMass::default();
    let held = ledger.spells.iter().filter(|s| s.open && s.books.has(Books::BEST));
    for spell in held.filter(|s| holders.has_stock(field, s.stock)) {
        let (item, size) = (part_of(field, spell.stock), size_of(field, spell.stock));
        let is_of = |m: &&MassChange| match m.size {
            None => m.item == item && !by_size.contains(&item),
            of_line => m.item == item && of_line == size,
        };
        let items = u64::from(spell.quantity);
        match masses.iter().filter(is_of).find_map(|line| line.difference) {
            Some(difference) => {
                fleet.grams += difference.grams * f64::from(spell.quantity);
                fleet.items += items;
            }
            None => fleet.left_out += items,
        }
    }
    fleet
}

/// The share of the lightest wearer's load budget; `None` without a difference, or without measured people whom the size
/// fits.
pub fn budget(field: &Field, mass: &MassChange) -> Option<Budget> {
    let size = &field.sizes[mass.size?];
    let lightest_kg = lightest_kg(&field.people, ranges(field, mass.item).get(size)?)?;
    let grams = mass.difference?.grams;
    Some(Budget { lightest_kg, share: grams / 1000.0 / (BUDGET_SHARE * lightest_kg) })
}

/// What carrying some grams more costs a walker of 80 kg with 20 kg at 1.34 m/s on level hard ground.
pub fn energy(grams: f64) -> Option<Energy> {
    let (body, load, speed) = WALKER;
    let walk = Walk::new(body, load, speed, 0.0, 1.0).ok()?;
    let with = walk.with_load(load + grams / 1000.0).ok()?;
    Some(Energy {
        grams,
        pandolf_w: with.pandolf_w() - walk.pandolf_w(),
        measured_w: MEASURED_W_PER_KG * grams / 1000.0,
    })
}

/// Everything that a reader of these masses might be misled by.
pub fn flags(field: &Field, change: &ChangeFacts, masses: &[MassChange]) -> Vec<Flag> {
    let grams: Vec<f64> = masses.iter().filter_map(|m| Some(m.difference?.grams)).collect();
    let mut flags = Vec::new();
    let low = grams.iter().copied().fold(f64::INFINITY, f64::min);
    let high = grams.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if low < 0.0 && high > 0.0 {
        flags.push(Flag::OppositeSigns(low, high));
    }
    let not_weighed = masses.iter().filter(|m| m.difference.is_none()).count();
    if not_weighed > 0 {
        flags.push(Flag::NotWeighed(not_weighed));
    }
    if let Some(step) = resolution_g(field, &[change.from, change.to]) {
        let below = grams.iter().filter(|g| g.abs() < 2.0 * step).count();
        if below > 0 {
            flags.push(Flag::BelowResolution(below, step));
        }
    }
    if let Some(scatter) = scatter_g(field, change.to) {
        let within = grams.iter().filter(|g| g.abs() < scatter).count();
        if within > 0 {
            flags.push(Flag::WithinScatter(within, scatter));
        }
    }
    if TAKES_UP_WATER.contains(&&*field.revisions[change.to].kind) {
        flags.push(Flag::WetGain);
    }
    flags
}

/// The step that specimens were weighed to, by the digits that were written down: 1, 0.1, 0.01 ... grams.
fn resolution_g(field: &Field, revisions: &[RevisionId]) -> Option<f64> {
    let grams: Vec<f64> = revisions
        .iter()
        .flat_map(|&r| field.revisions[r].weighings.iter().map(|(_, grams)| *grams))
        .collect();
    if grams.is_empty() {
        return None;
    }
    let whole = |step: f64| grams.iter().all(|g| ((g / step).round() * step - g).abs() < 1e-6);
    [1.0, 0.1, 0.01, 0.001].into_iter().find(|&step| whole(step))
}

/// The largest standard deviation from specimen to specimen of one size of a revision.
fn scatter_g(field: &Field, revision: RevisionId) -> Option<f64> {
    let weighings = &field.revisions[revision].weighings;
    let mut sizes: Vec<_> = weighings.iter().map(|(size, _)| *size).collect();
    sizes.sort_unstable();
    sizes.dedup();
    let deviation = |size| {
        let grams: Vec<f64> = weighings.iter().filter(|(s, _)| *s == size).map(|(_, g)| *g).collect();
        let n = grams.len() as f64;
        let mean = grams.iter().sum::<f64>() / n;
        (n > 1.0).then(|| (grams.iter().map(|g| (g - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt())
    };
    sizes.into_iter().filter_map(deviation).reduce(f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::field::{ConfigurationId, Id as _, SizeId};
    use crate::ledger::{TakeOrder, fold};
    use crate::lot::Lot;
    use crate::mass::{Bill, Mass};
    use crate::movement::MovementKind;
    use crate::nouns::{builder, change, component, date, lot, movement, part, unit};
    use crate::unit::UnitKind;
    use crate::weighing::Weighing;

    fn line(size: usize, grams: Option<f64>) -> MassChange {
        MassChange {
            item: PartId::from_index(0),
            size: Some(SizeId::from_index(size)),
            configuration: None,
            before: None,
            after: None,
            difference: grams.map(|grams| Mass { grams, uncertainty: None }),
            differs: Bill::default(),
            unweighed: Vec::new(),
        }
    }

    /// A foam pad, revision A at 100 g and B at so many grams a specimen.
    fn field(after: &[f64]) -> (Field, ChangeFacts) {
        let mut b = builder();
        for revision in ["A", "B"] {
            b.part(&part("PAD-1", revision, "FOM")).expect("new");
        }
        for (at, mass_g) in after.iter().copied().enumerate() {
            b.weighing(&Weighing {
                part_no: "PAD-1".into(),
                revision: "B".into(),
                size: None,
                specimen: at.to_string(),
                mass_g,
            })
            .expect("known");
        }
        b.change(&change("2026-001", "PAD-1")).expect("known");
        let field = b.build();
        let change = field.changes.rows()[0].clone();
        (field, change)
    }

    #[test]
    fn a_mean_that_hides_opposite_signs_and_sizes_not_weighed_are_flagged() {
        let (field, change) = field(&[100.0, 120.0]);
        let masses = [line(0, Some(-20.0)), line(1, Some(30.0)), line(2, None)];
        let found = flags(&field, &change, &masses);
        assert!(found.contains(&Flag::OppositeSigns(-20.0, 30.0)), "{found:?}");
        assert!(found.contains(&Flag::NotWeighed(1)) && found.contains(&Flag::WetGain), "{found:?}");
    }

    /// By hand: specimens of 100.0, 100.4 and 100.8 g were weighed to 0.1 g and scatter by 0.4 g.
    #[test]
    fn a_difference_below_the_balances_step_or_the_scatter_is_no_detectable_change() {
        let (field, change) = field(&[100.0, 100.4, 100.8]);
        let found = flags(&field, &change, &[line(0, Some(0.15)), line(1, Some(0.3)), line(2, Some(5.0))]);
        assert!(found.contains(&Flag::BelowResolution(1, 0.1)), "{found:?}");
        let within = found.iter().any(|f| matches!(f, Flag::WithinScatter(2, s) if (s - 0.4).abs() < 1e-9));
        assert!(within, "{found:?}");
    }

    /// 100 items of M gain 20 g each and 50 of L 30 g; of 7 nobody knows the size, and 3 of XL were never weighed. By hand: 2,000 +
    /// 1,500 g on 150 items. Where no size has a line, the one of all sizes stands for all 160.
    #[test]
    fn each_item_gains_what_its_size_gains_in_the_first_configuration_that_was_weighed() {
        let mut b = builder();
        b.unit(&unit("COVE-2", UnitKind::Wearing)).expect("new");
        let parts = [("RC-100", "A", "ITEM"), ("PAD-1", "A", "FOM"), ("PAD-1", "B", "FOM")];
        for (part_no, revision, kind) in parts {
            b.part(&part(part_no, revision, kind)).expect("new");
        }
        b.component(&component(("RC-100", "A"), ("PAD-1", "A"), 1.0)).expect("known");
        for (lot_no, size, items) in
            [("T-0", None, 7), ("T-1", Some("M"), 100), ("T-2", Some("L"), 50), ("T-3", Some("XL"), 3)]
        {
            b.lot(&Lot { size: size.map(Into::into), ..lot(lot_no, "RC-100", "A") }).expect("known part");
            b.movement(&movement("2025-01-01", MovementKind::Issue, lot_no, "COVE-2", items)).expect("known");
        }
        b.change(&change("2026-001", "PAD-1")).expect("known");
        let field = b.build();
        let ledger = fold(&field, date("2026-01-01").into(), TakeOrder::OldestFirst);
        let of = |size: Option<&str>, configuration: usize, grams: Option<f64>| MassChange {
            size: size.and_then(|size| field.sizes.find(size)),
            configuration: Some(ConfigurationId::from_index(configuration)),
            ..line(0, grams)
        };
        let told = |masses: &[MassChange]| fleet(&field, &ledger, &field.changes.rows()[0], masses);
        let masses = [
            of(None, 0, Some(1.0)),
            of(Some("M"), 0, None),
            of(Some("L"), 0, None),
            of(Some("XL"), 0, None),
            of(None, 1, Some(1.0)),
            of(Some("M"), 1, Some(20.0)),
            of(Some("L"), 1, Some(30.0)),
            of(Some("XL"), 1, None),
        ];
        assert_eq!(told(&masses), FleetMass { grams: 3500.0, items: 150, left_out: 10 });
        let all = [of(None, 0, None), of(None, 1, Some(20.0))];
        assert_eq!(told(&all), FleetMass { grams: 3200.0, items: 160, left_out: 0 });
    }

    /// 0.5 kg is 2.6 % of the budget of a man of 64.4 kg and 3.2 % of that of a woman of 51.3 kg, the fifth percentiles of
    /// ANSUR II (computed from the public data).
    #[test]
    fn half_a_kilogram_is_more_to_a_lighter_wearer() {
        let share = |kg: f64| (1e3 * 0.5 / (BUDGET_SHARE * kg)).round() / 10.0;
        assert_eq!((share(64.4), share(51.3)), (2.6, 3.2));
    }

    /// Pandolf at 80 kg, 1.34 m/s: 401.84 W at 20 kg, 4.07 W for the next kilogram; a kilogram measured 7.6 W.
    #[test]
    fn carrying_a_hundred_grams_more_costs_under_a_watt() {
        let found = energy(100.0).expect("in range");
        assert!((found.pandolf_w - 0.407).abs() < 0.003, "{found:?}");
        assert!((found.measured_w - 0.76).abs() < 1e-12);
    }
}
