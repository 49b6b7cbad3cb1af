//! Names, places and numbers struck out of a reporter's words.

/// What stands where something was struck.
pub const STRUCK: &str = "[removed]";

/// Longest run of words that one name can have.
const LONGEST_NAME: usize = 5;

/// The text without the names given, whatever their letters' case, and without addresses of mail, telephone numbers and other
/// numbers of five digits or more; and how many were struck. A name is struck where it stands as words of its own.
pub fn strike(text: &str, names: &[String]) -> (String, u64) {
    let names: Vec<Vec<String>> =
        names.iter().map(|name| plain_words(name)).filter(|name| !name.is_empty()).collect();
    let mut out = String::with_capacity(text.len());
    let mut struck = 0;
    for (at, line) in text.lines().enumerate() {
        if at > 0 {
            out.push('\n');
        }
        struck += strike_line(line, &names, &mut out);
    }
    (out, struck)
}

fn strike_line(line: &str, names: &[Vec<String>], out: &mut String) -> u64 {
    let words: Vec<&str> = line.split_whitespace().collect();
    let plain: Vec<String> = words.iter().map(|word| plain(word)).collect();
    let (mut at, mut struck, mut kept) = (0, 0, Vec::with_capacity(words.len()));
    while at < words.len() {
        let name = (1..=LONGEST_NAME.min(words.len() - at)).rev().find(|&long| {
            let run: Vec<String> = plain[at..at + long].iter().flat_map(|word| plain_words(word)).collect();
            names.contains(&run)
        });
        if let Some(long) = name {
            kept.push(around(words[at], words[at + long - 1]));
            at += long;
            struck += 1;
        } else if is_telling(words[at]) {
            kept.push(around(words[at], words[at]));
            at += 1;
            struck += 1;
        } else {
            kept.push(words[at].to_owned());
            at += 1;
        }
    }
    out.push_str(&kept.join(" "));
    struck
}

/// An address of mail, or a number long enough to lead to somebody: telephone, service number, position.
fn is_telling(word: &str) -> bool {
    let digits = word.chars().filter(char::is_ascii_digit).count();
    word.contains('@') || digits >= 5
}

/// The mark, with the signs that stood before the first word and behind the last.
fn around(first: &str, last: &str) -> String {
    let before: String = first.chars().take_while(|sign| !sign.is_alphanumeric()).collect();
    let behind: Vec<char> = last.chars().rev().take_while(|sign| !sign.is_alphanumeric()).collect();
    format!("{before}{STRUCK}{}", behind.into_iter().rev().collect::<String>())
}

/// A word in small letters without the signs around it.
fn plain(word: &str) -> String {
    word.trim_matches(|sign: char| !sign.is_alphanumeric()).to_lowercase()
}

/// The words of a name; a hyphen parts them as a blank does, so that `Cove 2` is found where `COVE-2` is known.
fn plain_words(name: &str) -> Vec<String> {
    name.split(|sign: char| !sign.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect()
}
