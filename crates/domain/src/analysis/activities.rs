//! Activities as a factor: within each unit, what reports were doing against how its wear-hours are spent.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use super::concentration::Shown;
use super::factor::FactorLevel;
use super::scanned::{Prior, Scanned};
use super::standard::Against;
use super::tally::Tally;
use super::units::{FactorShown, scattered};
use crate::field::{ActivityId, Day, Field, UnitId};

/// The activities, compared inside the units whose use is on record under two or more of them: there is no
/// denominator for the others. Peers are the same unit's other activities, each weighted by its wear-hours.
pub(super) fn activities(field: &Field, tally: &Tally) -> FactorShown {
    let hours = hours(field);
    let mut sums: BTreeMap<ActivityId, (f64, f64, f64)> = BTreeMap::new();
    let units: BTreeSet<UnitId> = tally.doing.keys().map(|key| key.0).collect();
    for unit in units {
        let Some(spent) = hours.get(&unit).filter(|spent| spent.len() > 1) else { continue };
        let total: f64 = spent.values().sum();
        let of = |activity| f64::from(tally.doing.get(&(unit, activity)).copied().unwrap_or(0));
        let reports: f64 = spent.keys().map(|&activity| of(activity)).sum();
        for (&activity, &own) in spent {
            let sum = sums.entry(activity).or_default();
            let peers = reports - of(activity);
            *sum = (sum.0 + of(activity), sum.1 + peers, sum.2 + peers * own / (total - own));
        }
    }
    let mut scanned = Scanned::default();
    let mut shown = Vec::new();
    for (activity, (count, peers, expected)) in sums.into_iter().filter(|(_, sum)| sum.1 > 0.0 && sum.2 > 0.0)
    {
        let against = Against { peer_count: peers.round() as u64, odds: expected / peers };
        let usual = scattered(against, tally.scatter);
        scanned.add(Prior::Other, usual);
        if count > 0.0 {
            shown.push(Shown {
                level: FactorLevel::Activity(activity),
                count,
                against,
                worst: (count, peers, 0.0),
                tested: Some((count, usual)),
            });
        }
    }
    FactorShown { shown, scanned }
}

/// Wear-hours of one item by unit and activity, over the spans on record; an open span is a year long here, for its
/// end is not known.
fn hours(field: &Field) -> HashMap<UnitId, BTreeMap<ActivityId, f64>> {
    let mut hours: HashMap<UnitId, BTreeMap<ActivityId, f64>> = HashMap::new();
    for pattern in &field.use_patterns {
        let Some(activity) = pattern.activity else { continue };
        let until = pattern.to.unwrap_or(Day(pattern.from.0 + 365));
        let months = until.years_since(pattern.from) * 12.0;
        let worn = pattern.wear_hours_per_item_month * months;
        if worn > 0.0 {
            *hours.entry(pattern.unit).or_default().entry(activity).or_default() += worn;
        }
    }
    hours
}
