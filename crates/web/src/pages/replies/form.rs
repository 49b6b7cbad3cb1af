//! A unit's page for one instruction: what to do, that it came, and the counts, lot by lot.

use chrono::{DateTime, NaiveDate, Utc};
use domain::caution::Caution as C;
use domain::concerned::Concerned;
use domain::instruction::{Holds, Instruction, InstructionKind};
use domain::reply::Reply;
use serde::Serialize;
use store::{Kept, OfNoLot};

use super::typed::{COUNTS, MOST_LOTS, is_typed, lot_of, name, plain, row_of};
use super::{Asked, form_of};
use crate::address;
use crate::pages::interim::days;
use crate::pages::records::Sent;
use crate::templates::Page;
use crate::tongue::Tongue;
use crate::view::{Ask, Caution, Faults, Shell};

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
    /// How many it holds whose lot isn't known.
    unknown: Option<String>,
    words: Vec<String>,
    harm: bool,
    over: Option<String>,
    received: Option<String>,
    action: String,
    /// What is wrong; with a field only where that stands on the page.
    problems: Faults,
    rows: Vec<Row>,
    /// Whether counts that were sent before stand in the form, to be mended.
    mends: bool,
    replied: Vec<Told>,
    cautions: Vec<Caution>,
}

/// The counts of one lot that are asked.
#[derive(Serialize)]
struct Row {
    #[serde(skip)]
    number: usize,
    lot: String,
    lot_name: String,
    said_name: String,
    /// The counts that the form shows as replied for the lot, in a plain form; empty where it shows none.
    said: String,
    head: String,
    asks: Vec<Ask>,
}

/// A reply that was given.
#[derive(Serialize)]
struct Told {
    lot: String,
    date: String,
    says: String,
    /// Where its counts are mended.
    mend: Option<String>,
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
    /// The lot whose reply is to be mended; empty for all that the unit holds.
    pub(super) mend: Option<&'a str>,
    pub(super) sent: &'a Sent,
    pub(super) faults: &'a Faults,
    /// Rows that were refused because their form didn't show what stands now.
    pub(super) overtaken: &'a [usize],
}

/// Its counts by their names.
fn counts(reply: &Reply) -> [(&'static str, u32); COUNTS.len()] {
    [
        ("held", reply.held),
        ("checked", reply.checked),
        ("found", reply.found),
        ("not_located", reply.not_located),
        ("turned_in", reply.turned_in),
    ]
}

/// The reply that the page shows for a lot.
fn standing<'a>(filled: &Filled<'a>, lot: &str) -> Option<&'a Reply> {
    filled.replies.iter().copied().find(|reply| lot_of(reply) == lot)
}

/// What a row shows as replied for its lot. A row that comes back for another reason still answers what its form showed
/// first, so that mending a slip doesn't replace a colleague's counts.
fn shown(filled: &Filled<'_>, number: usize, lot: &str) -> String {
    if row_of(filled.sent, lot) == Some(number) && !filled.overtaken.contains(&number) {
        return filled.sent.get(&name("said", number)).to_owned();
    }
    standing(filled, lot).map(plain).unwrap_or_default()
}

/// What is asked of one lot, with what was typed or, to be mended, what was replied.
fn row(filled: &Filled<'_>, number: usize, lot: &str, said: Option<&Reply>) -> Row {
    let (tongue, sent) = (filled.tongue, filled.sent);
    let held = filled.asked.lots.iter().find(|(asked, _)| asked == lot).map(|(_, held)| *held);
    let head = match held {
        _ if lot.is_empty() && filled.asked.lots.is_empty() => tongue.say("reply-all"),
        _ if lot.is_empty() => tongue.say("reply-no-lot"),
        None => tongue.with("instruction-lot", &[("lots", lot.into())]),
        Some(held) => tongue.with("reply-lot", &[("lot", lot.into()), ("held", tongue.count(held).into())]),
    };
    let asks = COUNTS.iter().map(|count| {
        let label = tongue.word("count", count);
        let id = name(count, number);
        let wrong = filled.faults.of(&id);
        let replied = said.and_then(|reply| counts(reply).into_iter().find(|(of, _)| of == count));
        let typed = replied.map_or_else(|| sent.get(&id).to_owned(), |(_, count)| count.to_string());
        Ask::of_kind("number", id, label, typed).problem(wrong)
    });
    Row {
        number,
        lot: lot.to_owned(),
        lot_name: name("lot", number),
        said_name: name("said", number),
        said: shown(filled, number, lot),
        head,
        asks: asks.collect(),
    }
}

