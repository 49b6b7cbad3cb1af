//! What could be read of a lot label on which some signs could not be.

use super::characters;
use super::look_alike::{folded, normalised};

/// One sign of a label as written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Sign {
    /// In capitals, look-alikes as one.
    Read(char),
    /// One or several together.
    Separator,
    /// An underscore alone between two signs that were read: a separator where the lot's number has one, else a sign not read.
    Underscore,
    /// Stands for one or more signs that could not be read.
    Unread(char),
}

impl Sign {
    /// As a lot's number has it.
    fn plain(self) -> Self {
        if self == Self::Underscore { Self::Separator } else { self }
    }

    const fn is_gap(self) -> bool {
        matches!(self, Self::Underscore | Self::Unread(_))
    }
}

/// A lot's number, sign by sign.
#[derive(Debug)]
pub(super) struct Number(Box<[Sign]>);

impl Number {
    pub(super) fn of(lot_no: &str) -> Self {
        Self(signs(lot_no).into_iter().map(Sign::plain).collect())
    }
}

/// The legible signs of a label.
#[derive(Debug)]
pub(super) struct Legible {
    look: String,
    signs: Vec<Sign>,
}

impl Legible {
    pub(super) fn of(text: &str) -> Self {
        Self { look: normalised(text), signs: signs(text) }
    }

    /// The characters of its look.
    pub(super) fn characters(&self) -> u64 {
        characters(&self.look)
    }

    /// Whether it says by its signs that some could not be read.
    pub(super) fn is_patchy(&self) -> bool {
        self.signs.iter().copied().any(Sign::is_gap)
    }

    /// Whether it is a lot's number but for case, look-alikes and which separators stand between: what stands for signs not
    /// read stands in the number too.
    pub(super) fn is_written_as(&self, number: &Number) -> bool {
        self.signs.iter().copied().map(Sign::plain).eq(number.0.iter().copied())
    }

    /// Whether a lot's number, given as written and as its look, has what was read, with at least one sign for each gap. A label
    /// without a gap may be any part of the number.
    pub(super) fn may_be_part_of(&self, number: &Number, look: &str) -> bool {
        if self.is_patchy() { self.fits(&number.0) } else { look.contains(self.look.as_str()) }
    }

    /// Goes through the label sign by sign, with all places of the number that it may have come to, so that many gaps in a long
    /// text cost no more than a few.
    fn fits(&self, number: &[Sign]) -> bool {
        let mut places = vec![false; number.len() + 1];
        places[0] = true;
        let mut in_gap = false;
        for &sign in self.signs.iter().filter(|sign| **sign != Sign::Separator) {
            places = match sign {
                Sign::Unread(_) if in_gap => continue,
                Sign::Unread(_) => behind_gap(number, &places),
                Sign::Underscore => {
                    let separator = behind(number, &places, Sign::Separator);
                    let gap = behind_gap(number, &places);
                    separator.into_iter().zip(gap).map(|(one, other)| one || other).collect()
                }
                Sign::Read(_) | Sign::Separator => behind(number, &places, sign),
            };
            in_gap = matches!(sign, Sign::Unread(_));
            // The number may have separators that the label lacks.
            for (at, own) in number.iter().enumerate() {
                if places[at] && *own == Sign::Separator {
                    places[at + 1] = true;
                }
            }
        }
        places.last() == Some(&true)
    }
}

/// Places of a number behind one sign, from those before it.
fn behind(number: &[Sign], places: &[bool], sign: Sign) -> Vec<bool> {
    let passed = number.iter().zip(places).map(|(own, is_here)| *is_here && *own == sign);
    std::iter::once(false).chain(passed).collect()
}

/// Places of a number behind one or more signs that were not read, from those before them.
fn behind_gap(number: &[Sign], places: &[bool]) -> Vec<bool> {
    let mut is_open = false;
    let passed = number.iter().zip(places).map(|(own, is_here)| {
        is_open |= *is_here;
        is_open && *own != Sign::Separator
    });
    std::iter::once(false).chain(passed).collect()
}

