//! `bartack analyse`: reads a pack and says what the field tells on a date, without a server or a database.

use std::io::Write;
use std::path::PathBuf;

use chrono::{NaiveDate, TimeDelta};
use clap::Args;
use domain::analysis::{FALSE_SIGNALS_PER_YEAR, ORDER, Study};
use domain::field::{Day, Field};

use crate::analyse::{AnalysisView, ConcentrationView, RecurrenceView};
use crate::cli::{Outcome, refusals};
use crate::clock::Clock;
use crate::format;
use crate::pack::{GatherError, Limits, PackSource, gather};

/// What `analyse` takes.
#[derive(Args)]
pub struct Analyse {
    /// The pack: a folder or a zip.
    pack: PathBuf,
    /// The date; only what was received by then counts.
    #[arg(long, value_parser = day)]
    as_of: NaiveDate,
    /// Print everything as one JSON object.
    #[arg(long)]
    json: bool,
    /// How many false signals a year the watch may raise, over everything it watches together.
    #[arg(long, default_value_t = FALSE_SIGNALS_PER_YEAR)]
    false_signals_per_year: f64,
    /// Say on standard error how long reading and analysing took.
    #[arg(long)]
    timings: bool,
}

impl Analyse {
    /// Reads, analyses, prints.
    pub fn run(self) -> Outcome {
        let clock = Clock::of_machine();
        let began = clock.now();
        let source = PackSource::open(&self.pack, Limits::COMMAND_LINE)?;
        let field = match gather(&source, refusals::SHOWN) {
            Ok(field) => field,
            Err(GatherError::Refused(preview)) => {
                refusals::print(&preview);
                return Err("nothing was analysed; mend the rows above and try again".into());
            }
            Err(error) => return Err(error.into()),
        };
        let read = clock.now();
        let study = Study::new(field, self.as_of, self.false_signals_per_year);
        if self.timings {
            let seconds = |span: TimeDelta| format::decimals(span.as_seconds_f64(), 2);
            let (reading, analysing) = (seconds(read - began), seconds(clock.now() - read));
            eprintln!("read in {reading} s, analysed in {analysing} s");
        }
        let mut view = AnalysisView::new(study.field(), study.analysis());
        view.warnings.extend(beyond(study.field(), self.as_of, clock.now().date_naive()));
        let mut out = std::io::BufWriter::new(std::io::stdout().lock());
        if self.json {
            serde_json::to_writer_pretty(&mut out, &view)?;
            writeln!(out)?;
        } else {
            summary(&view, &mut out)?;
        }
        Ok(out.flush()?)
    }
}

/// What of the pack is later than the date, and the date later than today.
fn beyond(field: &Field, as_of: NaiveDate, today: NaiveDate) -> Option<String> {
    let day = Day::from(as_of);
    let reports = field.reports.values().filter(|report| report.received_on > day).count();
    let movements = field.movements.iter().filter(|movement| movement.day > day).count();
    if as_of > today {
        return Some(format!(
            "{as_of} is to come: items are taken as in service until then, and of that time nobody has reported yet."
        ));
    }
    (reports + movements > 0).then(|| {
        format!(
            "Not counted, being of days after {as_of}: {}, {}.",
            format::counted(reports as u64, "report", "reports"),
            format::counted(movements as u64, "movement", "movements"),
        )
    })
}

/// A short account in words.
fn summary(view: &AnalysisView, out: &mut impl Write) -> std::io::Result<()> {
    let counts = &view.counts;
    writeln!(
        out,
        "As of {}: {} reports ({} relevant, {} unsorted, {} without a known lot), {} lots, {} movements, {} \
         discrepancies.",
        view.as_of,
        counts.reports,
        counts.relevant,
        counts.unsorted,
        counts.lot_unresolved,
        counts.lots,
        counts.movements,
        counts.discrepancies,
    )?;
    writeln!(out, "\nRecurrences. {ORDER}")?;
    for line in &view.recurrences {
        writeln!(out, "  {}", recurrence(line))?;
    }
    let listed: usize = view.recurrences.iter().map(|line| line.reports as usize).sum();
    let lone = counts.relevant.saturating_sub(listed);
    if lone > 0 {
        let reports = format::counted(lone as u64, "report", "reports");
        writeln!(out, "  and {reports} without harm, each the only one of its part and mode")?;
    }
    writeln!(out, "\nChanges")?;
    for change in &view.changes {
        write!(out, "  {}", change.change_no)?;
        if let Some(mean) = &change.mass_tariff_mean {
            write!(out, ": {:.0} g to {:.0} g ({:+.1} %)", mean.before_g, mean.after_g, mean.delta_percent)?;
        }
        if let Some(proof) = &change.proof {
            write!(out, ", {}", proof.verdict)?;
            if let (Some(ratio), Some(low)) = (proof.ratio, proof.anytime_low) {
                let high =
                    proof.anytime_high.map_or("no upper limit".to_owned(), |high| format!("{high:.2}"));
                write!(out, ": failures at {ratio:.2} of before ({low:.2} to {high})")?;
            }
        }
        writeln!(out)?;
    }
    for warning in &view.warnings {
        writeln!(out, "\nNote: {warning}")?;
    }
    if !view.possible_doubles.is_empty() {
        let pairs = format::counted(view.possible_doubles.len() as u64, "pair", "pairs");
        writeln!(
            out,
            "\nNote: {pairs} of reports may tell of the same failure; --json lists them. All count."
        )?;
    }
    Ok(())
}

