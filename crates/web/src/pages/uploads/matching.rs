//! The step between a file and its reports: what each column means, how the rows read, what is refused and why.

use domain::permission::{Act, Actor, may};
use domain::upload::{Column, DateOrder, Told, clipped, shortened};
use serde::Serialize;
use store::Upload;

use super::layout::Layout;
use super::reading::{Books, Good, ReadRow, read};
use super::sender::Sender;
use crate::error::AppError;
use crate::format;
use crate::pages::records::Sent;
use crate::secrets::Token;
use crate::state::AppState;
use crate::templates::Page;
use crate::tongue::Tongue;
use crate::upload::{Table, WaitingList};
use crate::view::{Choice, Choices, Place, Select, Shell};

/// Rows shown as they read.
const SHOWN: usize = 8;
/// Refusals that are listed; more are counted.
const MOST_REFUSALS: usize = 60;
/// Letters of a story that are shown.
const STORY: usize = 110;
/// Values of a column shown beside its heading.
const EXAMPLES: usize = 2;

/// A list as it reads by a layout.
pub(super) struct Looked<'a> {
    list: &'a WaitingList,
    books: Books,
    pub(super) layout: Layout,
    pub(super) rows: Vec<ReadRow>,
}

impl<'a> Looked<'a> {
    /// Reads a waiting list by what the sender chose, or as proposed.
    pub(super) async fn at(
        state: &AppState,
        sender: &Sender,
        list: &'a WaitingList,
        sent: &Sent,
    ) -> Result<Self, AppError> {
        let layout = Layout::of(state, sender, &list.table, sent).await?;
        let books = Books::of(state.store()).await?;
        let rows = read(&list.table, &layout, &books, state.today());
        Ok(Self { list, books, layout, rows })
    }

    fn good(&self) -> usize {
        self.rows.iter().filter(|row| row.read.is_ok()).count()
    }

    /// Why nothing can be sent yet.
    pub(super) fn not_ready(&self) -> Option<String> {
        if let Some(double) = self.layout.double() {
            return Some(format!(
                "Two columns are said to be \u{201c}{}\u{201d}. Choose one of them.",
                double.title()
            ));
        }
        let missing: Vec<&str> = self.layout.missing().into_iter().map(Column::title).collect();
        if !missing.is_empty() {
            return Some(format!("Say which column holds: {}.", missing.join("; ")));
        }
        if self.layout.told(&self.list.table) == Told::Either && self.layout.order.is_none() {
            return Some("Say which comes first in the dates, day or month.".to_owned());
        }
        (self.good() == 0).then(|| "No row can be read yet; the reasons stand below.".to_owned())
    }
}

/// The page.
#[derive(Serialize)]
pub struct MatchPage {
    shell: Shell,
    file_name: String,
    lead: String,
    address: String,
    /// That the same file was sent before, and where that stands, for who may look at it.
    same: Option<(String, Option<String>)>,
    refused: Option<String>,
    columns: Vec<Matched>,
    order: Option<Choices>,
    order_note: Option<&'static str>,
    unit: Option<Select>,
    not_ready: Option<String>,
    send: Option<String>,
    seen: String,
    shown: Vec<ShownRow>,
    left_out: Option<String>,
    refusals: Vec<RefusedCell>,
}

