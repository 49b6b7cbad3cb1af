//! What a change brings: grams in every size, failure rates before and after, and the proof.

use super::counts::{ChangeCounts, MixedShare, Occasions};
use super::failed_ages::FailedAges;
use super::holders::Holders;
use super::part_exposure::{PartExposure, by_age};
use super::pilots::Pilots;
use super::placed::{Placed, placed};
use super::proof::{Proof, fixed_date, shared};
use super::rate::Rate;
use super::reach::{Reach, WhileWaiting};
use super::recurrences::issued_new;
use super::seen::Seen;
use super::side::{Side, Sides};
use super::side_effects::{OtherMode, StillTold, other_modes, still_told};
use super::telling::Telling;
use super::two_sides::TwoSides;
use super::window::Window;
use crate::change::ChangeState;
use crate::field::{ChangeFacts, ChangeId, Day, Field, LotId, ModeId, RevisionId};
use crate::ledger::Ledger;
use crate::mass::{MassChange, TariffChange, mass_changes, tariff_change};

/// Lots built partly to a change: on neither side of the proof, shown apart.
#[derive(Clone, Debug, PartialEq)]
pub struct MixedLots {
    /// The lots with the share built to the change.
    pub lots: Vec<(LotId, f64)>,
    /// Their item-years.
    pub item_years: f64,
    /// Failures seen.
    pub failures: u64,
    /// Failures expected from the rates of both sides and the shares; `None` where a side has no rate.
    pub expected: Option<f64>,
}

/// What a change brings.
#[derive(Clone, Debug, PartialEq)]
pub struct ChangeResult {
    /// The change.
    pub change: ChangeId,
    /// Grams by item, size and configuration; lines without figures say what was never weighed.
    pub mass: Vec<MassChange>,
    /// Means over the tariff, of the first item and configuration; `None` where a size was never weighed.
    pub mass_tariff_mean: Option<TariffChange>,
    /// Failure rate of items before the change.
    pub rate_before: Option<Rate>,
    /// Failure rate of items built to the change.
    pub rate_after: Option<Rate>,
    /// The same of failures that no notice called for, before and after.
    pub rates_unasked: [Option<Rate>; 2],
    /// The comparison at equal age; `None` where one side has no exposure.
    pub proof: Option<Proof>,
    /// Whether the verdict is the same when movements take the newest items first; `None` without a proof.
    pub holds_newest_first: Option<bool>,
    /// Lots built partly to the change.
    pub mixed: Option<MixedLots>,
    /// What pilot and trial lots came to against the old design; `None` where none was in service beside it.
    pub pilots: Option<Pilots>,
    /// Failures whose side neither a label nor another record tells.
    pub unread: u64,
    /// How far it has reached the items in service.
    pub reach: Reach,
    /// What waiting for it costs; `None` where the rate before it isn't known.
    pub while_waiting: Option<WhileWaiting>,
    /// What the figures of failures above rest on.
    pub counts: ChangeCounts,
    /// Other modes on the part, before and after, once the change is built; those that rise first.
    pub other_modes: Vec<OtherMode>,
    /// Whether units go on reporting old items, once the change is built.
    pub still_told: Option<StillTold>,
    /// How much of what it is to cure was reported before the cut-in and is reported since, once the change is built.
    pub telling: Option<Telling>,
    /// Failures of the modes concerned on items built to the change: mode, day, and whether there was harm.
    pub failures_with_change: Vec<(ModeId, Day, bool)>,
}

impl ChangeResult {
    /// What a change brings by what was counted of it; grams come from the field's weighings. Lots built partly to the
    /// change are told apart in the counts only.
    pub fn from_counts(field: &Field, id: ChangeId, counts: ChangeCounts) -> Self {
        let mass = mass(field, &field.changes[id]);
        let first = mass.first().map(|line| (line.item, line.configuration));
        let of_first: Vec<MassChange> =
            mass.iter().filter(|line| Some(line.item) == first.map(|f| f.0)).cloned().collect();
        Self {
            change: id,
            mass_tariff_mean: first
                .and_then(|(_, configuration)| tariff_change(field, &of_first, configuration)),
            mass,
            rate_before: counts.rate_before(),
            rate_after: counts.rate_after(),
            rates_unasked: [None; 2],
            proof: counts.proof(),
            holds_newest_first: None,
            mixed: None,
            pilots: None,
            unread: counts.unread,
            reach: counts.reach,
            while_waiting: counts.while_waiting(),
            counts,
            other_modes: Vec::new(),
            still_told: None,
            telling: None,
            failures_with_change: Vec::new(),
        }
    }
}

