//! Names, places and numbers struck out of a reporter's words.

use std::collections::HashMap;
use std::ops::Range;

/// What stands where something was struck.
pub const STRUCK: &str = "[removed]";

/// Fewest digits of a written word that may lead to somebody: a service number, a position.
const LEAST_IN_A_WORD: usize = 5;
/// Fewest digits of a number written in groups: the shortest telephone numbers have six. With five, the lot and count of
/// `lot 0135 2 pieces` would go.
const LEAST_IN_GROUPS: usize = 6;

/// Names that are to be struck.
#[derive(Debug, Default)]
pub struct Names(HashMap<String, Vec<Vec<String>>>);

impl Names {
    /// Takes names as they are written; one without a letter or digit is none.
    pub fn of<'a>(written: impl IntoIterator<Item = &'a str>) -> Self {
        let mut by_first: HashMap<String, Vec<Vec<String>>> = HashMap::new();
        for name in written {
            let mut plain =
                tokens(name).into_iter().filter(|token| !token.is_possessive).map(|one| one.plain);
            if let Some(first) = plain.next() {
                by_first.entry(first).or_default().push(plain.collect());
            }
        }
        Self(by_first)
    }

    /// Where names stand, each from its first token to its last.
    fn found_in(&self, tokens: &[Token]) -> Vec<Range<usize>> {
        let told: Vec<&Token> = tokens.iter().filter(|token| !token.is_possessive).collect();
        let mut found = Vec::new();
        for (at, first) in told.iter().enumerate() {
            for rest in self.0.get(&first.plain).into_iter().flatten() {
                let behind = &told[at + 1..];
                if behind.len() >= rest.len() && behind.iter().zip(rest).all(|(one, name)| one.plain == *name)
                {
                    found.push(first.at.start..told[at + rest.len()].at.end);
                }
            }
        }
        found
    }
}

/// The text without the names given, addresses of mail and numbers that may lead to somebody; and how many were struck.
///
/// A name is struck where its tokens stand in a row, whatever their letters' case and what stands between them. A token is a
/// run of letters or one of digits, so that `cove2`, `Cove 2` and `COVE-2` are one name; an `s` behind an apostrophe is none.
/// A number is struck where a written word has five digits or more, or where six or more stand in groups parted by single
/// blanks, hyphens, dots or slashes; dates and months with a year of four digits don't count.
pub fn strike(text: &str, names: &Names) -> (String, u64) {
    let text = text.lines().collect::<Vec<_>>().join("\n");
    let tokens = tokens(&text);
    let mut found = names.found_in(&tokens);
    let dates = dates(&text, &tokens);
    let is_counted =
        |token: &Token| token.is_number && !dates.iter().any(|date| date.contains(&token.at.start));
    for word in tokens.chunk_by(|one, next| !between(&text, one, next).contains(char::is_whitespace)) {
        let all = from_to(word);
        if text[..all.start].ends_with('@')
            || text[all.clone()].contains('@')
            || digits(word.iter().filter(|one| is_counted(one))) >= LEAST_IN_A_WORD
        {
            found.push(all);
        }
    }
    let grouped = |one: &Token, next: &Token| {
        is_counted(one) && is_counted(next) && parts_groups(between(&text, one, next))
    };
    for groups in tokens.chunk_by(grouped) {
        if digits(groups.iter().filter(|one| is_counted(one))) >= LEAST_IN_GROUPS {
            found.push(from_to(groups));
        }
    }
    without(&text, found)
}

/// The text with the mark in place of what was found; what overlaps is struck once.
fn without(text: &str, mut found: Vec<Range<usize>>) -> (String, u64) {
    found.sort_by_key(|range| (range.start, range.end));
    let (mut out, mut kept_from, mut struck) = (String::with_capacity(text.len()), 0, 0);
    for range in found {
        if range.start >= kept_from {
            out.push_str(&text[kept_from..range.start]);
            out.push_str(STRUCK);
            struck += 1;
        }
        kept_from = kept_from.max(range.end);
    }
    out.push_str(&text[kept_from..]);
    (out, struck)
}

