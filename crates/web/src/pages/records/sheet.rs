//! A record's sheet: what it says in sections of names and values, what may be done with it, its title block.

use serde::Serialize;

use crate::templates::Page;
use crate::view::{Place, Shell, TitleBlock};

/// The page.
#[derive(Serialize)]
pub struct RecordSheet {
    shell: Shell,
    heading: String,
    lead: String,
    /// Something that could hurt somebody, said first.
    harm: Option<String>,
    sections: Vec<Section>,
    steps: Vec<(&'static str, String)>,
    title_block: TitleBlock,
}

/// One section.
#[derive(Serialize)]
pub struct Section {
    head: &'static str,
    paragraphs: Vec<String>,
    pairs: Vec<Pair>,
}

/// A name with its value, which may lead somewhere.
#[derive(Serialize)]
pub struct Pair {
    name: &'static str,
    words: String,
    address: Option<String>,
}

impl Pair {
    /// A value that leads nowhere.
    pub(crate) fn new(name: &'static str, words: impl Into<String>) -> Self {
        Self { name, words: words.into(), address: None }
    }

    /// A value that leads to a page.
    pub(crate) fn to(self, address: Option<String>) -> Self {
        Self { address, ..self }
    }
}

impl Section {
    /// Names and values.
    pub(crate) fn pairs(head: &'static str, pairs: Vec<Pair>) -> Self {
        Self { head, paragraphs: Vec::new(), pairs }
    }

    /// Words, a paragraph a line.
    pub(crate) fn words(head: &'static str, words: &str) -> Self {
        let lines = words.lines().map(str::trim).filter(|line| !line.is_empty());
        Self { head, paragraphs: lines.map(str::to_owned).collect(), pairs: Vec::new() }
    }
}

impl RecordSheet {
    /// A sheet without sections yet.
    pub(crate) fn new(
        shell: Shell,
        heading: impl Into<String>,
        lead: impl Into<String>,
        title_block: TitleBlock,
    ) -> Self {
        let (heading, lead) = (heading.into(), lead.into());
        Self { shell, heading, lead, harm: None, sections: Vec::new(), steps: Vec::new(), title_block }
    }

    /// What could hurt somebody.
    pub(crate) fn harm(self, harm: Option<String>) -> Self {
        Self { harm, ..self }
    }

    /// One section more.
    pub(crate) fn section(mut self, section: Section) -> Self {
        self.sections.push(section);
        self
    }

    /// What may be done with it: words and address.
    pub(crate) fn steps(self, steps: Vec<(&'static str, String)>) -> Self {
        Self { steps, ..self }
    }
}

impl Page for RecordSheet {
    const TEMPLATE: &'static str = "pages/records/sheet";

    fn samples() -> Vec<Self> {
        let sheet = || {
            let shell = Shell::sample("Instruction I-2026-001", Place::Instructions);
            Self::new(shell, "Stop using it", "RC-100, lot TB-0418", TitleBlock::sample())
        };
        let pairs = || {
            vec![
                Pair::new("From", "3 Mar 2026"),
                Pair::new("Change", "2026-014").to(Some("/changes/2026-014".into())),
            ]
        };
        let whole = sheet().section(Section::words("What to do", "Hand it in.\n\nTake another."));
        let whole = whole.section(Section::pairs("When", pairs())).harm(Some("Nobody uses it.".into()));
        vec![sheet(), whole.steps(vec![("Withdraw it", "/instructions/I-2026-001/withdraw".into())])]
    }
}
