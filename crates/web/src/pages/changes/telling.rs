//! How much units tell of what a change is to cure, before the cut-in and since, in sentences.

use domain::analysis::{ChangeResult, ReportingFraction, Stopped, Telling, ToldSince};
use domain::field::{Field, UnitId};
use serde::Serialize;
use stats::product::Estimate;

use crate::format;

/// What stands below the proof, each a sentence or nothing.
#[derive(Default, Serialize)]
pub(super) struct TellingWords {
    /// What the shares say together.
    pub(super) lead: Option<String>,
    /// What they rest on and what follows from them.
    pub(super) more: Vec<String>,
    /// Units whose reports stopped though inspections find failures.
    pub(super) stopped: Vec<StoppedRow>,
}

/// A unit whose reports stopped.
#[derive(Serialize)]
pub(super) struct StoppedRow {
    pub(super) unit: String,
    pub(super) before: String,
    pub(super) found: String,
    pub(super) holds: String,
}

impl TellingWords {
    pub(super) fn new(field: &Field, result: &ChangeResult) -> Self {
        let Some(telling) = &result.telling else { return Self::default() };
        Self {
            lead: Some(lead(telling)),
            more: [basis(telling), sides(telling), corrected(telling, result)]
                .into_iter()
                .flatten()
                .collect(),
            stopped: telling.stopped.iter().map(|one| stopped(field, one)).collect(),
        }
    }
}

fn share(f: ReportingFraction) -> String {
    let percent = |share| format::percent(share, 0);
    format!("{} ({} to {})", percent(f.estimate), percent(f.low), percent(f.high))
}

fn lead(telling: &Telling) -> String {
    let of = |share: Option<ReportingFraction>| share.map(self::share).unwrap_or_default();
    let (before, since) = (of(telling.before), of(telling.since));
    let both = |means: &str| {
        let ratio = telling.ratio.map(|r| format!(", {} as much", format::ratio(r.value, r.interval)));
        format!(
            "Before the cut-in units reported {before} of what inspections found, since then {since}{}. {means}",
            ratio.unwrap_or_default()
        )
    };
    match telling.says() {
        ToldSince::Less => both("They tell less than before: fewer reports may be silence, not cure."),
        ToldSince::More => {
            both("They tell more than before, so reports make the change look worse than it is.")
        }
        ToldSince::Open => both(
            "Whether they tell less than before cannot be said from so few; fewer reports alone may be silence, not cure.",
        ),
        ToldSince::NoneBefore => format!(
            "Since the cut-in units reported {since} of what inspections found. Before it nobody inspected, so whether they \
             tell as much as then is not known."
        ),
        ToldSince::NoneSince => format!(
            "Before the cut-in units reported {before} of what inspections found. Whether they still do is not known: no \
             inspection since, but for the latest weeks, on which reports are still to come."
        ),
        ToldSince::Never => {
            "Whether units still report as much as before the cut-in is not known: no inspection looked \
                             for what the change is to cure."
                .into()
        }
    }
}

fn counted(f: ReportingFraction) -> String {
    format!(
        "{} against {} found among {} looked at in {}",
        format::counted(u64::from(f.reports), "report", "reports"),
        format::count(f.found),
        format::counted(f.inspected, "item", "items"),
        format::counted(u64::from(f.inspections), "inspection", "inspections"),
    )
}

fn basis(telling: &Telling) -> Option<String> {
    let before = telling.before.map(|f| format!("Before: {}.", counted(f)));
    let since = telling.since.map(|f| {
        format!(
            "Since: {}; of what was found on older items only the part since the cut-in counts, by their time in service.",
            counted(f)
        )
    });
    let said: Vec<String> = before.into_iter().chain(since).collect();
    (!said.is_empty()).then(|| said.join(" "))
}

/// Old and new items apart, where both were looked at by lot.
fn sides(telling: &Telling) -> Option<String> {
    let (old, new) = (telling.since_on_old?, telling.since_on_new?);
    Some(format!(
        "Since, on lots from before the change: {}; on lots built to it: {}.",
        share(old),
        share(new)
    ))
}

/// The rates and the ratio, were everything reported.
fn corrected(telling: &Telling, result: &ChangeResult) -> Option<String> {
    let (before, after) = (telling.corrected_before?, telling.corrected_after?);
    let rate = |estimate, low, high| {
        let [estimate, low, high] = [estimate, low, high].map(|n| format::significant(n, 2));
        format!("{estimate} ({low} to {high})")
    };
    let ratio = telling.corrected_ratio.zip(result.proof.and_then(|proof| proof.ratio));
    let ratio = ratio.map(|(Estimate { value, interval }, reported)| {
        format!(
            ", and the ratio {} ({}) for one look beside the {} of the reports",
            format::significant(value, 2),
            format::interval(interval),
            format::significant(reported, 2)
        )
    });
    Some(format!(
        "Were all failures reported, the rate would be {} per 1,000 item-years before and {} after{}. The verdict rests on the \
         reports.",
        rate(before.estimate, before.low, before.high),
        rate(after.estimate, after.low, after.high),
        ratio.unwrap_or_default(),
    ))
}

/// A unit's name, or its code where it has none.
pub(super) fn unit_name(field: &Field, unit: UnitId) -> &str {
    field.units[unit].name.as_deref().unwrap_or(&field.unit_names[unit])
}

fn stopped(field: &Field, one: &Stopped) -> StoppedRow {
    StoppedRow {
        unit: unit_name(field, one.unit).to_owned(),
        before: format::counted(one.reports_before, "report", "reports"),
        found: format!("{} of {}", format::count(one.found), format::count(one.inspected)),
        holds: format::counted(one.holds, "item", "items"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use stats::Interval;

    fn reported(estimate: f64) -> ReportingFraction {
        let (low, high) = (estimate / 2.0, estimate * 1.5);
        ReportingFraction { estimate, low, high, reports: 40, inspections: 1, inspected: 200, found: 4 }
    }

    fn both(low: f64, high: f64) -> Telling {
        Telling {
            before: Some(reported(0.4)),
            since: Some(reported(0.2)),
            ratio: Some(Estimate { value: 0.5, interval: Interval { low, high } }),
            ..Telling::default()
        }
    }

    #[test]
    fn a_fall_is_said_with_both_shares_and_never_as_a_cure() {
        // Numbers and their signs are held together by spaces that don't break.
        let said = lead(&both(0.3, 0.8)).replace('\u{a0}', " ");
        assert!(
            said.starts_with(
                "Before the cut-in units reported 40 % (20 % to 60 %) of what inspections found, since then 20 % (10 % to \
                 30 %), 0.50 times (0.30 to 0.80) as much. They tell less"
            ),
            "{said}"
        );
        assert!(said.ends_with("fewer reports may be silence, not cure."), "{said}");
    }

    #[test]
    fn what_cannot_be_told_is_said_so() {
        assert!(lead(&both(0.3, 1.2)).contains("cannot be said from so few"));
        assert!(lead(&both(1.1, 1.2)).contains("worse than it is"));
        assert!(lead(&Telling::default()).contains("not known: no inspection"));
        let only = |before: Option<f64>, since: Option<f64>| {
            lead(&Telling { before: before.map(reported), since: since.map(reported), ..Telling::default() })
        };
        assert!(only(Some(0.4), None).contains("not known: no inspection since"));
        assert!(only(None, Some(0.2)).contains("Before it nobody inspected"));
    }
}
