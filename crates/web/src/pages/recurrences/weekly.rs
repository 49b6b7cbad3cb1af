//! Reports of a recurrence by week, with what was issued and the cut-ins of changes.

use chrono::NaiveDate;
use domain::analysis::{Analysis, FactorLevel, Recurrence, Signal, Watched};
use domain::change::ChangeState;
use domain::field::{ChangeFacts, Day, Field};
use domain::signal::KeptSignal;

use super::sits;
use crate::address;
use crate::charts::{Mark, MarkKind, Week, weeks};
use crate::format;
use crate::view::{ChartView, Twin};

/// Four years: a week is then still four pixels wide.
const MOST_WEEKS: i32 = 208;

/// Signals told; the first ones count.
const MOST_SIGNALS: usize = 3;

/// Changes meant to cure a recurrence.
pub(crate) fn changes_on<'a>(field: &'a Field, r: &Recurrence) -> Vec<&'a ChangeFacts> {
    field.changes.rows().iter().filter(|change| change.cures(r.part, r.mode)).collect()
}

/// The same as a page lists them: address, number with title, state.
pub(crate) fn named_changes(field: &Field, r: &Recurrence) -> Vec<(String, String, &'static str)> {
    let named = |change: &ChangeFacts| {
        let state = change.state.map_or("draft", ChangeState::word);
        (address::change(&change.change_no), format!("{} {}", change.change_no, change.title), state)
    };
    changes_on(field, r).into_iter().map(named).collect()
}

/// The chart and its table; the table has the weeks with reports only.
pub(super) fn chart(field: &Field, analysis: &Analysis, r: &Recurrence) -> Option<ChartView> {
    let last = Day::from(analysis.as_of).week();
    let all = r.spread.first().map(|first| last - first.week() + 1).filter(|&all| all > 0)?;
    let first = last + 1 - all.min(MOST_WEEKS);
    let week = |week| Week {
        monday: Day::monday(week).date(),
        reports: r.spread.in_week(week),
        issued: r.issued.in_week(week),
    };
    let table: Vec<Week> = (first..=last).map(week).collect();
    let signals = r.watch.signals.iter().take(MOST_SIGNALS).map(|signal| Mark {
        day: signal.first_on,
        kind: MarkKind::Signal,
        word: format!("signal, {}", of(field, signal)),
    });
    let marks: Vec<Mark> = changes_on(field, r)
        .into_iter()
        .filter_map(|change| {
            let day = change.cut_in_on?.date();
            let word = format!("cut-in of {}", change.change_no);
            Some(Mark { day, kind: MarkKind::CutIn, word })
        })
        .chain(signals)
        .collect();
    let earlier = if all > MOST_WEEKS { "; earlier weeks are left out" } else { "" };
    let caption = format!("Reports by the week they were found, and items issued{earlier}; {}", most(&table));
    Some(ChartView { drawing: weeks("weeks", &caption, &table, &marks), table: twin(&table), caption })
}

/// What the tallest columns stand for: on a phone the scale lies outside the box, and issues have none.
fn most(weeks: &[Week]) -> String {
    let (reports, issued) =
        weeks.iter().fold((0, 0), |most, week| (most.0.max(week.reports), most.1.max(week.issued)));
    format!(
        "most in a week: {}, {}",
        format::counted(reports, "report", "reports"),
        format::counted(issued, "item", "items")
    )
}

/// What a signal is of.
fn of(field: &Field, signal: &Signal) -> String {
    match signal.of {
        Watched::Recurrence => "all reports".into(),
        Watched::UsedLot(lot) => sits::level_name(field, FactorLevel::UsedLot(lot)),
    }
}

