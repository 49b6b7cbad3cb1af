//! Who has replied to an instruction: every unit it is addressed to, with how it stands there and what was counted.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use domain::concerned::Concerned;
use domain::instruction::{Instruction, InstructionKind};
use domain::permission::{Actor, Role};
use domain::reply::{Reply, Standing, asked, standing};
use serde::Serialize;
use store::{Kept, Replies};

use crate::address;
use crate::format;
use crate::pages::interim::{concerns, days};
use crate::picture::Picture;
use crate::templates::Page;
use crate::tongue::Tongue;
use crate::view::{Place, Shell, TitleBlock};

/// The page.
#[derive(Serialize)]
pub struct RepliesPage {
    shell: Shell,
    number: String,
    instruction: String,
    concerns: String,
    days: String,
    summary: String,
    rows: Vec<Row>,
    feeds: Option<String>,
    title_block: TitleBlock,
}

/// One unit.
#[derive(Serialize)]
struct Row {
    unit: String,
    address: String,
    books: String,
    standing: &'static str,
    late: bool,
    received: Option<String>,
    replied: Option<String>,
    held: Option<u64>,
    checked: Option<u64>,
    found: Option<u64>,
    not_located: Option<u64>,
    turned_in: Option<u64>,
}

/// What is known of one unit.
#[derive(Default)]
struct Known<'a> {
    lots: Vec<&'a str>,
    /// Whether it holds items of no known lot that the instruction may be about.
    of_no_lot: bool,
    books: u64,
    replies: Vec<&'a Reply>,
    received: Option<NaiveDate>,
}

fn row(unit: &str, known: &Known<'_>, what: &Instruction, today: NaiveDate) -> (Standing, Row) {
    let stands =
        standing(what, known.received.is_some(), (&known.lots, known.of_no_lot), &known.replies, today);
    let sum = |count: fn(&Reply) -> u32| {
        let replies = known.replies.iter();
        (!known.replies.is_empty()).then(|| replies.map(|reply| u64::from(count(reply))).sum::<u64>())
    };
    let row = Row {
        unit: unit.to_owned(),
        address: format!("/units/{}", address::segment(unit)),
        books: format::count(known.books),
        standing: stands.word(),
        late: stands == Standing::Overdue,
        received: known.received.map(format::date),
        replied: known.replies.iter().map(|reply| reply.replied_on).max().map(format::date),
        held: sum(|reply| reply.held),
        checked: sum(|reply| reply.checked),
        found: sum(|reply| reply.found),
        not_located: sum(|reply| reply.not_located),
        turned_in: sum(|reply| reply.turned_in),
    };
    (stands, row)
}

impl RepliesPage {
    /// The page of one instruction.
    pub(super) fn new(
        actor: &Actor,
        picture: &Picture,
        kept: &Kept<Instruction>,
        said: &Replies,
        today: NaiveDate,
    ) -> Self {
        let field = &picture.field;
        let ledger = &picture.analysis.ledger;
        let addressed = asked(field, ledger, &ledger.held, &kept.what.concerned);
        let mut units: BTreeMap<&str, Known<'_>> = BTreeMap::new();
        for (unit, asked) in &addressed {
            let known = units.entry(&field.unit_names[*unit]).or_default();
            known.lots = asked.lots.keys().map(|lot| &*field.lots[*lot].lot_no).collect();
            known.of_no_lot = asked.of_no_lot() > 0;
            known.books = asked.items();
        }
        for reply in &said.replies {
            units.entry(&reply.unit).or_default().replies.push(reply);
        }
        for (unit, when) in &said.received {
            units.entry(unit).or_default().received = Some(when.date_naive());
        }
        Self::of_units(actor, kept, &units, today)
    }

    fn of_units(
        actor: &Actor,
        kept: &Kept<Instruction>,
        units: &BTreeMap<&str, Known<'_>>,
        today: NaiveDate,
    ) -> Self {
        let what = &kept.what;
        let mut rows: Vec<(Standing, Row)> =
            units.iter().map(|(unit, known)| row(unit, known, what, today)).collect();
        // Who is late stands on top, who has complied at the end.
        rows.sort_by_key(|(stands, _)| match stands {
            Standing::Overdue => 0,
            Standing::NotReceived => 1,
            Standing::Received => 2,
            Standing::Complied => 3,
        });
        let complied = rows.iter().filter(|(stands, _)| *stands == Standing::Complied).count();
        let title = format!("Replies to {}", kept.number);
        Self {
            shell: Shell::inside(title.clone(), actor, Place::Instructions),
            number: kept.number.clone(),
            instruction: format!("/instructions/{}", address::segment(&kept.number)),
            concerns: concerns(Tongue::ENGLISH, &what.concerned),
            days: days(Tongue::ENGLISH, what.from, what.to),
            summary: summary(complied as u64, rows.len() as u64),
            feeds: what.recurrence.as_ref().map(|(part, mode)| format!("{part} {mode}")),
            rows: rows.into_iter().map(|(_, row)| row).collect(),
            title_block: TitleBlock {
                number: kept.number.clone(),
                title,
                revision: "A".into(),
                state: what.holds(today).word().to_owned(),
                owner: kept.by.clone(),
                dates: vec![("As of".into(), format::date(today))],
                sheet: "1 of 1".into(),
            },
        }
    }
}

fn summary(complied: u64, asked: u64) -> String {
    let asked = format::counted(asked, "unit has complied", "units have complied");
    format!("{} of {asked}.", format::count(complied))
}

impl Page for RepliesPage {
    const TEMPLATE: &'static str = "pages/replies/list";

    fn samples() -> Vec<Self> {
        let day = NaiveDate::from_ymd_opt(2026, 3, 4).unwrap_or_default();
        let kept = |recurrence| Kept {
            number: "I-2026-001".into(),
            what: Instruction {
                kind: InstructionKind::Inspect,
                concerned: Concerned { part_no: "RC-100".into(), maker: None, lots: vec!["TB-0418".into()] },
                from: day,
                to: day.pred_opt(),
                words: "Look at the seam.".into(),
                authority: "Equipment engineer".into(),
                change_no: None,
                recurrence,
                withdrawn: None,
            },
            by: "Oda Fell".into(),
            at: chrono::DateTime::default(),
        };
        let reply = Reply {
            instruction_no: "I-2026-001".into(),
            unit: "COVE-2".into(),
            lot_no: Some("TB-0418".into()),
            replied_on: day,
            held: 14,
            checked: 12,
            found: 2,
            not_located: 2,
            turned_in: 2,
        };
        let replied = Known {
            lots: vec!["TB-0418"],
            of_no_lot: false,
            books: 14,
            replies: vec![&reply],
            received: Some(day),
        };
        let silent = Known { lots: vec!["TB-0418"], books: 1_240, ..Known::default() };
        let units = BTreeMap::from([("COVE-2", replied), ("RIDGE-1", silent)]);
        let actor = Actor::Person { id: 1, name: "Oda Fell".into(), role: Role::Engineer, unit: None };
        let answers = kept(Some(("RC-131".to_owned(), "ZIP-1".to_owned())));
        vec![
            Self::of_units(&actor, &answers, &units, day),
            Self::of_units(&actor, &kept(None), &BTreeMap::new(), day),
        ]
    }
}

#[cfg(test)]
mod tests {
    #[test]
    fn one_unit_has_complied_and_several_have() {
        assert_eq!(super::summary(1, 1), "1 of 1 unit has complied.");
        assert_eq!(super::summary(0, 12), "0 of 12 units have complied.");
    }
}