#[derive(Serialize)]
struct Matched {
    name: String,
    heading: String,
    examples: String,
    options: Vec<(&'static str, String, bool)>,
}

#[derive(Serialize)]
struct ShownRow {
    line: String,
    found_on: String,
    unit: String,
    item: String,
    harm: String,
    harms: bool,
    story: String,
    lot: String,
}

#[derive(Serialize)]
struct RefusedCell {
    line: String,
    column: String,
    found: String,
    why: String,
}

impl MatchPage {
    pub(super) fn new(
        actor: &Actor,
        sender: &Sender,
        key: &Token,
        looked: &Looked<'_>,
        same: Option<&Upload>,
        refused: Option<String>,
    ) -> Self {
        let Looked { list, layout, rows, .. } = looked;
        let (table, good) = (&list.table, looked.good());
        let bad = rows.len() - good;
        let counted = |count: usize, one: &str, many: &str| format::counted(count as u64, one, many);
        let not_ready = looked.not_ready();
        let told = layout.told(table);
        Self {
            shell: Shell::inside("What the columns mean", actor, Place::Elsewhere),
            file_name: list.file_name.clone(),
            lead: format!(
                "{} under {}. Say what each column means; what is proposed follows from its heading, or from what you \
                 said last time.",
                counted(rows.len(), "row", "rows"),
                counted(table.headings.len(), "heading", "headings")
            ),
            address: format!("/reports/upload/waiting/{}", key.as_str()),
            same: same.map(|same| sent_before(actor, sender, same)),
            refused,
            columns: (0..table.headings.len()).map(|at| matched(table, layout, at, sender)).collect(),
            order: (told == Told::Either).then(|| order(layout.order)),
            order_note: order_note(told),
            unit: (sender.unit.is_none() && layout.place(Column::Unit).is_none()).then(|| {
                let units = looked.books.units.iter();
                let choices = units.map(|unit| Choice::new(unit, unit, *unit == layout.unit)).collect();
                Select::new("unit", "The unit that all rows are of", "choose", vec![(String::new(), choices)])
            }),
            send: not_ready.is_none().then(|| {
                let reports = counted(good, "report", "reports");
                if bad == 0 {
                    format!("Send {reports}")
                } else {
                    format!("Send {reports} and leave the rest out")
                }
            }),
            not_ready,
            seen: layout.seen(),
            shown: rows.iter().filter_map(shown).take(SHOWN).collect(),
            left_out: (bad > 0).then(|| {
                format!(
                    "{} can't be taken. Mend the file and send it anew, or leave them out.",
                    counted(bad, "row", "rows")
                )
            }),
            refusals: rows.iter().flat_map(refusals).take(MOST_REFUSALS).collect(),
        }
    }
}

/// What is said of the list that was made of the same file: of another's, no more than that there is one.
fn sent_before(actor: &Actor, sender: &Sender, same: &Upload) -> (String, Option<String>) {
    let again = "Rows that were sent for the same unit are not sent again.";
    let on = format::date(same.at.date_naive());
    if same.sender == sender.key || may(actor, &Act::Sort).is_ok() {
        let reports = format::counted(u64::from(same.reports), "report", "reports");
        let words = format!("This same file was sent on {on}: {reports}. {again}");
        return (words, Some(format!("/reports/upload/{}", same.id)));
    }
    (format!("This same file was sent on {on} by somebody else. {again}"), None)
}

fn matched(table: &Table, layout: &Layout, at: usize, sender: &Sender) -> Matched {
    let cells = table.rows.iter().filter_map(|row| row.cells.as_ref().ok()?.get(at));
    let examples: Vec<String> =
        cells.filter(|cell| !cell.is_empty()).take(EXAMPLES).map(|cell| shortened(cell)).collect();
    let chosen = layout.columns.get(at).copied().flatten();
    let offered = Column::ALL.iter().filter(|column| sender.unit.is_none() || **column != Column::Unit);
    let option = |column: &Column| {
        let needed = if column.is_needed() { " (needed)" } else { "" };
        (column.word(), format!("{}{needed}", column.title()), chosen == Some(*column))
    };
    Matched {
        name: format!("c{at}"),
        heading: match table.headings.get(at).map(String::as_str) {
            None | Some("") => format!("Column {}, without a heading", at + 1),
            Some(heading) => shortened(heading),
        },
        examples: examples.join(" · "),
        options: [("", "Leave it out".to_owned(), chosen.is_none())]
            .into_iter()
            .chain(offered.map(option))
            .collect(),
    }
}

fn order(chosen: Option<DateOrder>) -> Choices {
    let choice = |order: DateOrder, label: &str| Choice::new(order.word(), label, chosen == Some(order));
    let choices = vec![
        choice(DateOrder::DayFirst, "Day first: 03/04/2026 is 3 Apr 2026"),
        choice(DateOrder::MonthFirst, "Month first: 03/04/2026 is 4 Mar 2026"),
    ];
    Choices::one("order", "These dates can be meant two ways. Which comes first?", choices)
}

const fn order_note(told: Told) -> Option<&'static str> {
    match told {
        Told::By(DateOrder::DayFirst) => {
            Some("Dates are read day first, since some of them can't be meant otherwise.")
        }
        Told::By(DateOrder::MonthFirst) => {
            Some("Dates are read month first, since some of them can't be meant otherwise.")
        }
        Told::Mixed => Some(
            "Some dates can only be day first and some only month first. Write them as year-month-day in the file; \
             only dates that begin with the year are taken.",
        ),
        Told::NotNeeded | Told::Either => None,
    }
}