/// What the watch says, a sentence a signal.
pub(super) fn watched(field: &Field, r: &Recurrence) -> Vec<String> {
    let watch = &r.watch;
    let said = watch.signals.iter().take(MOST_SIGNALS).map(|signal| {
        format!(
            "{} {}: {} received in {} where {} were expected. {}",
            format::date(signal.first_on),
            of(field, signal),
            format::counted(signal.reports, "report", "reports"),
            format::counted(u64::from(signal.weeks), "week", "weeks"),
            format::significant(signal.expected, 2),
            if signal.on_now { "The signal is still on." } else { "The signal has ended since." },
        )
    });
    said.collect()
}

/// A signal as it was raised, in words: the books may tell otherwise today.
pub(super) fn raised(kept: &KeptSignal) -> String {
    let signal = &kept.raised;
    let ended = kept.ended_on.map(|day| format!("ended {}", format::date(day)));
    format!(
        "{} {}: {} in {} where {} were expected, first for {}; {}.",
        format::date(kept.raised_on),
        signal.of.used_lot.as_deref().unwrap_or("all reports"),
        format::counted(signal.reports, "report", "reports"),
        format::counted(u64::from(signal.weeks), "week", "weeks"),
        format::significant(signal.expected, 2),
        format::date(signal.first_on),
        ended.as_deref().unwrap_or("still on"),
    )
}

/// What is still to come of recent weeks.
pub(super) fn to_come(r: &Recurrence) -> Option<String> {
    let found = r.to_come?;
    Some(format!(
        "On failures of the last {} {} in and sorted; about {} more are still to come (90 % between {} and {}).",
        format::counted(u64::from(found.weeks), "week", "weeks"),
        format::counted(u64::from(found.reports), "report is", "reports are"),
        format::significant(found.expected, 2),
        format::count(found.low),
        format::count(found.high),
    ))
}

/// When the watch would have signalled under other allowances.
pub(super) fn otherwise(r: &Recurrence) -> Option<String> {
    let first = |on: Option<NaiveDate>| on.map_or("no signal so far".to_owned(), format::date);
    let said: Vec<String> = r
        .watch
        .otherwise
        .iter()
        .map(|other| format!("{}: {}", allowance(other.false_signals_per_year), first(other.first_on)))
        .collect();
    (!said.is_empty()).then(|| format!("Had it been allowed {}.", said.join("; ")))
}

/// An allowance of false signals in plain words.
pub(super) fn allowance(per_year: f64) -> String {
    let plain = |number: f64| {
        let whole = (number - number.round()).abs() < 1e-9;
        if whole { format::decimals(number, 0) } else { format::significant(number, 2) }
    };
    match (plain(per_year), plain(1.0 / per_year)) {
        (often, _) if often == "1" => "one false signal a year".into(),
        (often, _) if per_year > 1.0 => format!("{often} false signals a year"),
        (_, years) => format!("one false signal in {years} years"),
    }
}

fn twin(weeks: &[Week]) -> Twin {
    let heads = ["Week of", "Reports", "Items issued"].map(str::to_owned).into();
    let told = weeks.iter().filter(|week| week.reports > 0);
    let rows = told
        .map(|week| vec![format::date(week.monday), format::count(week.reports), format::count(week.issued)])
        .collect();
    Twin { heads, rows }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_caption_says_how_many_the_tallest_columns_stand_for() {
        let week = |reports, issued| Week { monday: NaiveDate::default(), reports, issued };
        assert_eq!(most(&[week(2, 0), week(5, 1), week(0, 300)]), "most in a week: 5 reports, 300 items");
        assert_eq!(most(&[week(1, 1)]), "most in a week: 1 report, 1 item");
    }

    #[test]
    fn an_allowance_is_said_in_plain_words() {
        assert_eq!(allowance(0.5), "one false signal in 2 years");
        assert_eq!(allowance(0.3), "one false signal in 3.3 years");
        assert_eq!(allowance(1.0), "one false signal a year");
        assert_eq!(allowance(2.0), "2 false signals a year");
        assert_eq!(allowance(1.5), "1.5 false signals a year");
    }
}
