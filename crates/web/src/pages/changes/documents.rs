//! The record's documents on its page: what can be read, and what may leave the house.

use domain::language::Language;
use domain::permission::{Act, Actor, may};
use domain::published::{DocumentKind, may_leave};
use serde::Serialize;

use super::load::Loaded;
use crate::address;
use crate::format;

/// Documents of a change, with the file's last part of the address and what it is for.
const FILES: [(DocumentKind, &str, &str); 3] = [
    (DocumentKind::ChangeRecord, "record", "every section, as many sheets as it takes"),
    (DocumentKind::BoardSummary, "summary", "one sheet for the meeting"),
    (DocumentKind::FieldingNotice, "notice", "what changes, from which lot, what to do with stock"),
];

/// The section.
#[derive(Serialize)]
pub(super) struct Documents {
    files: Vec<File>,
    publish: Option<String>,
    choices: Vec<(&'static str, String)>,
    not_yet: Option<String>,
    json: String,
}

#[derive(Serialize)]
struct File {
    address: String,
    word: String,
    what: &'static str,
    /// The same in other languages: what they are called, and the file.
    others: Vec<[String; 2]>,
}

/// What units read can be had in their languages.
fn others(kind: DocumentKind, address: &str) -> Vec<[String; 2]> {
    let others = Language::ALL.iter().filter(|language| **language != Language::English);
    let other =
        |language: &Language| [language.own_name().to_owned(), format!("{address}?in={}", language.word())];
    if kind == DocumentKind::FieldingNotice { others.map(other).collect() } else { Vec::new() }
}

impl Documents {
    pub(super) fn new(actor: &Actor, loaded: &Loaded) -> Self {
        let base = address::change(&loaded.record.change.change_no);
        let files = FILES.iter().filter(|_| cfg!(feature = "pdf")).map(|(kind, part, what)| File {
            others: others(*kind, &format!("{base}/{part}.pdf")),
            address: format!("{base}/{part}.pdf"),
            word: format::titled(kind.word()),
            what,
        });
        let leaves = |kind| may_leave(kind, loaded.state());
        let publishes = cfg!(feature = "pdf") && may(actor, &Act::Publish).is_ok();
        let choices = FILES.iter().filter(|(kind, ..)| leaves(*kind).is_ok());
        Self {
            files: files.collect(),
            publish: publishes.then(|| format!("{base}/publish")),
            choices: choices.map(|(kind, ..)| (kind.word(), format::titled(kind.word()))).collect(),
            not_yet: leaves(DocumentKind::FieldingNotice)
                .err()
                .filter(|_| publishes)
                .map(|why| format::sentence(&why.to_string())),
            json: format!("{base}/json"),
        }
    }
}
