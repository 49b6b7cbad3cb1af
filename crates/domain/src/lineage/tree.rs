//! Everything that a lot was made from and everything it went into, by steps, with the quantities on the ways.

use std::collections::{HashMap, HashSet};

use super::content::Content;
use super::origin::{ANY_DAY, Origin};
use super::passage::{Passage, Scope, basis};
use super::{DEEPEST, shares, used_by_part};
use crate::field::{Day, Field, LotId};

/// A lot above or below another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Kin {
    /// The lot.
    pub lot: LotId,
    /// Steps away by the longest way, 1 and more.
    pub steps: usize,
    /// How much of the lower lot contains the upper.
    pub content: Content,
    /// Quantity of the upper lot that went into the lower by every way, in the upper's unit; `None` where it is not
    /// on record.
    pub amount: Option<f64>,
}

/// One lot used in another, or items of one that became another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// The lot that was used or converted.
    pub from: LotId,
    /// The lot it went into or became.
    pub into: LotId,
    /// How much of it, where that is on record.
    pub quantity: Option<f64>,
    /// Whether issued items were converted.
    pub by_conversion: bool,
    /// What goes this way: above the lot, the share of its items that this brings a part to; below it, the share of its
    /// quantity. Nothing where quantities are not on record.
    pub share: f64,
}

/// The lineage of one lot.
#[derive(Clone, Debug, PartialEq)]
pub struct Lineage {
    /// The lot.
    pub of: LotId,
    /// What it was made from, nearest first, then as lots came.
    pub up: Vec<Kin>,
    /// Where it went, nearest first, then as lots came.
    pub down: Vec<Kin>,
    /// The steps among all of them.
    pub steps: Vec<Step>,
}

impl Lineage {
    /// The lineage of a lot.
    pub fn of(field: &Field, of: LotId) -> Self {
        let above = levels(of, |lot| sources(field, lot));
        let below = levels(of, |lot| goals(field, lot, ANY_DAY));
        let mut up: Vec<Kin> = Vec::with_capacity(above.len());
        let cone: HashSet<LotId> = above.keys().copied().chain([of]).collect();
        for (&lot, &steps) in &above {
            let inside = levels(lot, |lot| goals(field, lot, ANY_DAY).filter(|goal| cone.contains(goal)));
            let scope = Scope::new(field, inside.into_keys());
            up.extend(kin(&mut Passage::new(field, lot, &scope, ANY_DAY), of, lot, steps));
        }
        let scope = Scope::new(field, below.keys().copied());
        let mut passage = Passage::new(field, of, &scope, ANY_DAY);
        let mut down: Vec<Kin> =
            below.iter().filter_map(|(&lot, &steps)| kin(&mut passage, lot, lot, steps)).collect();
        for side in [&mut up, &mut down] {
            side.sort_unstable_by_key(|kin| (kin.steps, kin.lot));
        }
        let steps = steps(field, of, &up, &down);
        Self { of, up, down, steps }
    }
}

/// The lots that contain this one on a day, it itself left out, whether surely or perhaps.
pub(super) fn descendants(field: &Field, of: LotId, on: Day) -> Vec<LotId> {
    levels(of, |lot| goals(field, lot, on)).into_keys().collect()
}

fn kin(passage: &mut Passage<'_>, lower: LotId, lot: LotId, steps: usize) -> Option<Kin> {
    let passed = passage.into(lower);
    (!passed.content.is_nothing()).then_some(Kin {
        lot,
        steps,
        content: passed.content,
        amount: passed.amount,
    })
}

/// Every lot that can be reached, with the steps of the longest way. Converting there and back would go on for ever.
fn levels<I: Iterator<Item = LotId>>(of: LotId, next: impl Fn(LotId) -> I) -> HashMap<LotId, usize> {
    let mut levels: HashMap<LotId, usize> = HashMap::new();
    let mut todo = vec![of];
    while let Some(lot) = todo.pop() {
        let steps = levels.get(&lot).copied().unwrap_or(0) + 1;
        for next in next(lot).filter(|&next| next != of) {
            let known = levels.entry(next).or_default();
            if *known < steps && steps <= DEEPEST {
                *known = steps;
                todo.push(next);
            }
        }
    }
    levels.retain(|_, steps| *steps > 0);
    levels
}

