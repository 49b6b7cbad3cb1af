//! Part numbers, what the change reaches, remarks and enclosures as rows of the sheet.

use domain::permission::{Act, Actor, may};
use domain::reidentification;
use serde::Serialize;

use crate::address;
use crate::format;
use crate::pages::changes::view::{ArguedView, RecordView};

/// The sections.
#[derive(Serialize)]
pub(in crate::pages::changes) struct ArguedRows {
    pub(in crate::pages::changes) numbers: Vec<NumberRow>,
    pub(in crate::pages::changes) rule: String,
    pub(in crate::pages::changes) never: Option<String>,
    pub(in crate::pages::changes) signed: Option<String>,
    pub(in crate::pages::changes) assemblies: Vec<String>,
    pub(in crate::pages::changes) stock: Vec<StockTold>,
    pub(in crate::pages::changes) documents: Vec<DocumentRow>,
    pub(in crate::pages::changes) remarks: Vec<RemarkRow>,
    pub(in crate::pages::changes) enclosures: Vec<EnclosureRow>,
    /// Where a remark and a file are sent, for who may.
    pub(in crate::pages::changes) remark: Option<String>,
    pub(in crate::pages::changes) enclose: Option<String>,
}

/// One level and its number.
#[derive(Serialize)]
pub(in crate::pages::changes) struct NumberRow {
    pub(in crate::pages::changes) part_no: String,
    pub(in crate::pages::changes) name: String,
    pub(in crate::pages::changes) level: String,
    pub(in crate::pages::changes) same: &'static str,
    pub(in crate::pages::changes) number: String,
    pub(in crate::pages::changes) words: Option<String>,
}

/// Stock that it reaches.
#[derive(Serialize)]
pub(in crate::pages::changes) struct StockTold {
    pub(in crate::pages::changes) part_no: String,
    pub(in crate::pages::changes) revision: String,
    pub(in crate::pages::changes) side: &'static str,
    pub(in crate::pages::changes) in_store: String,
    pub(in crate::pages::changes) on_issue: String,
}

/// A document that it alters.
#[derive(Serialize)]
pub(in crate::pages::changes) struct DocumentRow {
    pub(in crate::pages::changes) kind: String,
    pub(in crate::pages::changes) number: String,
    pub(in crate::pages::changes) revision: String,
    pub(in crate::pages::changes) note: String,
}

/// A remark.
#[derive(Serialize)]
pub(in crate::pages::changes) struct RemarkRow {
    pub(in crate::pages::changes) mark: String,
    pub(in crate::pages::changes) what: String,
    pub(in crate::pages::changes) by: String,
    pub(in crate::pages::changes) date: String,
}

/// A file in the sheet.
#[derive(Serialize)]
pub(in crate::pages::changes) struct EnclosureRow {
    pub(in crate::pages::changes) name: String,
    pub(in crate::pages::changes) address: String,
    pub(in crate::pages::changes) size: String,
    pub(in crate::pages::changes) digest: String,
    pub(in crate::pages::changes) told: String,
}

impl ArguedRows {
    pub(in crate::pages::changes) fn new(actor: &Actor, view: &RecordView) -> Self {
        let ArguedView { never_restored, part_numbers_signed, .. } = &view.argued;
        let base = address::change(&view.change_no);
        let may_add = view.written.is_some() && may(actor, &Act::RemarkOnChange).is_ok();
        Self {
            numbers: numbers(&view.argued),
            rule: reidentification::SOURCE.to_owned(),
            never: (!never_restored.is_empty())
                .then(|| format!("Nothing above {} restores interchangeability.", never_restored.join(", "))),
            signed: part_numbers_signed
                .as_ref()
                .map(|(name, at)| format!("Signed {name}, {}", format::moment(*at))),
            assemblies: assemblies(&view.argued),
            stock: stock(&view.argued),
            documents: documents(&view.argued),
            remarks: remarks(&view.argued),
            enclosures: enclosures(&base, &view.argued),
            remark: may_add.then(|| format!("{base}/remark")),
            enclose: may_add.then(|| format!("{base}/enclosure")),
        }
    }
}

fn numbers(view: &ArguedView) -> Vec<NumberRow> {
    let number = |new| if new { "new number" } else { "keeps its number" };
    let rows = view.part_numbers.iter().map(|level| NumberRow {
        part_no: level.part_no.clone(),
        name: level.name.clone(),
        level: match level.height {
            0 => "the changed part".to_owned(),
            1 => "next higher assembly".to_owned(),
            height => format!("{height} levels up"),
        },
        same: match level.interchangeable {
            Some(true) => "exchanges",
            Some(false) => "does not exchange",
            None => "not answered",
        },
        number: match (level.new_number_decided, level.new_number_proposed) {
            (Some(decided), _) if level.otherwise => {
                format!("{}, against the rule", format::titled(number(decided)))
            }
            (Some(decided), _) => format::titled(number(decided)),
            (None, Some(proposed)) => format!("The rule proposes: {}", number(proposed)),
            (None, None) => "open".to_owned(),
        },
        words: level.words.clone(),
    });
    rows.collect()
}

fn assemblies(view: &ArguedView) -> Vec<String> {
    let said = view.assemblies.iter().map(|row| {
        let up = if row.height == 1 { String::new() } else { format!(", {} levels up", row.height) };
        format!("{} {}{up}", row.part_no, row.name.to_lowercase())
    });
    said.collect()
}

fn stock(view: &ArguedView) -> Vec<StockTold> {
    let rows = view.stock.iter().map(|row| StockTold {
        part_no: row.part_no.clone(),
        revision: row.revision.clone().unwrap_or_else(|| "lot not known".into()),
        side: match row.has_change {
            Some(true) => "with the change",
            Some(false) => "without it",
            None => "not told",
        },
        in_store: format::count(row.in_store),
        on_issue: format::count(row.on_issue),
    });
    rows.collect()
}

fn documents(view: &ArguedView) -> Vec<DocumentRow> {
    let rows = view.documents.iter().map(|row| DocumentRow {
        kind: format::titled(row.kind),
        number: row.number.clone(),
        revision: row.revision.clone().unwrap_or_else(|| "none".into()),
        note: row.note.clone().unwrap_or_default(),
    });
    rows.collect()
}

fn remarks(view: &ArguedView) -> Vec<RemarkRow> {
    let rows = view.remarks.iter().enumerate().map(|(at, row)| RemarkRow {
        mark: format!("R{}", at + 1),
        what: row.words.clone(),
        by: row.by.clone(),
        date: format::date(row.at.date_naive()),
    });
    rows.collect()
}

fn enclosures(base: &str, view: &ArguedView) -> Vec<EnclosureRow> {
    let rows = view.enclosures.iter().map(|row| EnclosureRow {
        name: row.name.clone(),
        address: format!("{base}/enclosure/{}", row.id),
        size: match row.size {
            0..1024 => format!("{} bytes", format::count(row.size)),
            size => format!("{} kB", format::count(size.div_ceil(1024))),
        },
        digest: row.sha256.chars().take(12).collect(),
        told: format!("{}, {}", row.by, format::date(row.at.date_naive())),
    });
    rows.collect()
}