/// Rows for what has no reply yet, the last for what the unit holds of no known lot, or for all that it holds where the books
/// show no lot. What was typed for a
/// lot with a reply stays on the page too. Each row that comes back has the number it was sent under.
fn rows(filled: &Filled<'_>) -> Vec<Row> {
    if let Some(reply) = filled.mend.and_then(|lot| standing(filled, lot)) {
        return vec![row(filled, 0, lot_of(reply), Some(reply))];
    }
    let replied: Vec<&str> = filled.replies.iter().map(|reply| lot_of(reply)).collect();
    let mut asked: Vec<&str> = filled.asked.lots.iter().map(|(lot, _)| lot.as_str()).collect();
    if filled.asked.unknown.is_some() || (asked.is_empty() && replied.is_empty()) {
        asked.push("");
    }
    let open = asked.into_iter().filter(|lot| !replied.contains(lot));
    let again = replied.iter().copied().filter(|lot| row_of(filled.sent, lot).is_some());
    let mut free = (0..MOST_LOTS).filter(|number| !is_typed(filled.sent, *number));
    let mut rows: Vec<Row> = again
        .chain(open)
        .filter_map(|lot| {
            let number = row_of(filled.sent, lot).or_else(|| free.next())?;
            Some(row(filled, number, lot, None))
        })
        .collect();
    rows.sort_by_key(|row| row.number);
    rows
}

/// What is wrong, leading to a field only where that stands in a row.
fn leading(faults: &Faults, rows: &[Row]) -> Faults {
    let stands = |id: &str| rows.iter().flat_map(|row| &row.asks).any(|ask| ask.id() == id);
    let mut leading = Faults::default();
    for problem in faults.all() {
        leading.add(if stands(problem.field()) { problem.field() } else { "" }, problem.says());
    }
    leading
}

fn told(filled: &Filled<'_>, reply: &Reply, form: Option<&str>) -> Told {
    let tongue = filled.tongue;
    let of_lot = |lot: &str| tongue.with("instruction-lot", &[("lots", lot.into())]);
    let beside_lots = !filled.asked.lots.is_empty() && filled.asked.unknown.is_some();
    let short = if beside_lots { "reply-no-lot" } else { "reply-all-short" };
    let said = counts(reply).map(|(name, count)| (name, tongue.count(u64::from(count)).into()));
    Told {
        lot: reply.lot_no.as_deref().map_or_else(|| tongue.say(short), of_lot),
        date: tongue.date(reply.replied_on),
        says: tongue.with("reply-said", &said),
        mend: form.map(|form| format!("{form}?mend={}", address::segment(lot_of(reply)))),
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
        let action = form_of(filled.own_page, number);
        let rows = if over.is_some() { Vec::new() } else { rows(&filled) };
        let in_form = |reply: &Reply| rows.iter().any(|row| row.lot == lot_of(reply));
        let way = |reply: &Reply| (over.is_none() && !in_form(reply)).then_some(action.as_str());
        let replied = filled.replies.iter().map(|reply| told(&filled, reply, way(reply))).collect();
        // Beside a colleague's counts above, what stands below is not what was replied.
        let mends = filled.overtaken.is_empty() && filled.replies.iter().any(|reply| in_form(reply));
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
            unknown: filled.asked.unknown.clone(),
            days: days(tongue, what.from, what.to),
            words: lines.map(str::to_owned).collect(),
            harm: what.kind == InstructionKind::StopUse,
            received: filled.received.map(|when| tongue.date(when.date_naive())),
            problems: leading(filled.faults, &rows),
            action,
            mends,
            rows,
            over,
            replied,
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
            without_lot: OfNoLot::Everything,
            unknown: items
                .is_none()
                .then(|| Tongue::ENGLISH.with("instruction-no-lot", &[("count", 1.into())])),
        };
        let (known, unknown) = (asked(Some("Rescue carrier, RC-100, lots TB-0418, TB-0419")), asked(None));
        let page = |kept: &Kept<Instruction>, (replies, mend): (&[&Reply], _), received, faults| {
            Self::new(Filled {
                tongue: Tongue::ENGLISH,
                kept,
                today: day,
                unit: "COVE-2",
                own_page: "/unit/x",
                received,
                replies,
                asked: if replies.is_empty() { &known } else { &unknown },
                mend,
                sent: &Sent::default(),
                faults,
                overtaken: &[],
            })
        };
        let stop = kept(InstructionKind::StopUse, None);
        let over = kept(InstructionKind::Inspect, Some((day, "Replaced.".into())));
        let wrong = Faults::one("held-0", "14 held, but 11 checked and 2 not located come to 13.");
        let (stray, none) =
            (Faults::one("held-7", "Your unit isn’t asked about lot TB-0501."), Faults::default());
        vec![
            page(&stop, (&[], None), None, &wrong),
            page(&stop, (&[&reply], None), Some(DateTime::default()), &stray),
            page(&stop, (&[&reply], Some("TB-0418")), Some(DateTime::default()), &none),
            page(&over, (&[&reply], None), None, &none),
        ]
    }
}
