//! Texts as paper can show them: every letter drawn by a font of the program, no word wider than a cell.

use serde_json::Value;

/// Letters of a word after which it may be broken, where nothing else lets it.
const LONGEST: usize = 22;
/// Shown for a letter that no font holds.
const UNKNOWN: char = '\u{25a1}';
/// Where a word may be broken without a sign.
const BREAK: char = '\u{200b}';

/// Makes every text of a document fit; `holds` says whether a font has a letter.
pub(crate) fn fit(value: &mut Value, holds: &impl Fn(char) -> bool) {
    match value {
        Value::String(text) => *text = breakable(&drawable(text, holds)),
        Value::Array(all) => all.iter_mut().for_each(|one| fit(one, holds)),
        Value::Object(fields) => {
            let is_code = fields.get("code") == Some(&Value::Bool(true));
            for (name, field) in fields.iter_mut() {
                match field {
                    Value::String(text) if stays_whole(name, is_code) => *text = drawable(text, holds),
                    other => fit(other, holds),
                }
            }
        }
        Value::Null | Value::Bool(_) | Value::Number(_) => {}
    }
}

/// A drawing's words are placed by the drawing, and never broken. Numbers and digests are copied out of the file and looked
/// up elsewhere, where a letter that nobody sees makes another number of them: the templates break them into lines.
fn stays_whole(name: &str, is_code: bool) -> bool {
    matches!(name, "svg" | "number") || is_code && name == "text"
}

fn drawable(text: &str, holds: &impl Fn(char) -> bool) -> String {
    let shown = |letter: char| match letter {
        _ if letter.is_whitespace() && letter != '\u{a0}' => Some(' '),
        // Archives take no letters that mean something to one maker's fonts only.
        '\u{e000}'..='\u{f8ff}' | '\u{f0000}'.. => Some(UNKNOWN),
        _ if holds(letter) => Some(letter),
        _ if letter.is_control() || is_unseen(letter) => None,
        _ => Some(UNKNOWN),
    };
    text.chars().filter_map(shown).collect()
}

/// Letters that only change how others look or run.
const fn is_unseen(letter: char) -> bool {
    matches!(letter, '\u{ad}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}'
        | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' | '\u{e0000}'..='\u{e01ef}')
}

fn breakable(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut run = 0;
    for letter in text.chars() {
        run = if letter.is_whitespace() && letter != '\u{a0}' { 0 } else { run + 1 };
        if run > LONGEST {
            out.push(BREAK);
            run = 1;
        }
        out.push(letter);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plain(letter: char) -> bool {
        letter.is_ascii() && !letter.is_control() || letter == 'ü'
    }

    fn fitted(text: &str) -> String {
        let mut value = serde_json::json!({ "text": text });
        fit(&mut value, &plain);
        value["text"].as_str().unwrap().to_owned()
    }

    #[test]
    fn letters_that_no_font_holds_are_shown_as_such_and_unseen_ones_dropped() {
        assert_eq!(fitted("für\u{ad} #*$\\\"\u{202f}\n\u{0}x"), "für #*$\\\"  x");
        assert_eq!(fitted("\u{1f9d7}\u{200d}\u{2642}\u{fe0f} \u{e001}"), "\u{25a1}\u{25a1} \u{25a1}");
    }

    #[test]
    fn a_word_that_never_ends_can_be_broken_and_others_stay_whole() {
        let long = "x".repeat(LONGEST * 2 + 1);
        assert_eq!(fitted(&long).matches(BREAK).count(), 2);
        assert_eq!(fitted("MIL-HDBK-61 TB-0418"), "MIL-HDBK-61 TB-0418");
    }

    #[test]
    fn a_number_that_is_copied_out_of_the_file_is_the_one_that_was_put_in() {
        let digest = "9f86d081884c7d65".repeat(4);
        let mut value = serde_json::json!({
            "frame": { "number": &digest, "title": &digest },
            "rows": [{ "text": &digest, "code": true, "small": &digest }, { "text": &digest, "code": false }],
        });
        fit(&mut value, &plain);
        assert_eq!(value["frame"]["number"], digest);
        assert_eq!(value["rows"][0]["text"], digest);
        for broken in [&value["frame"]["title"], &value["rows"][0]["small"], &value["rows"][1]["text"]] {
            assert!(broken.as_str().unwrap().contains(BREAK), "{broken}");
        }
    }

    #[test]
    fn a_drawing_is_not_broken() {
        let svg = format!("<svg>{}</svg>", "y".repeat(90));
        let mut value = serde_json::json!({ "svg": svg });
        fit(&mut value, &plain);
        assert_eq!(value["svg"], svg);
    }
}
