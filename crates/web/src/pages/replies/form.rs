//! A unit's page for one instruction: what to do, that it came, and the counts, lot by lot.

use chrono::{DateTime, NaiveDate, Utc};
use domain::caution::Caution as C;
use domain::concerned::Concerned;
use domain::instruction::{Holds, Instruction, InstructionKind};
use domain::reply::Reply;
use serde::Serialize;
use store::Kept;

use super::typed::{COUNTS, MOST_LOTS, name};
use super::{Asked, form_of};
use crate::pages::interim::days;
use crate::pages::records::Sent;
use crate::templates::Page;
use crate::tongue::Tongue;
use crate::view::{Ask, Caution, Problem, Shell};

/// The page.
#[derive(Serialize)]
pub struct ReplyPage {
    shell: Shell,
    heading: String,
    number: String,
    unit: String,
    own_page: String,
    concerns: String,
    days: String,
    /// The items that the unit holds of it, by what their labels say.
    items: Option<String>,
    words: Vec<String>,
    harm: bool,
    over: Option<String>,
    received: Option<String>,
    action: String,
    problems: Vec<Problem>,
    rows: Vec<Row>,
    replied: Vec<Told>,
    cautions: Vec<Caution>,
}

/// The counts of one lot that are asked.
#[derive(Serialize)]
struct Row {
    lot: String,
    lot_name: String,
    head: String,
    asks: Vec<Ask>,
}

/// A reply that was given.
#[derive(Serialize)]
struct Told {
    lot: String,
    date: String,
    says: String,
}

/// What the page is made from.
pub(super) struct Filled<'a> {
    pub(super) tongue: Tongue,
    pub(super) kept: &'a Kept<Instruction>,
    pub(super) today: NaiveDate,
    pub(super) unit: &'a str,
    pub(super) own_page: &'a str,
    pub(super) received: Option<DateTime<Utc>>,
    pub(super) replies: &'a [&'a Reply],
    pub(super) asked: &'a Asked,
    pub(super) sent: &'a Sent,
    pub(super) problems: Vec<Problem>,
}

fn row(filled: &Filled<'_>, number: usize, lot: &str, head: String) -> Row {
    let (sent, problems) = (filled.sent, &filled.problems);
    let asks = COUNTS.iter().map(|count| {
        let label = filled.tongue.word("count", count);
        let id = name(count, number);
        let wrong =
            problems.iter().find(|problem| problem.is_of(&id)).map(|problem| problem.says().to_owned());
        let typed = sent.get(&id).to_owned();
        Ask::of_kind("number", id, label, typed).problem(wrong)
    });
    Row { lot: lot.to_owned(), lot_name: name("lot", number), head, asks: asks.collect() }
}

/// Rows for what has no reply yet; where the books show no lot, one row for all that the unit holds.
fn rows(filled: &Filled<'_>) -> Vec<Row> {
    let answered = |lot: &str| filled.replies.iter().any(|reply| reply.lot_no.as_deref() == Some(lot));
    let tongue = filled.tongue;
    if filled.asked.lots.is_empty() {
        let head = tongue.say("reply-all");
        return if filled.replies.is_empty() { vec![row(filled, 0, "", head)] } else { Vec::new() };
    }
    let open = filled.asked.lots.iter().filter(|(lot, _)| !answered(lot)).take(MOST_LOTS);
    let head = |lot: &str, held: u64| {
        tongue.with("reply-lot", &[("lot", lot.into()), ("held", tongue.count(held).into())])
    };
    open.enumerate().map(|(number, (lot, held))| row(filled, number, lot, head(lot, *held))).collect()
}

