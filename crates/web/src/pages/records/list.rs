//! A list of records of one kind: the number first, then what each noun shows of them.

use serde::Serialize;

use crate::templates::Page;
use crate::view::{Empty, Place, Shell};

/// The page.
#[derive(Serialize)]
pub struct ListPage {
    shell: Shell,
    heading: &'static str,
    lead: String,
    /// Lists of kindred records: words, address, whether it is this one.
    kindred: Vec<(&'static str, &'static str, bool)>,
    add: Option<(&'static str, String)>,
    heads: Vec<&'static str>,
    rows: Vec<Listed>,
    empty: Empty,
}

/// One record.
#[derive(Serialize)]
pub struct Listed {
    /// Its page.
    pub address: String,
    /// Its number.
    pub number: String,
    /// Its cells, in the order of the heads after the first.
    pub cells: Vec<Cell>,
}

/// One cell.
#[derive(Serialize)]
pub struct Cell {
    word: &'static str,
    class: &'static str,
    words: String,
    small: Option<String>,
    harm: bool,
}

impl Cell {
    /// Words under the head of this name.
    pub(crate) fn new(word: &'static str, words: impl Into<String>) -> Self {
        Self { word, class: "", words: words.into(), small: None, harm: false }
    }

    /// In a style: `code`, `date`, `num`.
    pub(crate) fn of(self, class: &'static str) -> Self {
        Self { class, ..self }
    }

    /// A second line, where there is one.
    pub(crate) fn small(self, words: Option<impl Into<String>>) -> Self {
        Self { small: words.map(Into::into), ..self }
    }

    /// As something that could hurt somebody.
    pub(crate) fn harm(self, harm: bool) -> Self {
        Self { harm, ..self }
    }
}

/// Lists that lead to each other.
const KINDRED: [(&str, &str); 4] = [
    ("Instructions", "/instructions"),
    ("Variances", "/variances"),
    ("Makers' cases", "/cases"),
    ("Exhibits", "/exhibits"),
];

impl ListPage {
    /// A list; its heads are those of its rows' cells.
    pub(crate) fn new(
        shell: Shell,
        heading: &'static str,
        lead: impl Into<String>,
        (heads, rows): (&[&'static str], Vec<Listed>),
        empty: Empty,
    ) -> Self {
        Self {
            shell,
            heading,
            lead: lead.into(),
            kindred: KINDRED.map(|(word, address)| (word, address, word == heading)).into(),
            add: None,
            heads: heads.to_vec(),
            rows,
            empty,
        }
    }

    /// What leads to a new record, for who may make one.
    pub(crate) fn add(self, add: Option<(&'static str, String)>) -> Self {
        Self { add, ..self }
    }
}

impl Page for ListPage {
    const TEMPLATE: &'static str = "pages/records/list";

    fn samples() -> Vec<Self> {
        let shell = || Shell::sample("Instructions", Place::Instructions);
        let row = || Listed {
            address: "/instructions/I-2026-001".into(),
            number: "I-2026-001".into(),
            cells: vec![
                Cell::new("Order", "stop use").harm(true),
                Cell::new("From", "3 Mar 2026").of("date").small(Some("9 days")),
            ],
        };
        let empty = || Empty::rest("None.");
        let page = |rows| {
            Self::new(
                shell(),
                "Instructions",
                "In force first.",
                (&["Number", "Order", "From"], rows),
                empty(),
            )
        };
        vec![
            page(Vec::new()),
            page(vec![row()]).add(Some(("Give an instruction", "/instructions/new".into()))),
        ]
    }
}