fn sources(field: &Field, lot: LotId) -> impl Iterator<Item = LotId> {
    let facts = &field.lots[lot];
    facts.used.iter().map(|u| u.0).chain(facts.converted_from.iter().filter_map(|c| c.0))
}

fn goals(field: &Field, lot: LotId, on: Day) -> impl Iterator<Item = LotId> {
    let facts = &field.lots[lot];
    let became = facts.converted_into.iter().filter(move |c| c.1.iter().any(|day| day.0 <= on));
    facts.used_in.iter().map(|u| u.0).chain(became.map(|c| c.0))
}

/// Steps that lie on a way from one end to the other, with what goes each way: above, the nearest first, then below.
fn steps(field: &Field, of: LotId, up: &[Kin], down: &[Kin]) -> Vec<Step> {
    let lots = |side: &[Kin]| -> HashSet<LotId> { side.iter().map(|kin| kin.lot).chain([of]).collect() };
    let (above, below) = (lots(up), lots(down));
    let mut steps = Vec::new();
    let mut through = HashMap::from([(of, 1.0)]);
    for into in std::iter::once(of).chain(up.iter().map(|kin| kin.lot)) {
        let here = through.get(&into).copied().unwrap_or(0.0);
        for step in made_from(field, into).into_iter().filter(|step| above.contains(&step.from)) {
            let share = here * step.share;
            *through.entry(step.from).or_default() += share;
            steps.push(Step { share, ..step });
        }
    }
    let mut through = HashMap::from([(of, 1.0)]);
    for from in std::iter::once(of).chain(down.iter().map(|kin| kin.lot)) {
        let here = through.get(&from).copied().unwrap_or(0.0);
        for step in went_into(field, from).filter(|step| below.contains(&step.into)) {
            let share = here * step.share;
            *through.entry(step.into).or_default() += share;
            steps.push(Step { share, ..step });
        }
    }
    steps
}

/// What one lot was made from in one step, each with its share of the lot's items: what was used in it, then the lots whose
/// items became it.
pub fn made_from(field: &Field, into: LotId) -> Vec<Step> {
    let origin = Origin::of(field, into, ANY_DAY);
    let mut steps = Vec::new();
    for (part, used) in used_by_part(field, into) {
        for (&(from, quantity), share) in used.iter().zip(shares(used.iter().map(|lot| lot.1))) {
            let share = share * origin.share_with_own(part);
            steps.push(Step { from, into, quantity, by_conversion: false, share });
        }
    }
    for converted in &origin.converted {
        let Some(from) = converted.from else { continue };
        let (quantity, share) = (Some(converted.items), origin.share_converted(converted));
        steps.push(Step { from, into, quantity, by_conversion: true, share });
    }
    steps
}

/// Where one lot went in one step, each with its share of the lot's quantity: what it was used in, then the lots that its
/// items became.
pub fn went_into(field: &Field, from: LotId) -> impl Iterator<Item = Step> {
    let facts = &field.lots[from];
    let used = facts.used_in.iter().map(|&(into, quantity)| (into, quantity, false));
    let items = |days: &[(Day, u32)]| days.iter().map(|day| f64::from(day.1)).sum::<f64>();
    let became = facts.converted_into.iter().map(move |(into, days)| (*into, Some(items(days)), true));
    let whole = basis(field, from);
    used.chain(became).map(move |(into, quantity, by_conversion)| {
        let share = quantity.zip(whole).map_or(0.0, |(quantity, whole)| quantity / whole);
        Step { from, into, quantity, by_conversion, share }
    })
}
