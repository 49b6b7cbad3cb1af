//! A notice to units: what changes, from which lot, what to do with stock.

use documents::{Block, Kind};

use super::blocks;
use crate::format;
use crate::pages::changes::load::Loaded;
use crate::pages::changes::sheet;
use crate::pages::changes::view::RecordView;
use crate::paper::Draft;

/// The notice as the change stands.
pub(super) fn draft(loaded: &Loaded, note: Option<&'static str>) -> Draft {
    let view = loaded.view();
    let written = view.written.as_ref();
    let mut body = vec![Block::Lead { text: lead(&view) }, Block::heading("What changes")];
    body.extend(blocks::words(written.map_or("", |written| &written.description)));
    body.push(Block::heading("From which lot"));
    body.push(lots(&view));
    body.push(Block::heading("What to do with what you hold"));
    body.push(Block::Steps { steps: steps(&view) });
    let told = written.and_then(|written| written.retrofit_note.clone());
    body.extend(told.map(|told| Block::said("From the engineer:", told)));
    body.extend(blocks::cautions());
    let mut title_block = sheet::title_block(&view, loaded.after.holder.as_deref());
    title_block.title = format!("{} {}: {}", view.part_no, view.part_name, view.title);
    Draft {
        kind: Kind::Notice,
        body,
        title_block,
        what: "Notice to units",
        note,
        as_of: loaded.picture.analysis.as_of,
    }
}

fn lead(view: &RecordView) -> String {
    let modes: Vec<String> = view.modes.iter().map(|(_, name)| name.to_lowercase()).collect();
    let against =
        if modes.is_empty() { String::new() } else { format!(" It is meant to end: {}.", modes.join(", ")) };
    format!(
        "The {} (part {}) changes from revision {} to revision {}.{against}",
        view.part_name.to_lowercase(),
        view.part_no,
        view.from_revision,
        view.to_revision,
    )
}

/// What was done, else what was approved, else what is proposed.
fn lots(view: &RecordView) -> Block {
    let stages = ["accomplished", "approved", "proposed"];
    let found = stages.into_iter().find_map(|stage| blocks::effectivity(view, &[stage]));
    found.unwrap_or_else(|| Block::paragraph("No lot or date is set yet; you will be told."))
}

fn steps(view: &RecordView) -> Vec<(String, String)> {
    let step = |word: &str, rest: &str| (word.to_owned(), rest.to_owned());
    let retrofit = view.written.as_ref().and_then(|written| written.retrofit);
    let mut steps =
        vec![step("Look", "at the lot number on the label: the table above says which lots are new.")];
    steps.extend(match retrofit {
        Some("run_out") => vec![step(
            "Go on using",
            "sound items of earlier lots until they wear out. New lots follow by themselves.",
        )],
        Some("on_return") => vec![
            step("Go on using", "sound items of earlier lots."),
            step("Send them in", "when they would come back anyway: the change is made then."),
        ],
        Some("recall_all") => vec![
            step("Set aside", "every item of an earlier lot, and every item whose label can't be read."),
            step("Send them in", "as your store directs. Don't make the change yourselves."),
        ],
        _ => vec![step("Wait", "for word on items of earlier lots; that is not decided yet.")],
    });
    steps.push(step(
        "Report",
        "every failure, of old lots and of new: only so is it seen whether the change works.",
    ));
    steps.push((
        "Don't alter".into(),
        format!(
            "the {} in the field.",
            format::sentence(&view.part_name).to_lowercase().trim_end_matches('.')
        ),
    ));
    steps
}
