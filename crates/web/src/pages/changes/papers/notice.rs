//! A notice to units: what changes, from which lot, what to do with stock.

use documents::{Block, Kind};
use domain::caution::Caution;

use super::blocks;
use super::stops::Stops;
use crate::format;
use crate::pages::changes::load::Loaded;
use crate::pages::changes::sheet;
use crate::pages::changes::view::RecordView;
use crate::paper::{self, Draft};
use crate::tongue::Tongue;

/// The notice as the change stands, in the tongue of those who get it; what the engineer wrote stays as it was written.
/// What must not be used stands before all else.
pub(super) fn draft(loaded: &Loaded, stops: &Stops, tongue: Tongue, note: Option<&'static str>) -> Draft {
    let view = loaded.view();
    let written = view.written.as_ref();
    let mut body: Vec<Block> = stops.block(tongue, &loaded.picture.field).into_iter().collect();
    body.push(Block::Lead { text: lead(&view, tongue) });
    body.push(Block::heading(tongue.say("fielding-what")));
    body.extend(blocks::words(tongue, written.map_or("", |written| &written.description)));
    body.push(Block::heading(tongue.say("fielding-lots")));
    body.push(lots(&view, tongue));
    body.push(Block::heading(tongue.say("fielding-do")));
    body.push(Block::Steps { steps: steps(&view, stops, tongue) });
    let told = written.and_then(|written| written.retrofit_note.clone());
    body.extend(told.map(|told| Block::said(tongue.say("fielding-engineer"), told)));
    body.push(Block::heading(tongue.say("fielding-cautions")));
    body.push(paper::cautions_in(tongue, Caution::ALL));
    let mut title_block = sheet::title_block(&view, loaded.after.holder.as_deref());
    title_block.title = format!("{} {}: {}", view.part_no, view.part_name, view.title);
    Draft {
        kind: Kind::Notice,
        tongue,
        body,
        title_block,
        what: tongue.say("fielding-title"),
        note,
        as_of: loaded.picture.analysis.as_of,
    }
}

fn lead(view: &RecordView, tongue: Tongue) -> String {
    let part = view.part_name.to_lowercase();
    let part = if tongue == Tongue::ENGLISH { part } else { format::titled(&part) };
    let changes = [
        ("part", part.into()),
        ("number", view.part_no.as_str().into()),
        ("from", view.from_revision.as_str().into()),
        ("to", view.to_revision.as_str().into()),
    ];
    let mut lead = tongue.with("fielding-lead", &changes);
    let modes: Vec<String> = view.modes.iter().map(|(_, name)| name.to_lowercase()).collect();
    if !modes.is_empty() {
        let against = tongue.with("fielding-against", &[("modes", modes.join(", ").into())]);
        lead = format!("{lead} {against}");
    }
    lead
}

/// What was done, else what was approved, else what is proposed.
fn lots(view: &RecordView, tongue: Tongue) -> Block {
    let stages = ["accomplished", "approved", "proposed"];
    let found = stages.into_iter().find_map(|stage| blocks::effectivity(view, tongue, &[stage]));
    found.unwrap_or_else(|| Block::paragraph(tongue.say("fielding-no-lots")))
}

fn steps(view: &RecordView, stops: &Stops, tongue: Tongue) -> Vec<(String, String)> {
    let step = |word: &str, rest: &str| (tongue.say(word), tongue.say(rest));
    let go_on = |rest: &str| {
        let (word, rest) = step("fielding-go-on", rest);
        let but = (!stops.is_empty()).then(|| tongue.say("fielding-stop-but"));
        (word, but.map_or_else(|| rest.clone(), |but| format!("{rest} {but}")))
    };
    let retrofit = view.written.as_ref().and_then(|written| written.retrofit);
    let mut steps = vec![step("fielding-look", "fielding-look-how")];
    steps.extend(match retrofit {
        Some("next_lot") => {
            vec![go_on("fielding-sound-how"), step("fielding-store-aside", "fielding-next-lot-how")]
        }
        Some("run_out") => vec![go_on("fielding-run-out-how")],
        Some("on_return") => {
            vec![go_on("fielding-sound-how"), step("fielding-send-in", "fielding-on-return-how")]
        }
        Some("recall_all") => vec![
            step("fielding-aside", "fielding-aside-how"),
            step("fielding-send-in", "fielding-recall-how"),
        ],
        _ => vec![step("fielding-wait", "fielding-wait-how")],
    });
    steps.push(step("fielding-report", "fielding-report-how"));
    let part = view.part_name.to_lowercase();
    let leave = tongue.with("fielding-leave-how", &[("part", part.trim_end_matches('.').into())]);
    steps.push((tongue.say("fielding-leave"), leave));
    steps
}

#[cfg(test)]
mod tests {
    use domain::change_record::Retrofit;
    use domain::language::Language;

    use super::*;
    use crate::pages::changes::sample;

    /// Every way to deal with issued items but the one not chosen yet tells units what to do now.
    #[test]
    fn nobody_is_told_to_wait_once_it_is_said_what_becomes_of_issued_items() {
        let mut loaded = sample::loaded().remove(5);
        for (language, wait, aside) in [
            (Language::English, "Wait", "unissued items of earlier lots"),
            (Language::German, "Warten Sie", "nicht ausgegebene Gegenstände früherer Lose"),
            (Language::French, "Attendez", "qui ne sont pas encore remis"),
        ] {
            let mut told = |retrofit| {
                loaded.record.body.as_mut().expect("a record").retrofit = retrofit;
                steps(&loaded.view(), &Stops::default(), Tongue::of(language))
            };
            let waits = |steps: &[(String, String)]| steps.iter().any(|(word, _)| word == wait);
            for &retrofit in Retrofit::ALL {
                assert!(!waits(&told(Some(retrofit))), "{retrofit} in {language:?}");
            }
            assert!(waits(&told(None)), "{language:?}");
            let next_lot = told(Some(Retrofit::NextLot));
            assert!(next_lot.iter().any(|(_, rest)| rest.contains(aside)), "{next_lot:?}");
            assert_eq!(next_lot.len(), told(Some(Retrofit::OnReturn)).len(), "go on, and see to the store");
        }
    }
}