/// What one change brings. The two sides are compared over the window in which nearly all reports have arrived: the
/// latest weeks are those of the new design, and would flatter it.
pub(super) fn change_result(
    field: &Field,
    ledger: &Ledger,
    (seen, window): (&Seen, Window),
    id: ChangeId,
    change: &ChangeFacts,
) -> ChangeResult {
    let sides = Sides::new(field, change);
    let in_service = InService::new(ledger, change, &sides);
    let both = both_sides(field, ledger, window, change, &sides);
    let is_built = change.state.is_some_and(ChangeState::is_built);
    // Once it is built, other modes may rise.
    let wanted = |mode| is_built || change.is_against(mode);
    let ages = FailedAges { ledger, part: change.part };
    let placed = placed(field, ledger, (seen, window), (change, &sides), ages, wanted);
    let (concerned, others): (Vec<Placed>, Vec<Placed>) = placed.iter().partition(|one| one.concerned);

    let as_of = ledger.as_of;
    let mixed = in_service.mixed_lots(&sides);
    let counts = ChangeCounts {
        mixed: mixed.iter().map(|lot| lot.named(field)).collect(),
        reach: Reach::new(field, ledger, change, &sides),
        issued_last_year: issued_new(field, ledger, change.part, as_of)
            - issued_new(field, ledger, change.part, Day(as_of.0 - DAYS_A_YEAR)),
        ..counted(&in_service, &both, &concerned)
    };
    let unasked = |side: Side, exposure: &PartExposure<'_>| {
        let occasions = on_side(&concerned, side).filter(|one| one.unprompted).count();
        Rate::new(occasions as u64, exposure.years.best)
    };
    let mut result = ChangeResult::from_counts(field, id, counts);
    result.rates_unasked =
        [unasked(Side::Before, &in_service.before), unasked(Side::After, &in_service.after)];
    result.mixed = (!mixed.is_empty()).then(|| MixedLots {
        lots: mixed.iter().map(|one| (one.lot, one.share)).collect(),
        item_years: in_service.mixed.years.best,
        failures: result.counts.mixed_failures,
        expected: result.counts.mixed_expected(),
    });
    let before = || on_side_within(ledger, window, change, &sides, Side::Before);
    result.pilots = Pilots::new(field, ledger, (change, window), before, &concerned);
    result.failures_with_change =
        on_side(&concerned, Side::After).map(|one| (one.mode, one.day, one.harm)).collect();
    if is_built {
        result.other_modes = other_modes(&both, &others);
        result.still_told = still_told(field, ledger, (seen, window), change, &sides, &concerned);
    }
    result
}

/// The proof alone, by a ledger.
pub(super) fn proof_by(
    field: &Field,
    ledger: &Ledger,
    (seen, window): (&Seen, Window),
    change: &ChangeFacts,
) -> Option<Proof> {
    let sides = Sides::new(field, change);
    let both = both_sides(field, ledger, window, change, &sides);
    let ages = FailedAges { ledger, part: change.part };
    let wanted = |mode| change.is_against(mode);
    let placed = placed(field, ledger, (seen, window), (change, &sides), ages, wanted);
    compared(&both, &placed).proof()
}

/// The exposure of both sides within the window, without failures yet.
fn both_sides(
    field: &Field,
    ledger: &Ledger,
    window: Window,
    change: &ChangeFacts,
    sides: &Sides<'_>,
) -> TwoSides {
    let within = |side| on_side_within(ledger, window, change, sides, side);
    TwoSides::new(field.units.len(), [within(Side::Before), within(Side::After)])
}

fn on_side_within<'a>(
    ledger: &'a Ledger,
    window: Window,
    change: &ChangeFacts,
    sides: &Sides<'_>,
    side: Side,
) -> PartExposure<'a> {
    PartExposure::within(ledger, change.part, window, |spell| sides.of_spell(ledger, spell) == side)
}

