//! What a reporter makes of a lot label: read, read wrongly, or not read at all.

use super::dice::Dice;

/// The label as reported.
pub(super) struct Label {
    /// The text, as typed.
    pub(super) text: String,
    /// read, unreadable, absent or not_looked.
    pub(super) known: &'static str,
    /// Whether the text doesn't give the lot as it stands.
    pub(super) is_bad: bool,
}

/// How the bad labels share out: unreadable, absent, not looked for, mistyped.
pub(super) const BAD: [f64; 4] = [0.30, 0.20, 0.20, 0.30];

/// Chance of a bad label: it fades with service, from half to twice the mean.
pub(super) fn bad_share(mean: f64, served_days: i32) -> f64 {
    (mean * (0.5 + 0.3 * f64::from(served_days) / 365.25).clamp(0.5, 2.0)).min(1.0)
}

/// What the reporter makes of the label of `lot_no`.
pub(super) fn read(dice: &mut Dice, mean: f64, lot_no: &str, served_days: i32) -> Label {
    if !dice.chance(bad_share(mean, served_days)) {
        return Label { text: manner(dice, lot_no), known: "read", is_bad: false };
    }
    match dice.weighted(&BAD) {
        0 => {
            let rest = if dice.chance(0.4) {
                format!("..{}", &lot_no[lot_no.len().saturating_sub(2)..])
            } else {
                String::new()
            };
            Label { text: rest, known: "unreadable", is_bad: true }
        }
        1 => Label { text: String::new(), known: "absent", is_bad: true },
        2 => Label { text: String::new(), known: "not_looked", is_bad: true },
        _ => Label { text: mistype(dice, lot_no), known: "read", is_bad: true },
    }
}

/// Right, but now and then in another way of writing.
fn manner(dice: &mut Dice, lot_no: &str) -> String {
    match dice.weighted(&[0.86, 0.05, 0.05, 0.04]) {
        0 => lot_no.to_owned(),
        1 => lot_no.to_lowercase(),
        2 => lot_no.replace('-', " "),
        _ => lot_no.replace('-', ""),
    }
}

/// A look-alike, a wrong digit, two swapped, or one left out.
fn mistype(dice: &mut Dice, lot_no: &str) -> String {
    const ALIKE: [(char, char); 8] =
        [('0', 'O'), ('O', '0'), ('1', 'I'), ('I', '1'), ('5', 'S'), ('S', '5'), ('8', 'B'), ('B', '8')];
    let mut letters: Vec<char> = lot_no.chars().collect();
    let places: Vec<usize> =
        (0..letters.len()).filter(|&place| letters[place].is_ascii_alphanumeric()).collect();
    let place = *dice.pick(&places);
    match dice.weighted(&[0.35, 0.35, 0.15, 0.15]) {
        0 => {
            let alike =
                letters.iter().position(|letter| ALIKE.iter().any(|pair| pair.0 == *letter)).unwrap_or(place);
            let other = ALIKE.iter().find(|pair| pair.0 == letters[alike]).map_or('7', |pair| pair.1);
            letters[alike] = other;
        }
        1 => letters[place] = *dice.pick(&['2', '3', '4', '6', '7', '9']),
        2 => {
            let next = (place + 1).min(letters.len() - 1);
            letters.swap(place, next);
        }
        _ => {
            letters.remove(place);
        }
    }
    let text: String = letters.into_iter().collect();
    // A swap of two like letters would be no mistake at all.
    if text == lot_no { format!("{lot_no}1") } else { text }
}