/// A run of letters or of digits.
#[derive(Debug)]
struct Token {
    /// Where it stands, in bytes.
    at: Range<usize>,
    /// Without regard to case.
    plain: String,
    is_number: bool,
    /// The `s` of `Fell's`.
    is_possessive: bool,
}

fn tokens(text: &str) -> Vec<Token> {
    let mut tokens: Vec<Token> = Vec::new();
    for (start, sign) in text.char_indices().filter(|(_, sign)| sign.is_alphanumeric()) {
        let (end, is_number) = (start + sign.len_utf8(), sign.is_numeric());
        match tokens.last_mut().filter(|last| last.at.end == start && last.is_number == is_number) {
            Some(last) => last.at.end = end,
            None => tokens.push(Token {
                is_possessive: tokens.last().is_some_and(|last| is_apostrophe(&text[last.at.end..start])),
                at: start..end,
                plain: String::new(),
                is_number,
            }),
        }
    }
    for token in &mut tokens {
        // By way of capitals, in which more letters are alike: ß is SS.
        token.plain = text[token.at.clone()].to_uppercase().to_lowercase();
        token.is_possessive &= token.plain == "s";
    }
    tokens
}

fn is_apostrophe(between: &str) -> bool {
    ["'", "\u{2019}", "\u{2bc}", "`", "\u{b4}"].contains(&between)
}

fn from_to(tokens: &[Token]) -> Range<usize> {
    let (first, last) = (tokens.first(), tokens.last());
    first.map_or(0, |token| token.at.start)..last.map_or(0, |token| token.at.end)
}

fn digits<'a>(tokens: impl Iterator<Item = &'a Token>) -> usize {
    tokens.map(|token| token.plain.chars().count()).sum()
}

/// What stands between two tokens.
fn between<'a>(text: &'a str, one: &Token, next: &Token) -> &'a str {
    &text[one.at.end..next.at.start]
}

/// Whether what stands between two groups of digits may part one number, behind the bracket of an area code too.
fn parts_groups(between: &str) -> bool {
    let sign = between.strip_prefix(')').unwrap_or(between);
    ["-", ".", "/", " ", "\n", "\u{a0}", "\u{202f}", "\u{2011}"].contains(&sign) || between == ")"
}

/// Where dates stand: `2026-11-20`, `20.11.2026`, `11/20/2026`, and months such as `2026-11` and `11/2026`.
fn dates(text: &str, tokens: &[Token]) -> Vec<Range<usize>> {
    // What a date is joined to makes it something else: the number of an order, a telephone number.
    let joined = |at: usize| {
        let sign = tokens.get(at + 1).map(|next| between(text, &tokens[at], next));
        sign.filter(|sign| ["", "-", ".", "/"].contains(sign))
    };
    let (mut found, mut at) = (Vec::new(), 0);
    while at < tokens.len() {
        let long = [3, 2].into_iter().find(|&long| {
            let last = at + long - 1;
            tokens.get(at..=last).is_some_and(is_date)
                && joined(at).is_some()
                && (at..last).all(|one| joined(one) == joined(at))
                && (at == 0 || joined(at - 1).is_none())
                && joined(last).is_none()
        });
        found.extend(long.map(|long| from_to(&tokens[at..at + long])));
        at += long.unwrap_or(1);
    }
    found
}

fn is_date(parts: &[Token]) -> bool {
    let within = |part: &Token, most: u32| {
        part.plain.len() <= 2 && part.plain.parse().is_ok_and(|number| (1..=most).contains(&number))
    };
    let year = |part: &Token| {
        part.plain.len() == 4 && part.plain.parse().is_ok_and(|number: u32| (1900..2100).contains(&number))
    };
    match parts {
        [first, month, day] if year(first) => within(month, 12) && within(day, 31),
        [day, month, last] => {
            year(last) && within(day, 31) && within(month, 31) && (within(day, 12) || within(month, 12))
        }
        [year_first, month] if year(year_first) => within(month, 12),
        [month, last] => year(last) && within(month, 12),
        _ => false,
    }
}
