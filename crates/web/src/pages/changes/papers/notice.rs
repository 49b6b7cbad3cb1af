//! A notice to units: what changes, from which lot, what to do with stock.

use documents::{Block, Kind};
use domain::caution::Caution;

use super::blocks::{self, Lines};
use super::stops::Stops;
use crate::format;
use crate::pages::changes::load::Loaded;
use crate::pages::changes::sheet;
use crate::pages::changes::view::{EffectivityView, RecordView};
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
    body.push(lots(blocks::in_force(&view, tongue), tongue));
    body.push(Block::heading(tongue.say("fielding-do")));
    body.push(Block::Steps { steps: steps(&view, stops, tongue) });
    let told = written.and_then(|written| written.retrofit_note.clone());
    body.extend(told.map(|told| Block::said(tongue.say("fielding-engineer"), told)));
    body.push(Block::heading(tongue.say("fielding-cautions")));
    body.push(paper::cautions_in(tongue, Caution::ALL));
    let mut title_block = sheet::title_block_in(tongue, &view, loaded.after.holder.as_deref());
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

fn lots(lines: Lines, tongue: Tongue) -> Block {
    blocks::effectivity(tongue, lines).unwrap_or_else(|| Block::paragraph(tongue.say("fielding-no-lots")))
}

/// What to look at on a label: a lot where the table names one, else the date of making. Nothing where it has neither.
fn look(view: &RecordView) -> Option<&'static str> {
    let named = |line: &EffectivityView| line.from_lot.is_some() || line.to_lot.is_some();
    let shown = || blocks::lines_in_force(view);
    let by_lot = shown().any(named);
    let by_date = shown().any(|line| !named(line) && line.from_date.is_some());
    match (by_lot, by_date) {
        (true, true) => Some("fielding-look-both"),
        (true, false) => Some("fielding-look-how"),
        (false, true) => Some("fielding-look-date"),
        (false, false) => None,
    }
}

fn steps(view: &RecordView, stops: &Stops, tongue: Tongue) -> Vec<(String, String)> {
    let step = |word: &str, rest: &str| (tongue.say(word), tongue.say(rest));
    let go_on = |rest: &str| {
        let (word, rest) = step("fielding-go-on", rest);
        let but = (!stops.is_empty()).then(|| tongue.say("fielding-stop-but"));
        (word, but.map_or_else(|| rest.clone(), |but| format!("{rest} {but}")))
    };
    let retrofit = view.written.as_ref().and_then(|written| written.retrofit);
    let mut steps: Vec<_> = look(view).map(|how| step("fielding-look", how)).into_iter().collect();
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

    /// The table of the first says `all makers, by date, 28 Mar 2026`, and no lot.
    #[test]
    fn units_look_at_the_date_of_making_where_no_lot_is_named_and_nowhere_where_nothing_is() {
        let line = |lot: Option<&str>, day| EffectivityView {
            stage: "approved",
            maker: None,
            from_lot: lot.map(Into::into),
            to_lot: None,
            share_new: 1.0,
            from_date: day,
        };
        let day = chrono::NaiveDate::from_ymd_opt(2026, 3, 28);
        let mut view = sample::loaded().remove(5).view();
        let mut told = |lines: Vec<EffectivityView>| {
            view.effectivity = lines;
            let steps = steps(&view, &Stops::default(), Tongue::ENGLISH);
            steps.into_iter().find(|(word, _)| word == "Look").map(|(_, rest)| rest).unwrap_or_default()
        };
        let by_date = told(vec![line(None, day)]);
        assert!(by_date.contains("date of making") && !by_date.contains("lot number"), "{by_date}");
        assert!(by_date.contains("the lots will be named"), "{by_date}");
        let by_lot = told(vec![line(Some("TB-0420"), day)]);
        assert!(by_lot.contains("lot number") && !by_lot.contains("date of making"), "{by_lot}");
        let by_both = told(vec![line(Some("TB-0420"), None), line(None, day)]);
        assert!(by_both.contains("lot number") && by_both.contains("date of making"), "{by_both}");
        assert_eq!((told(vec![line(None, None)]), told(Vec::new())), (String::new(), String::new()));
    }
}