fn told(tongue: Tongue, reply: &Reply) -> Told {
    let of_lot = |lot: &str| tongue.with("instruction-lot", &[("lots", lot.into())]);
    let counts = [
        ("held", reply.held),
        ("checked", reply.checked),
        ("found", reply.found),
        ("not_located", reply.not_located),
        ("turned_in", reply.turned_in),
    ];
    let counts = counts.map(|(name, count)| (name, tongue.count(u64::from(count)).into()));
    Told {
        lot: reply.lot_no.as_deref().map_or_else(|| tongue.say("reply-all-short"), of_lot),
        date: tongue.date(reply.replied_on),
        says: tongue.with("reply-said", &counts),
    }
}

impl ReplyPage {
    /// The page of one unit.
    pub(super) fn new(filled: Filled<'_>) -> Self {
        let (what, tongue, number) = (&filled.kept.what, filled.tongue, &filled.kept.number);
        let over = match what.holds(filled.today) {
            Holds::Withdrawn => Some(tongue.say("instruction-withdrawn")),
            Holds::NotYet => Some(tongue.say("instruction-not-yet")),
            Holds::Now | Holds::Ended => None,
        };
        let lines = what.words.lines().map(str::trim).filter(|line| !line.is_empty());
        Self {
            shell: Shell::to_unit(
                tongue.with("instruction-title", &[("number", number.as_str().into())]),
                tongue,
            ),
            heading: tongue.word("order", what.kind),
            number: number.clone(),
            unit: filled.unit.to_owned(),
            own_page: filled.own_page.to_owned(),
            concerns: filled.asked.concerns.clone(),
            items: filled.asked.items.clone(),
            days: days(tongue, what.from, what.to),
            words: lines.map(str::to_owned).collect(),
            harm: what.kind == InstructionKind::StopUse,
            received: filled.received.map(|when| tongue.date(when.date_naive())),
            action: form_of(filled.own_page, number),
            rows: if over.is_some() { Vec::new() } else { rows(&filled) },
            over,
            replied: filled.replies.iter().map(|reply| told(tongue, reply)).collect(),
            problems: filled.problems,
            cautions: Caution::told(tongue, [C::OutOfUse, C::NoFieldRepair]),
        }
    }
}

impl Page for ReplyPage {
    const TEMPLATE: &'static str = "pages/replies/form";

    fn samples() -> Vec<Self> {
        let day = NaiveDate::from_ymd_opt(2026, 3, 4).unwrap_or_default();
        let kept = |kind, withdrawn| Kept {
            number: "I-2026-001".into(),
            what: Instruction {
                kind,
                concerned: Concerned { part_no: "RC-100".into(), maker: None, lots: vec!["TB-0418".into()] },
                from: day,
                to: None,
                words: "Look at the seam.\nTag what is open.".into(),
                authority: "Equipment engineer".into(),
                change_no: None,
                recurrence: None,
                withdrawn,
            },
            by: "Oda Fell".into(),
            at: DateTime::default(),
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
        let asked = |items: Option<&str>| Asked {
            concerns: "Rescue carrier, RC-100, lots TB-0418, TB-0419".into(),
            items: items.map(Into::into),
            lots: vec![("TB-0418".to_owned(), 14), ("TB-0419".to_owned(), 3)],
        };
        let (known, unknown) = (asked(Some("Rescue carrier, RC-100, lots TB-0418, TB-0419")), asked(None));
        let page = |kept: &Kept<Instruction>, replies: &[&Reply], received, problems| {
            Self::new(Filled {
                tongue: Tongue::ENGLISH,
                kept,
                today: day,
                unit: "COVE-2",
                own_page: "/unit/x",
                received,
                replies,
                asked: if replies.is_empty() { &known } else { &unknown },
                sent: &Sent::default(),
                problems,
            })
        };
        let stop = kept(InstructionKind::StopUse, None);
        let over = kept(InstructionKind::Inspect, Some((day, "Replaced.".into())));
        let wrong = vec![Problem::new("held-0", "14 held, but 11 checked and 2 not located come to 13.")];
        vec![
            page(&stop, &[], None, wrong),
            page(&stop, &[&reply], Some(DateTime::default()), Vec::new()),
            page(&over, &[&reply], None, Vec::new()),
        ]
    }
}