fn shown(row: &ReadRow) -> Option<ShownRow> {
    let Good { report, .. } = row.read.as_ref().ok()?;
    Some(ShownRow {
        line: row.line.to_string(),
        found_on: format::date(report.found_on),
        unit: report.unit.clone(),
        item: report.item_part_no.clone(),
        harm: report.harm.map(|harm| Tongue::ENGLISH.word("harm", harm)).unwrap_or_default(),
        harms: report.harm.is_some_and(domain::report::Harm::is_harm),
        story: clipped(report.narrative.as_deref().unwrap_or_default(), STORY),
        lot: report.lot_text.clone().unwrap_or_default(),
    })
}

fn refusals(row: &ReadRow) -> Vec<RefusedCell> {
    let wrong = row.read.as_ref().err().map(Vec::as_slice).unwrap_or_default();
    let cell = |wrong: &super::reading::Wrong| RefusedCell {
        line: row.line.to_string(),
        column: wrong.column.clone(),
        found: wrong.found.clone(),
        why: wrong.why.clone(),
    };
    wrong.iter().map(cell).collect()
}

impl Page for MatchPage {
    const TEMPLATE: &'static str = "pages/uploads/match";

    fn samples() -> Vec<Self> {
        let page = |full: bool| Self {
            shell: Shell::sample("What the columns mean", Place::Elsewhere),
            file_name: "failures <march>.xlsx".into(),
            lead: "2 rows under 3 headings.".into(),
            address: "/reports/upload/waiting/x".into(),
            same: full.then(|| ("This same file was sent before.".into(), Some("/reports/upload/3".into()))),
            refused: full.then(|| "Say which column holds: Anybody hurt.".into()),
            columns: vec![Matched {
                name: "c0".into(),
                heading: "Defect".into(),
                examples: "zip split".into(),
                options: vec![
                    ("", "Leave it out".into(), false),
                    ("story", "What happened (needed)".into(), true),
                ],
            }],
            order: full.then(|| order(None)),
            order_note: order_note(if full { Told::Mixed } else { Told::Either }),
            unit: full.then(|| Select::new("unit", "The unit that all rows are of", "choose", Vec::new())),
            not_ready: full.then(|| "Say which column holds: Anybody hurt.".into()),
            send: (!full).then(|| "Send 2 reports".into()),
            seen: "0".into(),
            shown: vec![ShownRow {
                line: "2".into(),
                found_on: "3 Mar 2026".into(),
                unit: "COVE-2".into(),
                item: "RC-100".into(),
                harm: "Nobody".into(),
                harms: full,
                story: "zip split".into(),
                lot: "TB-0418".into(),
            }]
            .into_iter()
            .filter(|_| full)
            .collect(),
            left_out: full.then(|| "1 row can't be taken.".into()),
            refusals: vec![RefusedCell {
                line: "3".into(),
                column: "Injury?".into(),
                found: "maybe".into(),
                why: "Expected one of none, near_miss, injury.".into(),
            }]
            .into_iter()
            .filter(|_| full)
            .collect(),
        };
        vec![page(true), page(false)]
    }
}
