//! A look ahead before a world runs: about how often each lot will fail, to scale lives and to choose bad lots.

use super::calendar::{Calendar, YEAR};
use super::change::ChangePlan;
use super::design::CULPRIT;
use super::dice::Dice;
use super::lots::{Lot, Lots, Made};
use super::organisation::Organisation;
use super::product::{Hazard, Products};
use super::request::Request;

/// Chance that a fault found on arrival is reported.
pub(super) const ARRIVAL_REPORTED: f64 = 0.8;
/// Share of items that leave service in a year, for the look ahead only.
const LEAVING: f64 = 0.06;

/// A bad lot.
pub(super) struct BadLot {
    /// Its place among the lots.
    pub(super) lot: u32,
    /// The mode that it makes worse.
    pub(super) hazard: usize,
    /// How many times.
    pub(super) factor: f64,
}

/// Expected reports of one mode from one item lot by the end, were nothing bad or changed.
fn reports_of(calendar: &Calendar, organisation: &Organisation, lot: &Lot, hazard: &Hazard) -> f64 {
    let issued = lot.arrives.unwrap_or(calendar.end).max(0) + 60;
    let years = f64::from(calendar.end - issued) / YEAR;
    if years <= 0.0 || hazard.weight <= 0.0 {
        return 0.0;
    }
    let shape = hazard.shape;
    let willing = organisation.fleet_mean(|unit| unit.reporting * unit.use_factor.powf(shape));
    let staying = (-LEAVING * years * shape / (shape + 1.0)).exp();
    f64::from(lot.quantity) * hazard.cumulative(years) * willing * staying
}

/// Sets lives so that about the wanted number of reports comes.
pub(super) fn scale_lives(
    request: &Request,
    calendar: &Calendar,
    organisation: &Organisation,
    products: &mut Products,
    lots: &Lots,
    change: &ChangePlan,
) {
    let wanted = request.reports.map_or(f64::from(request.items) * 0.075 * request.years / 5.0, f64::from);
    products.scale_lives(1.0);
    let (mut aged, mut on_arrival) = (0.0, 0.0);
    for lot in &lots.list {
        let Made::Item(size) = lot.made else { continue };
        for &place in &products.items[products.sizes[size].product].hazards {
            let hazard = &products.hazards[place];
            let eased = if place == change.hazard { 1.0 - lot.share_new * (1.0 - change.ratio) } else { 1.0 };
            aged += eased * reports_of(calendar, organisation, lot, hazard);
            on_arrival += hazard.arrival * f64::from(lot.quantity) * ARRIVAL_REPORTED;
        }
    }
    let scale = (wanted - on_arrival).max(wanted * 0.5) / (aged * (1.0 + request.doubles)).max(1e-9);
    products.scale_lives(scale);
}

/// Chooses the bad lots, among those that went into one to six item lots early enough to show.
pub(super) fn choose_bad(
    request: &Request,
    calendar: &Calendar,
    organisation: &Organisation,
    products: &Products,
    lots: &mut Lots,
    change: &ChangePlan,
    dice: &mut Dice,
) -> Vec<BadLot> {
    let drawn = dice.below(3);
    let count = request.bad_lots.map_or(if request.varied { drawn } else { 1 }, usize::from);
    let mut bad: Vec<BadLot> = Vec::new();
    for place in 0..count {
        let factor = request.bad_factor.unwrap_or(if request.varied { dice.between(2.5, 6.0) } else { 5.0 });
        let mut choices = candidates(calendar, organisation, products, lots, change);
        choices.retain(|choice| {
            bad.iter().all(|b| products.hazards[b.hazard].part != products.hazards[choice.1].part)
        });
        let told = choices.iter().any(|choice| is_culprit(products, choice.1));
        if !request.varied && place == 0 && told {
            choices.retain(|choice| is_culprit(products, choice.1));
        }
        let chosen = if request.varied && !choices.is_empty() {
            Some(choices.swap_remove(dice.below(choices.len())))
        } else {
            choices.into_iter().max_by(|a, b| a.2.total_cmp(&b.2))
        };
        let Some((lot, hazard, _, shares)) = chosen else { break };
        for (item_lot, share) in shares {
            lots.list[item_lot].bad[place] = share;
        }
        for (item_lot, share) in where_used(products, lots).swap_remove(lot as usize) {
            lots.list[item_lot].holds[place] = share;
        }
        bad.push(BadLot { lot, hazard, factor });
    }
    bad
}

