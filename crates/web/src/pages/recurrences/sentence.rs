//! The sentences that open a recurrence's page: what fails, since when, how many, where it sits, who could get hurt.

use domain::analysis::{Concentration, FactorLevel, Recurrence};
use domain::field::Field;
use domain::risk::Severity;

use super::figures::{harm_words, part_name};
use super::sits;
use crate::format;

/// The opening of the page.
pub(crate) fn sentence(field: &Field, r: &Recurrence, severity: Severity) -> String {
    let since = r.spread.first().map(|day| format::date(day.date()));
    format!(
        "{}: {}. {} from {}, found since {}. {} {}",
        format::titled(part_name(field, r.part)),
        field.modes[r.mode].name,
        format::counted(u64::from(r.reports), "relevant report", "relevant reports"),
        format::counted(r.spread.units() as u64, "unit", "units"),
        since.unwrap_or_else(|| "an unknown day".into()),
        concentrates(field, r),
        hurt(r, severity),
    )
}

/// What stands out with nothing else to explain it, worst first.
fn causes(r: &Recurrence) -> impl Iterator<Item = &Concentration> {
    r.concentrations.iter().flatten().filter(|c| c.flagged && c.explained_by.is_none())
}

/// Lots among the causes.
pub(crate) fn lots_that_stand_out(r: &Recurrence) -> Vec<&Concentration> {
    causes(r).filter(|c| is_lot(c)).collect()
}

/// Whether it is a lot, of items or of what items were made from.
pub(super) fn is_lot(c: &Concentration) -> bool {
    matches!(c.level, FactorLevel::UsedLot(_) | FactorLevel::ItemLot(_))
}

/// Where it sits: observed against expected of each cause that stands out, what follows from it, and the watch.
fn concentrates(field: &Field, r: &Recurrence) -> String {
    let causes: Vec<&Concentration> = causes(r).collect();
    let worst = causes.iter().take(3).map(|c| cause(field, r, c));
    let said = match causes.len() {
        0 => "No lot or other factor is shown to stand out.".to_owned(),
        1..=3 => worst.collect::<Vec<_>>().join(" "),
        more => format!("{} causes stand out; the worst: {}", more, worst.collect::<Vec<_>>().join(" ")),
    };
    match r.first_signal_on {
        Some(day) if r.watch.on_now() => {
            format!(
                "{said} Run over today\u{2019}s books the watch first signalled on {} and is still on.",
                format::date(day)
            )
        }
        Some(day) => {
            format!(
                "{said} Run over today\u{2019}s books the watch first signalled on {}; the signal has ended.",
                format::date(day)
            )
        }
        None => said,
    }
}

fn cause(field: &Field, r: &Recurrence, c: &Concentration) -> String {
    let follows = sits::followers(r, c.level).map_or(String::new(), |words| format!("; {words}"));
    let (expected, ratio) = (format::significant(c.expected, 2), sits::level_ratio(c));
    if matches!(c.level, FactorLevel::ItemLot(_)) {
        let (lot, reports) =
            (c.level.value(field), format::counted(u64::from(c.reports), "report", "reports"));
        return match c.ratio {
            Some(_) => format!("Lot {lot} has {reports} against {expected} expected, {ratio}{follows}."),
            None => format!("Lot {lot} has {reports}, {ratio}{follows}."),
        };
    }
    let expected = c.ratio.map_or_else(String::new, |_| format!(", {expected} expected"));
    format!(
        "{} of {} sit on {}{expected}: {ratio}{follows}.",
        format::count(u64::from(c.reports)),
        format::counted(u64::from(c.of), "report", "reports"),
        sits::level_name(field, c.level),
    )
}

fn hurt(r: &Recurrence, severity: Severity) -> String {
    let could = format!("at severity {} a mishap means {}", severity.number(), severity.harm());
    match harm_words(r) {
        Some(words) => format!("Reported: {words}; {could}."),
        None => format!("Nobody was reported hurt; {could}."),
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample;
    use super::*;

    #[test]
    fn it_says_what_since_when_how_many_where_and_who() {
        let (field, analysis) = sample::field();
        let said = sentence(&field, &analysis.recurrences[0], Severity::Critical);
        for words in [
            "Front slide fastener: Chain split",
            "13 relevant reports from 1 unit, found since 15 Feb 2025",
            "Lot TB-0418 has 9 reports against",
            "near miss",
            "severity 2",
        ] {
            assert!(said.contains(words), "{words}: {said}");
        }
    }

    #[test]
    fn a_signal_that_is_over_is_said_to_have_ended() {
        let (field, analysis) = sample::field();
        let mut over =
            Recurrence { first_signal_on: Some(analysis.as_of), ..analysis.recurrences[0].clone() };
        over.watch.signals.clear();
        let said = concentrates(&field, &over);
        let wanted = format!("first signalled on {}; the signal has ended.", format::date(analysis.as_of));
        assert!(said.contains(&wanted), "{said}");
    }
}
