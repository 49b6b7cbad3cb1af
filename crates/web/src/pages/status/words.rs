//! The figures of a change in words: what waiting costs, how far it has reached, what is proved; never a bare number.

use domain::analysis::{ProofVerdict, Reach, WhileWaiting};
use domain::change::ChangeState;
use stats::Interval;

use super::line::Line;
use crate::format;

/// What is said of a change that waits for nobody, wherever it stands: `Nothing is awaited: it is proved.`
pub(crate) fn nothing_awaited(state: ChangeState) -> String {
    format!("Nothing is awaited: it is {state}.")
}

/// Failures a year at the present rate, on the items without the change.
pub(crate) fn cost(line: &Line<'_>) -> String {
    let Some((waits, rate)) = line.result.and_then(|result| result.while_waiting.zip(result.rate_before))
    else {
        return "not known: no issue of the part is on record".to_owned();
    };
    let WhileWaiting { items, failures_a_year, low, high } = waits;
    if items == 0 {
        return "none: no item in service is without it".to_owned();
    }
    format!(
        "{} ({}) at the rate so far, on {} without it; from {}, {} item-years",
        format::significant(failures_a_year, 2),
        format::interval(Interval { low, high }),
        format::counted(items, "item", "items"),
        format::counted(rate.occasions, "report", "reports"),
        format::decimals(rate.item_years, 0),
    )
}

/// Failures expected in the days it has waited.
pub(crate) fn in_wait(line: &Line<'_>, today: chrono::NaiveDate) -> Option<String> {
    let (best, low, high) = line.expected_in_wait(today)?;
    let days = line.days(today)?.unsigned_abs();
    Some(format!(
        "{} ({}) in the {} it has waited",
        format::significant(best, 2),
        format::interval(Interval { low, high }),
        format::counted(days, "day", "days"),
    ))
}

/// Share of the items in service that have it, and how they came by it.
pub(crate) fn reach(line: &Line<'_>) -> String {
    let Some(reach) = line.result.map(|result| result.reach) else { return "not known".to_owned() };
    let Some(share) = reach.share() else { return "no item in service".to_owned() };
    let Reach { in_service, built, retrofitted, .. } = reach;
    if built + retrofitted == 0 {
        return format!("0 of {} in service", format::count(in_service));
    }
    let not_told = match reach.not_told() {
        0 => String::new(),
        items => format!("; {} can't be told", format::count(items)),
    };
    format!(
        "{} of {} in service: {} built to it, {} retrofitted{not_told}",
        format::percent(share, 0),
        format::count(in_service),
        format::count(built),
        format::count(retrofitted),
    )
}

/// The ratio after over before with all that belongs to it; nothing before the cut-in.
pub(crate) fn proof(line: &Line<'_>) -> Option<String> {
    let proof = line.proof()?;
    let counts = format!(
        "{} in {} item-years before, {} in {} after",
        format::count(proof.failures_before),
        format::decimals(proof.item_years_before, 0),
        format::count(proof.failures_after),
        format::decimals(proof.item_years_after, 0),
    );
    let worse = if proof.verdict == ProofVerdict::Worse { "; more fail than before" } else { "" };
    Some(match (proof.ratio, proof.anytime_low, proof.anytime_high) {
        (Some(ratio), Some(low), Some(high)) => {
            format!("{}; {counts}{worse}", format::ratio(ratio, Interval { low, high }))
        }
        (Some(ratio), ..) => format!("{} times (no limits yet); {counts}", format::significant(ratio, 2)),
        (None, ..) => counts,
    })
}
