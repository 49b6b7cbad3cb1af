//! The proof as the sheet tells it: the plan, what is still needed, lots on neither side, and what else changed.

use chrono::NaiveDate;
use domain::analysis::{ChangeResult, OtherMode, ProofVerdict, Rate, StillTold};
use domain::field::Field;
use domain::proof_plan::{MEASURE, Planned, ProofPlan, planned};
use serde::Serialize;
use stats::Interval;
use store::ApprovedPlan;

use super::load::Loaded;
use super::telling::{TellingWords, unit_name};
use crate::format;

/// The section's words, each a sentence or nothing.
#[derive(Default, Serialize)]
pub(super) struct ProofWords {
    pub(super) measure: &'static str,
    pub(super) plan: Option<String>,
    pub(super) still: Option<String>,
    pub(super) mixed: Option<String>,
    pub(super) modes: Vec<ModeRow>,
    pub(super) told: Option<String>,
    pub(super) silent: Vec<String>,
    pub(super) telling: TellingWords,
}

/// Another mode on the changed part.
#[derive(Serialize)]
pub(super) struct ModeRow {
    pub(super) name: String,
    pub(super) before: String,
    pub(super) after: String,
    pub(super) ratio: String,
    pub(super) rises: bool,
}

fn years(number: f64) -> String {
    format!("{} item-years", format::significant(number, 2))
}

impl ProofWords {
    pub(super) fn new(loaded: &Loaded) -> Self {
        let result = loaded.result();
        let field = &loaded.picture.field;
        let built = loaded.state().is_built();
        let plan = loaded.record.plan;
        let now =
            result.zip(plan).and_then(|(result, plan)| planned(plan.plan, &result.counts, loaded.today));
        Self {
            measure: MEASURE,
            plan: plan.map(|plan| approved(&plan)),
            still: now.filter(|_| built && !is_shown(result)).map(|now| still(now, loaded.today)),
            mixed: result.and_then(|result| mixed(field, result)),
            modes: result
                .filter(|_| built)
                .map(|result| result.other_modes.iter().map(|one| mode(field, one)).collect())
                .unwrap_or_default(),
            told: result.and_then(|result| result.still_told.as_ref()).and_then(told),
            silent: result
                .and_then(|result| result.still_told.as_ref())
                .map(|told| told.silent.iter().map(|silent| silence(field, silent)).collect())
                .unwrap_or_default(),
            telling: result.map(|result| TellingWords::new(field, result)).unwrap_or_default(),
        }
    }
}

/// Whether the reports show already that the change worked or got worse: nothing more is needed then.
fn is_shown(result: Option<&ChangeResult>) -> bool {
    let verdict = result.and_then(|result| result.proof).map(|proof| proof.verdict);
    matches!(verdict, Some(ProofVerdict::Worked | ProofVerdict::Worse))
}

/// The plan as it was approved.
fn approved(plan: &ApprovedPlan) -> String {
    let takes = match (plan.item_years, plan.reached_on) {
        (Some(needed), Some(day)) => {
            format!(
                "That was to take {} of the new lots, to be reached by {}",
                years(needed),
                format::foretold(day, plan.planned_at.date_naive())
            )
        }
        (Some(needed), None) => format!(
            "That was to take {} of the new lots; when, nobody could say from the issues on record",
            years(needed)
        ),
        (None, _) => "Too few had failed before for any exposure to show that".to_owned(),
    };
    format!("{} {takes}.", wanted(plan.plan))
}

/// What a plan wants.
fn wanted(plan: ProofPlan) -> String {
    format!(
        "Planned: worth having at {} of the failures of before, to be shown with a chance of {} if it does just that.",
        format::significant(plan.ratio_worth_having, 2),
        format::percent(plan.power, 0),
    )
}

/// What a plan would come to, for those who are about to decide on it.
pub(super) fn outlook(result: &ChangeResult, plan: ProofPlan, today: NaiveDate) -> Option<String> {
    let found = planned(plan, &result.counts, today)?;
    let says = match (found.item_years, found.item_years_for_one_look) {
        (Some(any), Some(once)) => format!(
            "It takes about {} of the new lots to show it however often one looks; {} for one look at a fixed date.",
            years(any),
            years(once)
        ),
        (Some(any), None) => format!("It takes about {} of the new lots to show it.", years(any)),
        (None, _) => never(found).to_owned(),
    };
    let by = found.reached_on.map(|day| {
        format!(" At the issues of the last year that is about {}.", format::foretold(day, today))
    });
    Some(format!("{} {says}{}{}", wanted(plan), by.unwrap_or_default(), allows(found)))
}

