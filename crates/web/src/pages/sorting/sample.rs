//! Invented sheets for the template's test.

use domain::suggestion::Basis;

use super::guess::{Earlier, Guess, UNKNOWN};
use super::sheet::{Form, SortPage, learned_from};
use super::typed::Typed;
use crate::templates::Page;
use crate::view::{Choice, Choices, Clock, Overtaken, Place, Select, Shell};

fn guess(key: usize, lot: &str) -> Guess {
    let (part, mode) = if lot.is_empty() { ("RC-131", "ZIP-1") } else { ("", "") };
    Guess {
        key,
        says: if lot.is_empty() { "ZIP-1 Chain split".into() } else { lot.into() },
        why: "62 %, 14 earlier reports".into(),
        part: part.into(),
        mode: mode.into(),
        lot: lot.into(),
        address: "/sorting/K7M4-RT9X?part=RC-131&mode=ZIP-1".into(),
    }
}

fn earlier() -> Earlier {
    Earlier {
        address: "/sorting/R2".into(),
        report_ref: "R2".into(),
        sorted: "RC-131 ZIP-1".into(),
        story: "split".into(),
        chance: None,
    }
}

impl Page for SortPage {
    const TEMPLATE: &'static str = "pages/sorting/sheet";

    fn samples() -> Vec<Self> {
        let page = |full: bool| {
            let typed = Typed::default();
            let wrong = |id: &str| (full && id == "mode").then(|| "Choose how it failed.".to_owned());
            let form = Form { typed: &typed, problem: &wrong };
            let some = |text: &str| if full { vec![text.to_owned()] } else { Vec::new() };
            let zip =
                vec![("Slide fastener".to_owned(), vec![Choice::new("ZIP-1", "ZIP-1 Chain split", false)])];
            Self {
                shell: Shell::sample("Sort K7M4-RT9X", Place::Sorting),
                action: "/sorting/K7M4-RT9X".into(),
                report_ref: "K7M4-RT9X".into(),
                unit: "COVE-2".into(),
                done: full.then(|| ("/sorting/R1".into(), "R1".into(), 41)),
                shown: 42,
                overtaken: full.then(Overtaken::sample),
                clock: full.then(|| Clock::sample(true)),
                facts: vec![("found".into(), "3 Mar 2026".into())],
                story: vec![("my ".into(), false), ("zip split".into(), true)],
                learned_from: learned_from(Basis { confirmed: usize::from(full), starters: 3 }),
                modes: if full { vec![guess(1, "")] } else { Vec::new() },
                words_say: full.then(|| UNKNOWN.to_owned()),
                lots: if full { vec![guess(2, "TB-0418")] } else { Vec::new() },
                photos: some("/sorting/K7M4-RT9X/photo/1"),
                alike: if full { vec![earlier()] } else { Vec::new() },
                doubles: if full {
                    vec![earlier(), Earlier { chance: Some("92 %".into()), ..earlier() }]
                } else {
                    Vec::new()
                },
                heard: some("Which side?")
                    .into_iter()
                    .map(|question| (question, "The left.".into(), "4 Mar 2026".into()))
                    .collect(),
                questions: some("Which lot?"),
                answers: some("Your stock is of another lot."),
                can_undo: full,
                part: Select::new("part", "Part", "Choose the part", zip.clone()),
                mode: Select::new("mode", "Mode", "Choose", zip).problem(wrong("mode")),
                sure: full.then(|| Choices::any("sure", "This doesn\u{2019}t fit together", Vec::new())),
                lot: form.text("lot", "Lot", ""),
                relevant: form.yes_no("relevant", "Does it count?", "yes"),
                relevant_reason: form.reason("relevant_reason", "", &["accident"]),
                chargeable: form.yes_no("chargeable", "Against the design?", "no"),
                chargeable_reason: form.reason("chargeable_reason", "", &["made otherwise than drawn"]),
                cause: form.text("cause", "Cause", ""),
                aside: form.text("aside", "Why", ""),
                ask: form.lines("ask", "Question", ""),
                answer: form.lines("answer", "What was found", ""),
            }
        };
        vec![page(false), page(true)]
    }
}
