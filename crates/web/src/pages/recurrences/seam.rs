//! The thread of a recurrence: first report, the recurrence, and each change with its cut-in and proof.

use chrono::NaiveDate;
use domain::analysis::Recurrence;
use domain::change::ChangeState;
use domain::field::{ChangeFacts, Field};

use super::figures::part_name;
use super::weekly::changes_on;
use crate::address;
use crate::format;
use crate::view::{Sewn, Station, Strand, Thread};

/// The thread, at the station of the recurrence.
pub(super) fn thread(field: &Field, r: &Recurrence, today: NaiveDate) -> Thread {
    let received = |at: usize| r.report_ids.get(at).map(|&id| field.reports[id].received_on.date());
    let trunk = [
        Station {
            word: "report",
            name: format!("first of {}", format::count(u64::from(r.reports))),
            address: None,
            day: received(0),
            sewn: Sewn::Reached,
        },
        Station {
            word: "recurrence",
            name: part_name(field, r.part).to_owned(),
            address: None,
            day: received(1).or_else(|| received(0)),
            sewn: Sewn::Here,
        },
    ];
    let changes = changes_on(field, r);
    match changes.as_slice() {
        [] => {
            let rest = ["change", "cut-in", "proof", "answer"].map(ahead);
            Thread::new(Strand::new(trunk.into_iter().chain(rest).collect(), Vec::new(), today))
        }
        [only] => {
            let whole = trunk.into_iter().chain(stations(field, only)).collect();
            Thread::new(Strand::new(whole, Vec::new(), today))
        }
        several => {
            let branch = |change: &&ChangeFacts| Strand::new(stations(field, change), Vec::new(), today);
            Thread::new(Strand::new(trunk.into(), several.iter().map(branch).collect(), today))
        }
    }
}

fn ahead(word: &'static str) -> Station {
    Station { word, name: String::new(), address: None, day: None, sewn: Sewn::Ahead }
}

fn stations(field: &Field, change: &ChangeFacts) -> Vec<Station> {
    let reached = |yes: bool| if yes { Sewn::Reached } else { Sewn::Ahead };
    let built =
        matches!(change.state, Some(ChangeState::CutIn | ChangeState::Proved | ChangeState::NotProved));
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
            day: change.cut_in_on.map(domain::field::Day::date),
            sewn: reached(built),
        },
        Station {
            word: "proof",
            name: proof.map(|state| state.word().to_owned()).unwrap_or_default(),
            address: None,
            day: None,
            sewn: reached(proof.is_some()),
        },
        ahead("answer"),
    ]
}
