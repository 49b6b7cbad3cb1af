//! Activities as a factor: within each unit, what reports were doing against how its wear-hours are spent.

use std::collections::BTreeMap;

use super::concentration::Shown;
use super::factor::FactorLevel;
use super::scanned::{Prior, Scanned};
use super::standard::Against;
use super::tally::Tally;
use super::units::{FactorShown, scattered};
use crate::field::{ActivityId, Day, Field, UnitId, UseFacts};

/// What items of each unit are worn for, as far as it is on record.
#[derive(Debug, Default)]
pub(super) struct Spent(Vec<Span>);

/// One item's use at a unit over some days.
#[derive(Clone, Copy, Debug)]
struct Span {
    unit: UnitId,
    activity: ActivityId,
    from: Day,
    /// The day after the last.
    to: Day,
    hours: f64,
}

impl Spent {
    /// The spans on record up to a date; one without an end lasts until then.
    pub(super) fn new(field: &Field, as_of: Day) -> Self {
        let span = |pattern: &UseFacts| {
            let to = Day(pattern.to.map_or(as_of, |last| last.min(as_of)).0 + 1);
            let hours = pattern.wear_hours_per_item_month * 12.0 * to.years_since(pattern.from);
            let UseFacts { unit, from, .. } = *pattern;
            pattern.activity.filter(|_| hours > 0.0).map(|activity| Span { unit, activity, from, to, hours })
        };
        let mut spans: Vec<Span> = field.use_patterns.iter().filter_map(span).collect();
        spans.sort_unstable_by_key(|span| (span.unit, span.activity, span.from, span.to));
        Self(spans)
    }

    /// Whether a unit's use for an activity is on record on a day.
    pub(super) fn covers(&self, unit: UnitId, activity: ActivityId, day: Day) -> bool {
        let from = self.0.partition_point(|span| (span.unit, span.activity) < (unit, activity));
        let of_both = self.0[from..].iter().take_while(|span| (span.unit, span.activity) == (unit, activity));
        of_both.into_iter().any(|span| span.from <= day && day < span.to)
    }

    /// Hours of one item for each activity, unit by unit.
    fn by_unit(&self) -> impl Iterator<Item = (UnitId, Vec<(ActivityId, f64)>)> {
        self.0.chunk_by(|a, b| a.unit == b.unit).map(|of_unit| {
            let by_activity = of_unit.chunk_by(|a, b| a.activity == b.activity);
            let hours = |spans: &[Span]| (spans[0].activity, spans.iter().map(|span| span.hours).sum());
            (of_unit[0].unit, by_activity.map(hours).collect())
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
/// denominator for the others. Peers are the same unit's other activities, each weighted by its wear-hours; reports count
/// on the days on which their activity is on record.
pub(super) fn activities(tally: &Tally) -> FactorShown {
    let mut sums: BTreeMap<ActivityId, Sum> = BTreeMap::new();
    for (unit, spent) in tally.spent.by_unit().filter(|(_, spent)| spent.len() > 1) {
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
            worst: (count, peers, 0.0),
            tested: Some((count, usual)),
        });
    }
    FactorShown { shown, scanned }
}
