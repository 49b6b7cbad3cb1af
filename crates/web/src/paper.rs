//! Documents as PDF: what each carries around its blocks, and how one is written.

use chrono::{NaiveDate, NaiveTime};
use documents::{Block, Caution, Document, Frame, FrameWords, Kind, Paper};
use domain::distribution::{Control, Designation};

use crate::config::DocumentsConfig;
use crate::error::AppError;
use crate::pages::records::FormPage;
use crate::tongue::Tongue;
use crate::view::{Faults, Shell, TitleBlock};

/// The text said on what an engineer looks at before it is published.
pub(crate) const DRAFT: &str = "paper-draft";

/// Asks before a document leaves the house.
pub(crate) fn leaving(shell: Shell, heading: &str, to: String, faults: Faults) -> FormPage {
    FormPage::new(shell, heading, (to, "Publish it"), faults).says(
        "It enters the register for good: the file is kept as it leaves, and its figures stand beside what is known \
         later. Nobody can take it out again.",
    )
}

/// What a document is made from.
pub(crate) struct Draft {
    /// Which template.
    pub kind: Kind,
    /// What it is written in.
    pub tongue: Tongue,
    /// Its blocks.
    pub body: Vec<Block>,
    /// What its title block says.
    pub title_block: TitleBlock,
    /// What kind of paper it is, in words.
    pub what: String,
    /// The text said beside that.
    pub note: Option<&'static str>,
    /// The day whose books its figures are of.
    pub as_of: NaiveDate,
}

/// The document in the frame that the settings ask for.
pub(crate) fn framed(config: &DocumentsConfig, draft: Draft) -> Document {
    let Draft { kind, tongue, body, title_block: block, what, note, as_of } = draft;
    let Control { marking, distribution, designation } = config.control.clone();
    Document {
        kind,
        ident: format!("{what} {}", block.number),
        // The day, not the moment: reading the same books twice a day must give the same file.
        at: as_of.and_time(NaiveTime::MIN).and_utc(),
        language: tongue.language().word().to_owned(),
        frame: Frame {
            words: words(tongue),
            what,
            number: block.number,
            title: block.title,
            revision: block.revision,
            state: block.state,
            owner: block.owner,
            dates: block.dates,
            note: note.map(|text| tongue.say(text)),
            top: marking.top,
            bottom: marking.bottom,
            designation: designation.map(designated).unwrap_or_default(),
            distribution: distribution.map(|statement| statement.statement()),
            paper: if config.is_letter { Paper::Letter } else { Paper::A4 },
        },
        body,
    }
}

/// What the frame's fields are called.
fn words(tongue: Tongue) -> FrameWords {
    FrameWords {
        title: tongue.say("frame-title"),
        number: tongue.say("frame-number"),
        sheet: tongue.say("frame-sheet"),
        of: tongue.say("frame-of"),
        state: tongue.say("frame-state"),
        revision: tongue.say("frame-revision"),
        owner: tongue.say("frame-owner"),
        marking: tongue.say("frame-marking"),
        unmarked: tongue.say("frame-unmarked"),
    }
}

fn designated(block: Designation) -> Vec<(String, String)> {
    let Designation { controlled_by, category, limited, contact } = block;
    let mut lines = vec![("Controlled by".to_owned(), controlled_by), ("Category".to_owned(), category)];
    lines.extend(limited.map(|limit| ("Limited to".to_owned(), limit)));
    lines.push(("Contact".to_owned(), contact));
    lines
}

/// Cautions as a block.
pub(crate) fn cautions(cautions: impl IntoIterator<Item = domain::caution::Caution>) -> Block {
    cautions_in(Tongue::ENGLISH, cautions)
}

/// ... for units, in their tongue.
pub(crate) fn cautions_in(
    tongue: Tongue,
    cautions: impl IntoIterator<Item = domain::caution::Caution>,
) -> Block {
    as_shown(tongue, crate::view::Caution::told(tongue, cautions))
}

/// Cautions as a page shows them.
pub(crate) fn as_shown(tongue: Tongue, cautions: Vec<crate::view::Caution>) -> Block {
    let one = |caution: crate::view::Caution| {
        let word = tongue.say(if caution.harm { "caution" } else { "note" });
        Caution { word, harm: caution.harm, words: caution.words }
    };
    Block::Cautions { cautions: cautions.into_iter().map(one).collect() }
}

/// A chart of a page, for paper.
pub(crate) fn chart(drawing: &crate::charts::Drawing) -> documents::Chart {
    documents::Chart::new(drawing.as_str())
}

/// The file, written beside the readers of pages.
pub(crate) async fn written(document: Document) -> Result<Vec<u8>, AppError> {
    let file = tokio::task::spawn_blocking(move || documents::pdf(&document)).await;
    file.map_err(AppError::inside)?.map_err(AppError::inside)
}
