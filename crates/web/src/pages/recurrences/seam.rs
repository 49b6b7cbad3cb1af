//! The thread of a recurrence: first report, the recurrence, and each change with its cut-in and proof.

use chrono::NaiveDate;
use domain::analysis::Recurrence;
use domain::change::ChangeState;
use domain::field::{ChangeFacts, Day, Field};
use domain::permission::{Act, Actor, may};

use super::figures::part_name;
use super::weekly::changes_on;
use crate::address;
use crate::format;
use crate::view::{Sewn, Station, Strand, Thread};

/// The thread, at the station of the recurrence.
pub(super) fn thread(actor: &Actor, field: &Field, r: &Recurrence, today: NaiveDate) -> Thread {
    let here = Station { address: None, sewn: Sewn::Here, ..recurrence(field, r) };
    seam(field, vec![first_report(actor, field, r), here], &changes_on(field, r), &ahead("answer"), today)
}

/// The thread of one report, at its station; `answered` is when its unit had its answer.
pub(crate) fn of_report(
    field: &Field,
    r: Option<&Recurrence>,
    (report_ref, received_on): (&str, NaiveDate),
    answered: Option<NaiveDate>,
    today: NaiveDate,
) -> Thread {
    let here = Station {
        word: "report",
        name: report_ref.to_owned(),
        address: None,
        day: Some(received_on),
        sewn: Sewn::Here,
    };
    let answer = match answered {
        Some(day) => Station {
            address: Some("#answers".to_owned()),
            day: Some(day),
            sewn: Sewn::Reached,
            ..ahead("answer")
        },
        None => ahead("answer"),
    };
    let next = r.map_or_else(|| ahead("recurrence"), |r| recurrence(field, r));
    let changes = r.map(|r| changes_on(field, r)).unwrap_or_default();
    seam(field, vec![here, next], &changes, &answer, today)
}

/// The stations that lead to a change, reached.
pub(crate) fn before_change(actor: &Actor, field: &Field, r: &Recurrence) -> Vec<Station> {
    vec![first_report(actor, field, r), recurrence(field, r)]
}

fn first_report(actor: &Actor, field: &Field, r: &Recurrence) -> Station {
    // Who reads no unit's words, as administrators, would be turned away there.
    let reads = may(actor, &Act::ReadUnitReports { unit: "" }).is_ok();
    Station {
        word: "report",
        // The page's sentence tells when the first was found, which is another day.
        name: format!("first of {}, received", format::count(u64::from(r.reports))),
        address: reads.then(|| super::words::address(field, r)),
        day: r.spread.received(0).map(Day::date),
        sewn: Sewn::Reached,
    }
}

fn recurrence(field: &Field, r: &Recurrence) -> Station {
    Station {
        word: "recurrence",
        name: part_name(field, r.part).to_owned(),
        address: Some(address::recurrence(field, r.part, r.mode)),
        day: r.began_on().map(Day::date),
        sewn: Sewn::Reached,
    }
}

fn seam(
    field: &Field,
    mut trunk: Vec<Station>,
    changes: &[&ChangeFacts],
    answer: &Station,
    today: NaiveDate,
) -> Thread {
    let branch = |change: &&ChangeFacts| stations(field, change).into_iter().chain([answer.clone()]);
    match changes {
        [] => {
            trunk.extend(["change", "cut-in", "proof"].map(ahead));
            trunk.push(answer.clone());
            Thread::new(Strand::new(trunk, Vec::new(), today))
        }
        [only] => {
            trunk.extend(branch(only));
            Thread::new(Strand::new(trunk, Vec::new(), today))
        }
        several => {
            let branches =
                several.iter().map(|change| Strand::new(branch(change).collect(), Vec::new(), today));
            Thread::new(Strand::new(trunk, branches.collect(), today))
        }
    }
}

fn ahead(word: &'static str) -> Station {
    Station { word, name: String::new(), address: None, day: None, sewn: Sewn::Ahead }
}

fn stations(field: &Field, change: &ChangeFacts) -> Vec<Station> {
    let reached = |yes: bool| if yes { Sewn::Reached } else { Sewn::Ahead };
    let proof = change.state.filter(|s| matches!(s, ChangeState::Proved | ChangeState::NotProved));
    let lot = change.cut_in_lot.map(|lot| format!("lot {}", field.lots[lot].lot_no));
    vec![
        Station {
            word: "change",
            name: change.change_no.to_string(),
            address: Some(address::change(&change.change_no)),
            day: None,
            sewn: Sewn::Reached,
        },
        Station {
            word: "cut-in",
            name: lot.unwrap_or_default(),
            address: None,
            day: change.cut_in_on.map(Day::date),
            sewn: reached(change.state.is_some_and(ChangeState::is_built)),
        },
        Station {
            word: "proof",
            name: proof.map(|state| state.word().to_owned()).unwrap_or_default(),
            address: None,
            day: None,
            sewn: reached(proof.is_some()),
        },
    ]
}

#[cfg(test)]
mod tests {
    use chrono::Days;
    use domain::analysis::analyse;

    use super::super::sample;
    use super::*;

    #[test]
    fn the_days_are_those_of_the_first_two_received_wherever_they_stand_in_the_books() {
        let (_, analysis) = sample::field();
        let first = analysis.recurrences[0].spread.received(0).unwrap().date();
        let (earliest, next) = (first - Days::new(20), first - Days::new(10));
        let mut books = sample::builder().unwrap();
        for (number, day) in [(1, next), (2, earliest)] {
            let report = sample::report(8, number, "TB-0419");
            let plain = domain::report::Report { found_on: day, received_on: day, harm: None, ..report };
            books.report(&plain).unwrap();
        }
        let field = books.build();
        let analysis = analyse(&field, analysis.as_of);
        let r = &analysis.recurrences[0];
        let report = first_report(&sample::engineer(), &field, r);
        assert_eq!((report.day, report.name.as_str()), (Some(earliest), "first of 15, received"));
        assert_eq!(recurrence(&field, r).day, Some(next));
    }
}