fn is_culprit(products: &Products, hazard: usize) -> bool {
    let hazard = &products.hazards[hazard];
    (products.parts[hazard.part].no, hazard.mode) == CULPRIT
}

/// A lot that could be bad: its place, the mode, the reports expected of the items that contain it, and its share of each item lot.
type Candidate = (u32, usize, f64, Vec<(usize, f64)>);

fn candidates(
    calendar: &Calendar,
    organisation: &Organisation,
    products: &Products,
    lots: &Lots,
    change: &ChangePlan,
) -> Vec<Candidate> {
    let mut found = Vec::new();
    let latest = (f64::from(calendar.end) * 0.6) as i32;
    let into = where_used(products, lots);
    for (place, lot) in lots.list.iter().enumerate() {
        let Made::Part(part) = lot.made else { continue };
        if part == change.part || lot.made_on > latest || into[place].is_empty() || into[place].len() > 6 {
            continue;
        }
        for (h, hazard) in products.hazards.iter().enumerate() {
            let failing = hazard.weight > 0.0
                && (hazard.part == part
                    || products.parts[hazard.part].material == Some(products.parts[part].no));
            if !failing || hazard.part == change.part {
                continue;
            }
            let holds = |item_lot: usize| match lots.list[item_lot].made {
                Made::Item(size) => products.items[products.sizes[size].product].hazards.contains(&h),
                Made::Part(_) => false,
            };
            let shares: Vec<(usize, f64)> =
                into[place].iter().copied().filter(|use_| holds(use_.0)).collect();
            let expected = shares
                .iter()
                .map(|&(l, share)| share * reports_of(calendar, organisation, &lots.list[l], hazard))
                .sum();
            if !shares.is_empty() {
                found.push((place as u32, h, expected, shares));
            }
        }
    }
    found
}

/// For each lot the item lots it went into, through any level, with the share of their items that contain it.
fn where_used(products: &Products, lots: &Lots) -> Vec<Vec<(usize, f64)>> {
    let mut into: Vec<Vec<(usize, f64)>> = vec![Vec::new(); lots.list.len()];
    // Users come after what they use, so going backwards each component lot is complete before its material asks.
    for user in (0..lots.list.len()).rev() {
        let lot = &lots.list[user];
        for &(used, pieces) in &lot.uses {
            match lot.made {
                Made::Item(size) if lot.arrives.is_some() => {
                    let product = &products.items[products.sizes[size].product];
                    let part = lots.list[used as usize].made;
                    let each = product.pieces.iter().find(|p| Made::Part(p.0) == part).map_or(1, |p| p.1);
                    add(
                        &mut into[used as usize],
                        user,
                        f64::from(pieces) / f64::from(each * lot.quantity.max(1)),
                    );
                }
                Made::Item(_) => {}
                Made::Part(_) => {
                    let share = f64::from(pieces) / f64::from(lot.quantity.max(1));
                    for (item_lot, whole) in into[user].clone() {
                        add(&mut into[used as usize], item_lot, whole * share);
                    }
                }
            }
        }
    }
    into
}

fn add(list: &mut Vec<(usize, f64)>, lot: usize, share: f64) {
    match list.iter_mut().find(|(known, _)| *known == lot) {
        Some((_, so_far)) => *so_far = (*so_far + share).min(1.0),
        None => list.push((lot, share.min(1.0))),
    }
}
