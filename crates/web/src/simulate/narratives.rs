//! A report in a unit's own words, put together from a small grammar: who speaks, what failed, when, what then.

use super::dice::Dice;
use super::phrases::phrases_of;
use crate::format::titled;

/// Who speaks.
pub(super) struct Voice {
    /// Which way of writing: terse, plain, chatty, form.
    pub(super) style: usize,
    /// What the unit's people do.
    pub(super) work: &'static [&'static str],
    /// What they call the component.
    pub(super) calls: &'static [&'static str],
    /// The item's name.
    pub(super) item: &'static str,
}

const OPENINGS: &[&str] = &[
    "",
    "",
    "",
    "Again: ",
    "Second one this season. ",
    "Handed in by a crew member. ",
    "Noticed at the kit check. ",
    "For information: ",
];
const CONTEXTS: &[&str] = &[
    "during {w}",
    "on the way back from {w}",
    "halfway through {w}",
    "after a day of {w}",
    "while getting ready for {w}",
    "in the rain, {w}",
    "first time out for {w} this month",
];
const ENDINGS: &[&str] = &[
    "",
    "",
    "",
    "Taped it for now.",
    "Put aside with a tag.",
    "Used the spare one instead.",
    "Nobody hurt.",
    "Photo to follow.",
    "Please say if others have this.",
    "Had to stop and sort it out.",
    "Still works if you hold it.",
    "The one next to it looks fine.",
    "Salt water every day, so no wonder maybe.",
    "It was issued here new.",
];
const CHATTY: &[&str] = &[
    "Not happy with this.",
    "The lads say theirs are going the same way.",
    "I only had a minute to look.",
    "Cold hands, bad light, so that is all I saw.",
    "Could you make it stronger?",
];
const FOUND: &[(&str, &str)] = &[
    ("after_wash", "seen when it came out of the wash"),
    ("in_repair", "seen on the mending bench"),
    ("turn_in", "seen at the counter when it was handed back"),
    ("fitting", "seen while putting it on"),
    ("inspection", "seen when we went through the shelf"),
    ("on_receipt", "like this straight out of the wrapping"),
];

/// Tells of a failure.
pub(super) fn tell(dice: &mut Dice, voice: &Voice, mode: &str, quantity: u32, found_when: &str) -> String {
    let named = if dice.chance(0.62) { format!("the {}", dice.pick(voice.calls)) } else { "it".to_owned() };
    let what = dice.pick(phrases_of(mode)).replace("{p}", &named);
    let when = match FOUND.iter().find(|found| found.0 == found_when) {
        Some(found) => found.1.to_owned(),
        None => dice.pick::<&str>(CONTEXTS).replace("{w}", dice.pick::<&str>(voice.work)),
    };
    let ending = *dice.pick(ENDINGS);
    let many = if quantity > 1 { format!("{quantity} of them on the same day.") } else { String::new() };
    let text = match voice.style {
        0 => format!("{what}{}", if dice.chance(0.5) { format!(" {when}") } else { String::new() }),
        1 => format!("{}{}, {when}. {ending} {many}", dice.pick(OPENINGS), titled(&what)),
        2 => {
            let (first, last) = (titled(&when), *dice.pick(CHATTY));
            format!("{first} {what}. {ending} {many} {last}")
        }
        _ => format!("Item: {}. Fault: {what}. When: {when}. {many}", voice.item),
    };
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let haste = [0.45, 0.12, 0.35, 0.05][voice.style.min(3)];
    if dice.chance(haste) { hurried(dice, &text) } else { text }
}

/// Typed in haste: small letters, a slip of the finger or two.
fn hurried(dice: &mut Dice, text: &str) -> String {
    let mut letters: Vec<char> = text.to_lowercase().chars().collect();
    for _ in 0..=dice.below(2) {
        let place = dice.below(letters.len().saturating_sub(2)) + 1;
        match dice.below(4) {
            0 => {
                letters.remove(place.min(letters.len() - 1));
            }
            1 => letters.insert(place, letters[place.min(letters.len() - 1)]),
            2 if place + 1 < letters.len() => letters.swap(place, place + 1),
            _ => {
                if let Some(end) = letters.iter().position(|&letter| letter == '.') {
                    letters.remove(end);
                }
            }
        }
        if letters.len() < 4 {
            break;
        }
    }
    letters.into_iter().collect()
}