/// Days of the last year.
const DAYS_A_YEAR: i32 = 365;

/// Items in service by their side.
struct InService<'a> {
    before: PartExposure<'a>,
    after: PartExposure<'a>,
    mixed: PartExposure<'a>,
}

/// A lot built partly to the change.
struct MixedLot {
    lot: LotId,
    share: f64,
    item_years: f64,
}

impl MixedLot {
    fn named(&self, field: &Field) -> MixedShare {
        let Self { lot, share, item_years } = *self;
        MixedShare { lot_no: field.lots[lot].lot_no.to_string(), share, item_years }
    }
}

impl<'a> InService<'a> {
    fn new(ledger: &'a Ledger, change: &ChangeFacts, sides: &Sides<'_>) -> Self {
        let until = Window::until(ledger.as_of);
        Self {
            before: on_side_within(ledger, until, change, sides, Side::Before),
            after: on_side_within(ledger, until, change, sides, Side::After),
            mixed: PartExposure::within(ledger, change.part, until, |spell| {
                matches!(sides.of_spell(ledger, spell), Side::Mixed(_))
            }),
        }
    }

    fn mixed_lots(&self, sides: &Sides<'_>) -> Vec<MixedLot> {
        let lots = self.mixed.rows().filter_map(|cells| match sides.of_lot(cells[0].lot) {
            Side::Mixed(share) => {
                Some(MixedLot { lot: cells[0].lot, share, item_years: by_age(cells).iter().sum() })
            }
            _ => None,
        });
        lots.collect()
    }
}

fn on_side(failures: &[Placed], side: Side) -> impl Iterator<Item = &Placed> {
    failures.iter().filter(move |one| one.is_on(side))
}

/// What was counted of the failures that the change is to cure, and what both sides come to at equal age.
fn counted(in_service: &InService<'_>, both: &TwoSides, failures: &[Placed]) -> ChangeCounts {
    let occasions = |side: Side, exposure: &PartExposure<'_>| Occasions {
        occasions: on_side(failures, side).count() as u64,
        item_years: exposure.years.best,
    };
    let count = |is: fn(&Placed) -> bool| failures.iter().filter(|one| is(one)).count() as u64;
    ChangeCounts {
        before: occasions(Side::Before, &in_service.before),
        after: occasions(Side::After, &in_service.after),
        mixed_failures: count(|one| matches!(one.side, Some(Side::Mixed(_)))),
        unread: count(|one| one.side.is_none()),
        ..compared(both, failures)
    }
}

/// Both sides with the failures that may be compared.
fn compared(both: &TwoSides, failures: &[Placed]) -> ChangeCounts {
    let mut compared = both.clone();
    for (one, side) in failures.iter().filter_map(|one| Some((one, one.side?))) {
        if let Some(band) = one.band {
            compared.add_failure(side, one.unit, band);
        }
    }
    let by_age = compared.strata();
    let ratio = fixed_date(&shared(&by_age)).map(|fixed| fixed.estimate);
    let scatter = ratio.map(|ratio| compared.scatter(ratio)).filter(|scatter| *scatter > 1.0);
    ChangeCounts { by_age, scatter, ..ChangeCounts::default() }
}

/// Grams before and after in every item that contains the changed part.
fn mass(field: &Field, change: &ChangeFacts) -> Vec<MassChange> {
    let (old, new) = (Holders::of_revision(field, change.from), Holders::of_revision(field, change.to));
    let mut lines = Vec::new();
    for item in old.items(field) {
        let holding = |holders: &Holders| -> Vec<RevisionId> {
            let of_item = field.parts[item].revisions.iter().copied();
            of_item.filter(|&revision| holders.has(revision, None)).collect()
        };
        let (olds, news) = (holding(&old), holding(&new));
        let replacing =
            |&&after: &&RevisionId| field.revisions[after].replaces.is_some_and(|b| olds.contains(&b));
        let after = news.iter().find(replacing).or(news.first()).copied();
        let before = after.and_then(|a| field.revisions[a].replaces).filter(|b| olds.contains(b));
        let Some(before) = before.or(olds.last().copied()) else { continue };
        lines.extend(mass_changes(field, (before, after.unwrap_or(before)), (change.from, change.to)));
    }
    lines
}
