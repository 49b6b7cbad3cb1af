//! The list of meetings, and the form that calls one.

use domain::permission::{Act, Actor, may};
use serde::Serialize;
use store::KeptMeeting;

use super::{Called, address};
use crate::format;
use crate::templates::Page;
use crate::view::{Ask, Faults, Place, Shell};

/// The page.
#[derive(Serialize)]
pub struct DocketsPage {
    shell: Shell,
    rows: Vec<Row>,
    asks: Vec<Ask>,
}

#[derive(Serialize)]
struct Row {
    address: String,
    title: String,
    day: String,
    changes: String,
}

impl DocketsPage {
    pub(super) fn new(actor: &Actor, meetings: &[KeptMeeting], typed: &Called, faults: &Faults) -> Self {
        let row = |one: &KeptMeeting| Row {
            address: address(one.id),
            title: one.meeting.title.clone(),
            day: format::date(one.meeting.held_on),
            changes: format::counted(one.changes, "change", "changes"),
        };
        let asks = vec![
            Ask::of_kind("date", "held_on", "Day", &typed.held_on).required().problem(faults.of("held_on")),
            Ask::text("title", "What it is called", &typed.title).required().problem(faults.of("title")),
        ];
        Self {
            shell: Shell::inside("Docket", actor, Place::Docket),
            rows: meetings.iter().map(row).collect(),
            asks: if may(actor, &Act::KeepDocket).is_ok() { asks } else { Vec::new() },
        }
    }
}

impl Page for DocketsPage {
    const TEMPLATE: &'static str = "pages/changes/dockets";

    fn samples() -> Vec<Self> {
        use domain::docket::Meeting;
        let board = crate::pages::changes::sample::board();
        let clerk = Actor::Anybody;
        let meeting =
            Meeting { held_on: crate::pages::changes::sample::today(), title: "March <board>".into() };
        let kept = [KeptMeeting { id: 1, meeting, changes: 2 }];
        let wrong = Called::default().read().err().unwrap_or_default();
        vec![
            Self::new(&board, &kept, &Called::default(), &Faults::default()),
            Self::new(&board, &[], &Called::default(), &wrong),
            Self::new(&clerk, &[], &Called::default(), &Faults::default()),
        ]
    }
}
