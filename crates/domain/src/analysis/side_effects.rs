//! What else changed with a change: other ways in which the part fails, and whether units go on reporting old items.

use std::cmp::Reverse;
use std::collections::{BTreeMap, HashSet};

use stats::Interval;
use stats::false_discovery::benjamini_hochberg;

use super::placed::Placed;
use super::proof::{fixed_date, shared};
use super::rate::Rate;
use super::seen::{Seen, comparable};
use super::side::{Side, Sides};
use super::two_sides::TwoSides;
use super::window::Window;
use crate::field::{ChangeFacts, Day, Field, ModeId, UnitId};
use crate::ledger::{Books, Ledger, Spell};

/// Expected share of false alarms among the modes said to rise.
pub const FALSE_RISES: f64 = 0.1;

/// Reports that a unit should have sent by its own pace before its silence says something.
const REPORTS_WORTH_A_SILENCE: f64 = 3.0;

/// Days of the pace before the cut-in.
const DAYS_BEFORE: i32 = 365;

/// Another mode on the changed part, before and after at equal age.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OtherMode {
    /// The mode.
    pub mode: ModeId,
    /// Its rate on items before the change, at ages both sides reached.
    pub before: Option<Rate>,
    /// Its rate on items built to the change.
    pub after: Option<Rate>,
    /// Rate after over rate before, with age-stratified mid-P limits widened by the scatter between units.
    pub ratio: Option<(f64, Interval)>,
    /// Whether it rises: more than before, at [`FALSE_RISES`] over all other modes of the part together.
    pub rises: bool,
}

/// How units report old items since the cut-in, against the year before it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StillTold {
    /// Rate of the modes concerned on items before the change, in the year before the cut-in.
    pub before: Option<Rate>,
    /// The same since the cut-in.
    pub since: Option<Rate>,
    /// Units that sent none of these modes since, on old items or new, though by their own pace before they should have sent
    /// three or more of old items; with that number.
    pub silent: Vec<(UnitId, f64)>,
}

/// Each other mode on both sides at equal age, those that rise first, then by what was seen after; `exposure` is that of both
/// sides, without failures.
pub(super) fn other_modes(exposure: &TwoSides, failures: &[Placed]) -> Vec<OtherMode> {
    let mut by_mode: BTreeMap<ModeId, TwoSides> = BTreeMap::new();
    for one in failures {
        if let (Some(side), Some(band)) = (one.side, one.band) {
            let both = by_mode.entry(one.mode).or_insert_with(|| exposure.clone());
            both.add_failure(side, one.unit, band);
        }
    }
    let found: Vec<(OtherMode, f64)> = by_mode.into_iter().map(|(mode, both)| other(mode, &both)).collect();
    let chances: Vec<f64> = found.iter().map(|(_, chance)| *chance).collect();
    // Chances are kept within 0 and 1, so that the list is taken.
    let adjusted = benjamini_hochberg(&chances).unwrap_or_default();
    let mut modes: Vec<OtherMode> = found
        .into_iter()
        .zip(adjusted)
        .map(|((mode, _), chance)| OtherMode { rises: chance <= FALSE_RISES, ..mode })
        .collect();
    modes.sort_by_key(|mode| (!mode.rises, Reverse(mode.after.map_or(0, |rate| rate.occasions))));
    modes
}

/// A mode with the one-sided chance of as many failures after if nothing had changed.
fn other(mode: ModeId, sides: &TwoSides) -> (OtherMode, f64) {
    let shared = shared(&sides.strata());
    let sum = |part: fn(&stats::stratified::Stratum) -> f64| shared.iter().map(part).sum::<f64>();
    let count = |part: fn(&stats::stratified::Stratum) -> u64| shared.iter().map(part).sum::<u64>();
    let found = fixed_date(&shared).map(|found| found.widened(sides.scatter(found.estimate)));
    // Doubled mid-P, halved again on the side of more.
    let chance =
        found.map_or(
            1.0,
            |found| {
                if found.estimate > 1.0 { found.p_value / 2.0 } else { 1.0 - found.p_value / 2.0 }
            },
        );
    let ratio = found.filter(|found| found.estimate.is_finite());
    let other = OtherMode {
        mode,
        before: Rate::new(count(|s| s.before_count), sum(|s| s.before_exposure)),
        after: Rate::new(count(|s| s.after_count), sum(|s| s.after_exposure)),
        ratio: ratio.map(|found| (found.estimate, Interval { low: found.low, high: found.high })),
        rises: false,
    };
    (other, chance.clamp(0.0, 1.0))
}

/// How old items are reported since the cut-in; `failures` are those of the modes concerned.
pub(super) fn still_told(
    field: &Field,
    ledger: &Ledger,
    (seen, window): (&Seen, Window),
    change: &ChangeFacts,
    sides: &Sides<'_>,
    failures: &[Placed],
) -> Option<StillTold> {
    let cut_in = change.cut_in_on?;
    let before = Window::between(Day(cut_in.0 - DAYS_BEFORE).max(window.from), Day(cut_in.0 - 1));
    let since = Window::between(cut_in, window.to);
    let by_best = ledger.spells.iter().filter(|spell| spell.books.has(Books::BEST));
    let old: Vec<&Spell> = by_best.filter(|spell| sides.of_spell(ledger, spell) == Side::Before).collect();
    let years = |window: Window| {
        let mut years: BTreeMap<UnitId, f64> = BTreeMap::new();
        for spell in &old {
            let (from, to) = (spell.from.max(window.from), spell.to.min(window.to));
            if from < to {
                *years.entry(spell.unit).or_default() += f64::from(spell.quantity) * to.years_since(from);
            }
        }
        years
    };
    let (years_before, years_since) = (years(before), years(since));
    let on_old =
        |window: Window| failures.iter().filter(move |one| one.is_on(Side::Before) && window.has(one.day));
    let rate = |window: Window, years: &BTreeMap<UnitId, f64>| {
        Rate::new(on_old(window).count() as u64, years.values().sum())
    };
    let tells_since = units_telling_since(field, seen, change, cut_in);
    let silent = years_before.iter().filter(|before| *before.1 > 0.0).filter_map(|(&unit, &years)| {
        let own = on_old(before).filter(|one| one.unit == unit && one.unprompted);
        let pace = own.count() as f64 / years;
        let expected = pace * years_since.get(&unit).copied().unwrap_or(0.0);
        let is_silent = expected >= REPORTS_WORTH_A_SILENCE && !tells_since.contains(&unit);
        is_silent.then_some((unit, expected))
    });
    Some(StillTold {
        before: rate(before, &years_before),
        since: rate(since, &years_since),
        silent: silent.collect(),
    })
}

/// Units that sent a report of the modes concerned of their own accord since the cut-in, on an old item or a new one: a label
/// that was not read breaks a silence too.
fn units_telling_since(field: &Field, seen: &Seen, change: &ChangeFacts, cut_in: Day) -> HashSet<UnitId> {
    let concerned = seen.of_part(change.part).filter(|(mode, _)| change.is_against(*mode));
    let reports = concerned.flat_map(|(_, group)| group).map(|&id| &field.reports[id]);
    reports.filter(|r| comparable(r) && r.found_on >= cut_in).map(|r| r.unit).collect()
}