fn signs(text: &str) -> Vec<Sign> {
    let characters: Vec<char> = text.chars().collect();
    let mut signs: Vec<Sign> = Vec::new();
    for (at, &c) in characters.iter().enumerate() {
        let before = at.checked_sub(1).and_then(|at| characters.get(at)).copied();
        let after = characters.get(at + 1).copied();
        let stands_alone =
            before.is_some_and(char::is_alphanumeric) && after.is_some_and(char::is_alphanumeric);
        match c {
            _ if c.is_alphanumeric() => signs.extend(folded(c).map(Sign::Read)),
            '_' if stands_alone => signs.push(Sign::Underscore),
            '?' | '*' | '_' | '…' => signs.push(Sign::Unread(c)),
            // One dot is a separator, several are what was left out.
            '.' if before == Some('.') || after == Some('.') => signs.push(Sign::Unread(c)),
            _ if matches!(signs.last(), None | Some(Sign::Separator)) => {}
            _ => signs.push(Sign::Separator),
        }
    }
    if signs.last() == Some(&Sign::Separator) {
        signs.pop();
    }
    signs
}

#[cfg(test)]
mod tests {
    use super::*;

    fn may_be(text: &str, lot_no: &str) -> bool {
        Legible::of(text).may_be_part_of(&Number::of(lot_no), &normalised(lot_no))
    }

    fn is_written(text: &str, lot_no: &str) -> bool {
        Legible::of(text).is_written_as(&Number::of(lot_no))
    }

    #[test]
    fn what_was_not_read_is_at_least_one_sign() {
        for text in ["SA-104?", "sa 1o4…", "SA-104*", "SA-104_", "SA-104..", "..104?", "S?1*4…", "SA-_04??"]
        {
            assert!(Legible::of(text).is_patchy(), "{text}");
            assert!(may_be(text, "SA-1042"), "{text}");
            assert!(!may_be(text, "SA-104"), "{text}");
        }
        assert!(may_be("SB-1?4", "SB-124") && may_be("SB-1?4", "SB-1294"));
        assert!(!may_be("SB-1?4", "SB-14"));
        assert!(!may_be("..42", "42") && may_be("..42", "TX-1042"));
        assert!(may_be("A?B?A", "A-1-B-2-A") && !may_be("A?B?A", "A-1-BA"));
        assert!(may_be("A?Ä?A", "A-1-Ä-Ö-A"), "signs of several bytes");
        assert!(may_be("A??1", "A-2-1") && !may_be("A??1", "A-1"), "several together are one or more");
    }

    #[test]
    fn a_label_without_a_gap_is_any_part_of_a_number() {
        assert!(!Legible::of("SA-104.").is_patchy(), "one dot is a separator");
        assert!(may_be("42", "TX-1042") && may_be("42", "42") && !may_be("43", "TX-1042"));
    }

    #[test]
    fn an_underscore_is_a_separator_where_the_number_has_one() {
        assert!(is_written("sb_14", "SB_14") && is_written("sb_14", "SB-14"));
        assert!(!is_written("sb_14", "SB14"));
        assert!(!is_written("SB-1_4", "SB-14") && !is_written("SB-_14", "SB-14"));
        assert!(may_be("SB_14", "SB-14") && may_be("SB_14", "SB-114") && !may_be("SB_14", "SB14"));
        assert!(may_be("TB_1_04", "TB_1304") && may_be("TB_1?04", "TB-1304") && !may_be("TB_1_04", "TB_104"));
    }

    #[test]
    fn a_number_may_have_such_signs_itself() {
        assert!(is_written("a*12", "A*12") && !is_written("a?12", "A*12"));
        assert!(may_be("a*12", "A*12") && may_be("a?12", "A*12"));
    }
}
