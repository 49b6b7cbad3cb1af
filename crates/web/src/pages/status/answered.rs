//! How long units wait for the first thing they hear and for the final answer, in sentences.

use domain::waiting::{Days, DaysToAnswer, MONTHS, days_to_answer, since};

use crate::error::AppError;
use crate::format;
use crate::state::AppState;

/// Two sentences, on the first and on the final answer; nothing where no report came in by form, mail or program.
///
/// # Errors
/// A failure of the store.
pub(crate) async fn answered(state: &AppState) -> Result<Vec<String>, AppError> {
    let now = state.now();
    let heard = state.store().heard_since(since(now)).await?;
    Ok(sentences(&days_to_answer(&heard, now)))
}

fn sentences(days: &DaysToAnswer) -> Vec<String> {
    if days.first.reports == 0 {
        return Vec::new();
    }
    vec![
        sentence("Until a unit first hears what a person asked, found or decided", &days.first),
        sentence("Until its final answer", &days.last),
    ]
}

fn sentence(what: &str, days: &Days) -> String {
    let of =
        format!("{} of the last {MONTHS} months", format::counted(days.reports as u64, "report", "reports"));
    let median = match (days.median, days.limits) {
        (Some(median), Some((low, high))) => {
            let limits = high.map_or_else(
                || format!("{} or more", number(low)),
                |high| format!("{} to {}", number(low), number(high)),
            );
            format!("a median of {} days (95 % limits {limits}), {of}", number(median))
        }
        _ => format!("no median yet, for half of them still wait; {of}"),
    };
    let waits = match days.oldest {
        Some(oldest) => format!(
            "{} still, the oldest since {}",
            format::counted(days.waiting as u64, "waits", "wait"),
            format::date(oldest.date_naive())
        ),
        None => "none waits".to_owned(),
    };
    format!("{what}: {median}; {waits}.")
}

fn number(days: f64) -> String {
    format::significant(days, 2)
}

#[cfg(test)]
mod tests {
    use chrono::{DateTime, TimeDelta, Utc};
    use domain::waiting::Heard;

    use super::*;
    use crate::testing::noon;

    fn heard(days_ago: i64, first: Option<i64>) -> Heard {
        let sent = noon() - TimeDelta::days(days_ago);
        let after = |days: i64| -> DateTime<Utc> { sent + TimeDelta::days(days) };
        Heard { sent, first: first.map(after), last: None }
    }

    #[test]
    fn a_median_never_stands_alone() {
        let said = |heard: &[Heard]| sentences(&days_to_answer(heard, noon()));
        assert_eq!(said(&[]), Vec::<String>::new());
        let three = [heard(60, Some(1)), heard(50, Some(2)), heard(40, Some(3)), heard(30, None)];
        assert_eq!(
            said(&three),
            [
                "Until a unit first hears what a person asked, found or decided: a median of 2.0 days (95 % limits 1.0 or more), \
                 4 reports of the last 12 months; 1 waits still, the oldest since 1 Feb 2026.",
                "Until its final answer: no median yet, for half of them still wait; 4 reports of the last 12 months; \
                 4 wait still, the oldest since 2 Jan 2026.",
            ]
        );
    }
}