/// That no exposure would show it, and why.
const fn never(planned: Planned) -> &'static str {
    if planned.scatter > 1.0 {
        "Units scatter so far that, with so few failures before, no exposure would show it."
    } else {
        "Too few have failed before for any exposure to show it."
    }
}

/// That the exposure allows for scatter between units, where it does.
const fn allows(planned: Planned) -> &'static str {
    if planned.scatter > 1.0 && planned.item_years.is_some() {
        " Scatter between units is allowed for."
    } else {
        ""
    }
}

fn still(now: Planned, today: NaiveDate) -> String {
    let gathered = format!("So far {} of the new lots", years(now.gathered));
    let says = match (now.still(), now.reached_on) {
        (Some(0.0), _) => format!("{gathered}: as much as the plan needs."),
        (Some(left), Some(day)) => format!(
            "{gathered}; {} are still needed, about {} at the present growth ({}).",
            years(left),
            format::foretold(day, today),
            format::span(today, day)
        ),
        (Some(left), None) => format!(
            "{gathered}; {} are still needed, and at the present growth nobody can say when.",
            years(left)
        ),
        (None, _) => format!("{gathered}. {}", never(now)),
    };
    format!("{says}{}", allows(now))
}

/// Lots built partly to the change.
fn mixed(field: &Field, result: &ChangeResult) -> Option<String> {
    let mixed = result.mixed.as_ref()?;
    let lots = mixed.lots.iter().map(|&(lot, share)| {
        format!("{} ({} built to it)", field.lots[lot].lot_no, format::percent(share, 0))
    });
    let lots: Vec<String> = lots.collect();
    let expected = mixed.expected.map_or_else(
        || "no number expected".to_owned(),
        |expected| format!("{} expected", format::significant(expected, 3)),
    );
    Some(format!(
        "On neither side: {} {}, with {} seen and {expected} from the rates of both sides, in {}.",
        if lots.len() == 1 { "lot" } else { "lots" },
        lots.join(", "),
        format::counted(mixed.failures, "failure", "failures"),
        years(mixed.item_years),
    ))
}

fn said(rate: Option<Rate>) -> String {
    rate.map_or_else(
        || "no exposure".to_owned(),
        |rate| {
            let ends = Interval { low: rate.low, high: rate.high };
            format::rate(rate.estimate, ends, rate.occasions, rate.item_years)
        },
    )
}

fn mode(field: &Field, one: &OtherMode) -> ModeRow {
    ModeRow {
        name: field.modes[one.mode].name.to_string(),
        before: said(one.before),
        after: said(one.after),
        ratio: one.ratio.map_or_else(|| "no ratio".to_owned(), |(ratio, ends)| format::ratio(ratio, ends)),
        rises: one.rises,
    }
}

/// How old items are reported since.
fn told(told: &StillTold) -> Option<String> {
    told.before?;
    Some(format!(
        "Old items, in the year before the cut-in: {}. Since: {}. A fall there says that units stop telling, for the old \
         part did not change.",
        said(told.before),
        said(told.since)
    ))
}

fn silence(field: &Field, (unit, expected): &(domain::field::UnitId, f64)) -> String {
    let name = unit_name(field, *unit);
    format!("{name}: none since, {} expected by its own pace", format::significant(*expected, 2))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scatter_between_units_is_named_where_the_plan_allows_for_it_and_nowhere_else() {
        let today = NaiveDate::default();
        let of = |scatter: f64, item_years: Option<f64>| {
            let planned = Planned {
                rate_before: 12.0,
                scatter,
                item_years_for_one_look: item_years,
                item_years,
                gathered: 500.0,
                reached_on: None,
            };
            still(planned, today)
        };
        assert!(!of(1.0, Some(8008.0)).contains("catter") && !of(1.0, None).contains("catter"));
        assert!(
            of(1.5, Some(17_969.0)).ends_with("nobody can say when. Scatter between units is allowed for.")
        );
        assert!(of(3.0, None).ends_with("with so few failures before, no exposure would show it."));
    }
}
