//! Activities as a factor: within each unit, what reports were doing against how its wear-hours are spent.

use std::collections::BTreeMap;

use rustc_hash::FxHashSet;

use super::concentration::{Shown, Worst};
use super::factor::FactorLevel;
use super::scanned::{Prior, Scanned};
use super::standard::Against;
use super::tally::Tally;
use super::units::{FactorShown, scattered};
use crate::field::{ActivityId, DAYS_PER_YEAR, Day, Field, Stock, UnitId, UseFacts};
use crate::ledger::{Books, Ledger, Spell};

/// What the items that contain a part are worn for at each unit, as far as it is on record.
#[derive(Debug, Default)]
pub(super) struct Spent(Vec<Span>);

/// Use at a unit over some days.
#[derive(Clone, Copy, Debug)]
struct Span {
    unit: UnitId,
    activity: ActivityId,
    from: Day,
    /// The day after the last.
    to: Day,
    /// Of one item.
    hours_per_day: f64,
    /// Of all that were at the unit.
    hours: f64,
}

impl Span {
    fn add(&mut self, spell: &Spell) {
        let days = spell.to.min(self.to).0 - spell.from.max(self.from).0;
        self.hours += self.hours_per_day * f64::from(days.max(0)) * f64::from(spell.quantity);
    }
}

impl Spent {
    /// The spans on record up to the ledger's date, one without an end lasting until then, with the hours of the items of
    /// the stocks that contain the part.
    pub(super) fn new(field: &Field, ledger: &Ledger, holds: impl Fn(Stock) -> bool + Copy) -> Self {
        let span = |pattern: &UseFacts| {
            let to = Day(pattern.to.map_or(ledger.as_of, |last| last.min(ledger.as_of)).0 + 1);
            let hours_per_day = pattern.wear_hours_per_item_month * 12.0 / DAYS_PER_YEAR;
            let UseFacts { unit, from, .. } = *pattern;
            let is_worn = hours_per_day > 0.0 && from < to;
            let span = |activity| Span { unit, activity, from, to, hours_per_day, hours: 0.0 };
            pattern.activity.filter(|_| is_worn).map(span)
        };
        let mut spans: Vec<Span> = field.use_patterns.iter().filter_map(span).collect();
        spans.sort_unstable_by_key(|span| (span.unit, span.activity, span.from, span.to));
        // Where a unit has one activity alone, nothing is compared.
        let with_several = spans.chunk_by(|a, b| a.unit == b.unit);
        let with_several = with_several
            .filter(|of_unit| of_unit.first().map(|s| s.activity) != of_unit.last().map(|s| s.activity));
        let units: FxHashSet<UnitId> = with_several.map(|of_unit| of_unit[0].unit).collect();
        if units.is_empty() {
            return Self(spans);
        }
        let spells = ledger.of_stocks(holds);
        for spell in spells.filter(|s| s.books.has(Books::BEST) && units.contains(&s.unit)) {
            let first = spans.partition_point(|span| span.unit < spell.unit);
            let of_unit = spans[first..].iter_mut().take_while(|span| span.unit == spell.unit);
            of_unit.for_each(|span| span.add(spell));
        }
        Self(spans)
    }

    /// Whether a unit's use for an activity is on record on a day.
    pub(super) fn covers(&self, unit: UnitId, activity: ActivityId, day: Day) -> bool {
        let from = self.0.partition_point(|span| (span.unit, span.activity) < (unit, activity));
        let of_both = self.0[from..].iter().take_while(|span| (span.unit, span.activity) == (unit, activity));
        of_both.into_iter().any(|span| span.from <= day && day < span.to)
    }

    /// Hours of the items for each activity that any were there for, unit by unit.
    fn by_unit(&self) -> impl Iterator<Item = (UnitId, Vec<(ActivityId, f64)>)> {
        self.0.chunk_by(|a, b| a.unit == b.unit).map(|of_unit| {
            let by_activity = of_unit.chunk_by(|a, b| a.activity == b.activity);
            let hours = |spans: &[Span]| (spans[0].activity, spans.iter().map(|span| span.hours).sum());
            (of_unit[0].unit, by_activity.map(hours).filter(|(_, hours)| *hours > 0.0).collect())
        })
    }
}

/// One activity over the units at which it is compared.
#[derive(Clone, Copy, Debug, Default)]
struct Sum {
    count: f64,
    /// Reports of the same units' other activities.
    peers: f64,
    expected: f64,
    /// Its hours over those of the others, at the unit where that is most.
    times: f64,
}

/// The activities, compared inside the units whose use is on record under two or more of them: there is no
/// denominator for the others. Peers are the same unit's other activities, each weighted by the hours that its items were worn
/// for it; reports count on the days on which their activity is on record.
pub(super) fn activities(spent: &Spent, tally: &Tally) -> FactorShown {
    let mut sums: BTreeMap<ActivityId, Sum> = BTreeMap::new();
    for (unit, spent) in spent.by_unit().filter(|(_, spent)| spent.len() > 1) {
        let total: f64 = spent.iter().map(|(_, hours)| hours).sum();
        let of = |activity| f64::from(tally.doing.get(&(unit, activity)).copied().unwrap_or(0));
        let reports: f64 = spent.iter().map(|&(activity, _)| of(activity)).sum();
        for (activity, own) in spent {
            let sum = sums.entry(activity).or_default();
            let (peers, times) = (reports - of(activity), own / (total - own));
            sum.count += of(activity);
            sum.peers += peers;
            sum.expected += peers * times;
            sum.times = sum.times.max(times);
        }
    }
    let mut scanned = Scanned::default();
    let mut shown = Vec::new();
    for (activity, Sum { count, peers, expected, times }) in sums {
        let odds = if peers > 0.0 { expected / peers } else { times };
        let against = Against { peer_count: peers.round() as u64, odds };
        let usual = scattered(against, tally.scatter);
        scanned.add(Prior::Other, usual);
        shown.push(Shown {
            level: FactorLevel::Activity(activity),
            count,
            against,
            worst: Worst { sure: count, peers, unread: 0.0 },
            tested: Some((count, usual)),
        });
    }
    FactorShown { shown, scanned }
}