/// One recurrence: its reports, its rate with what that is made from, its risk, and what stands out with what follows from it.
fn recurrence(line: &RecurrenceView) -> String {
    let reports = format::counted(line.reports.into(), "report", "reports");
    let mut clauses = vec![format!("{} {}: {reports}", line.part_no, line.mode)];
    if let Some(rate) = &line.rate {
        let failures = format::counted(rate.occasions, "failure", "failures");
        let [years, lowest, highest] = [line.item_years, line.item_years_low, line.item_years_high]
            .map(|years| format::decimals(years, 0));
        let open = if lowest == highest { String::new() } else { format!(" ({lowest} to {highest})") };
        let [estimate, low, high] =
            [rate.estimate, rate.low, rate.high].map(|rate| format::significant(rate, 3));
        clauses.push(format!("{failures} in {years}{open} item-years"));
        clauses.push(format!("{estimate} ({low} to {high}) per {}", rate.per));
    }
    clauses.extend(line.risk.as_ref().map(|risk| format!("risk {}", risk.level)));
    clauses.extend(line.first_signal_on.map(|day| format!("the watch signals, first for {day}")));
    let flagged: Vec<&ConcentrationView> =
        line.concentrations.iter().flatten().filter(|found| found.flagged).collect();
    let causes = flagged.iter().filter(|found| found.explained_by.is_none());
    clauses.extend(causes.map(|cause| stands_out(cause, &flagged)));
    clauses.join("; ")
}

/// What stands out, and what of the others follows from it.
fn stands_out(cause: &ConcentrationView, flagged: &[&ConcentrationView]) -> String {
    let named = |found: &ConcentrationView| format!("{} {}", found.factor.replace('_', " "), found.level);
    let key = format!("{}:{}", cause.factor, cause.level);
    let from_it = flagged.iter().filter(|found| found.explained_by.as_ref() == Some(&key));
    let follow: Vec<String> = from_it.map(|found| named(found)).collect();
    let reports = format::counted(cause.reports.into(), "report", "reports");
    let times = match cause.ratio {
        Some(ratio) => format!("{:.1} expected, {ratio:.1} times", cause.expected),
        None => format!("none on the others, at least {:.1} times", cause.ratio_low),
    };
    let words = format!("{} stands out with {reports} ({times})", named(cause));
    if follow.is_empty() { words } else { format!("{words}, from which follow {}", follow.join(", ")) }
}

/// A day as it is written in a pack.
fn day(text: &str) -> Result<NaiveDate, String> {
    text.parse().map_err(|_| "expected a date as 2026-10-31".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pages::recurrences::sample;

    #[test]
    fn the_cause_is_named_with_what_follows_from_it_and_a_date_says_how_it_is_written() {
        let (field, analysis) = sample::field();
        let mut line = AnalysisView::new(&field, &analysis).recurrences.remove(0);
        let found = |factor, level: &str, flagged, explained_by: Option<&str>| ConcentrationView {
            factor,
            level: level.into(),
            part_no: None,
            reports: 14,
            expected: 3.1,
            ratio: Some(4.52),
            ratio_low: 2.0,
            ratio_high: None,
            probability_worse: 0.99,
            flagged,
            explained_by: explained_by.map(Into::into),
        };
        line.concentrations = Some(vec![
            found("item_lot", "TB-0418", true, Some("used_lot:T-118")),
            found("used_lot", "T-118", true, None),
            found("maker", "Oreval", false, None),
        ]);
        let said = recurrence(&line);
        let stands_out = "; used lot T-118 stands out with 14 reports (3.1 expected, 4.5 times), from which follow \
                          item lot TB-0418";
        assert!(said.ends_with(stands_out), "{said}");
        assert!(said.contains(" in ") && said.contains("item-years") && !said.contains("Oreval"), "{said}");
        assert_eq!(day("31.10.2026"), Err("expected a date as 2026-10-31".to_owned()));
    }

    #[test]
    fn the_account_in_words_says_what_is_not_listed_and_how_far_item_years_are_open() {
        let (field, analysis) = sample::field();
        let mut view = AnalysisView::new(&field, &analysis);
        let told = |view: &AnalysisView| {
            let mut out = Vec::new();
            summary(view, &mut out).expect("memory writes");
            String::from_utf8(out).expect("text")
        };
        let listed: u32 = view.recurrences.iter().map(|line| line.reports).sum();
        view.counts.relevant = listed as usize;
        assert!(!told(&view).contains("the only one of its part"), "{}", told(&view));
        view.counts.relevant += 2;
        let line = view.recurrences.iter_mut().find(|line| line.rate.is_some()).expect("a rate");
        (line.item_years, line.item_years_low, line.item_years_high) = (344.2, 344.2, 358.0);
        let said = told(&view);
        assert!(
            said.contains("and 2 reports without harm, each the only one of its part and mode"),
            "{said}"
        );
        assert!(said.contains(" in 344 (344 to 358) item-years"), "{said}");
    }
}
