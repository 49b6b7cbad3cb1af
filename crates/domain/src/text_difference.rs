//! What differs between two revisions of a text, field by field and word by word.

use crate::evidence::TextLine;

/// Above this many pairs of words two texts are shown whole, one after the other: nobody reads such a difference.
const MOST_PAIRS: usize = 4_000_000;

/// Whether words stand in both texts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kept {
    /// In both.
    Same,
    /// In the first only.
    Gone,
    /// In the second only.
    New,
}

/// Words in a row that share a fate.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Piece {
    /// Their fate.
    pub kept: Kept,
    /// The words with the blanks between them.
    pub text: String,
}

/// One field of two texts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FieldDifference {
    /// The section.
    pub section: String,
    /// The field.
    pub field: String,
    /// Its words, in the order of reading.
    pub pieces: Vec<Piece>,
}

impl FieldDifference {
    /// Whether both texts say the same here.
    pub fn is_same(&self) -> bool {
        self.pieces.iter().all(|piece| piece.kept == Kept::Same)
    }
}

/// Every field of either text: those of the second in their order, each field that only the first has behind its section.
pub fn difference(first: &[TextLine], second: &[TextLine]) -> Vec<FieldDifference> {
    let same = |a: &TextLine, b: &TextLine| (&a.section, &a.field) == (&b.section, &b.field);
    let find = |set: &[TextLine], line: &TextLine| set.iter().find(|other| same(other, line)).cloned();
    let of = |line: &TextLine, before: &str, after: &str| FieldDifference {
        section: line.section.clone(),
        field: line.field.clone(),
        pieces: words(before, after),
    };
    let mut fields: Vec<FieldDifference> = second
        .iter()
        .map(|line| of(line, &find(first, line).map(|before| before.text).unwrap_or_default(), &line.text))
        .collect();
    for line in first.iter().filter(|line| find(second, line).is_none()) {
        let after = fields.iter().rposition(|field| field.section == line.section);
        fields.insert(after.map_or(fields.len(), |at| at + 1), of(line, &line.text, ""));
    }
    fields
}

/// The words of two texts, those of the first that are gone before those that are new.
pub fn words(first: &str, second: &str) -> Vec<Piece> {
    let (a, b) = (split(first), split(second));
    let start = a.iter().zip(&b).take_while(|(a, b)| a == b).count();
    let (a_rest, b_rest) = (&a[start..], &b[start..]);
    let end = a_rest.iter().rev().zip(b_rest.iter().rev()).take_while(|(a, b)| a == b).count();
    let (a_middle, b_middle) = (&a_rest[..a_rest.len() - end], &b_rest[..b_rest.len() - end]);
    let mut pieces = Vec::new();
    let mut add = |kept: Kept, word: &str| push(&mut pieces, kept, word);
    a[..start].iter().for_each(|word| add(Kept::Same, word));
    for (kept, word) in middle(a_middle, b_middle) {
        add(kept, word);
    }
    a_rest[a_rest.len() - end..].iter().for_each(|word| add(Kept::Same, word));
    pieces
}

/// A text in words, each with the blanks behind it.
fn split(text: &str) -> Vec<&str> {
    text.split_inclusive(char::is_whitespace).collect()
}

fn push(pieces: &mut Vec<Piece>, kept: Kept, word: &str) {
    match pieces.last_mut().filter(|last| last.kept == kept) {
        Some(last) => last.text.push_str(word),
        None => pieces.push(Piece { kept, text: word.to_owned() }),
    }
}

/// Words by the longest sequence that both have in common.
fn middle<'a>(a: &[&'a str], b: &[&'a str]) -> Vec<(Kept, &'a str)> {
    if a.len() * b.len() > MOST_PAIRS {
        let gone = a.iter().map(|word| (Kept::Gone, *word));
        return gone.chain(b.iter().map(|word| (Kept::New, *word))).collect();
    }
    // longest[i][j]: of what stands from word i of the first and word j of the second on.
    let width = b.len() + 1;
    let mut longest = vec![0u32; (a.len() + 1) * width];
    for i in (0..a.len()).rev() {
        for j in (0..b.len()).rev() {
            longest[i * width + j] = if a[i] == b[j] {
                longest[(i + 1) * width + j + 1] + 1
            } else {
                longest[(i + 1) * width + j].max(longest[i * width + j + 1])
            };
        }
    }
    let (mut i, mut j, mut found) = (0, 0, Vec::with_capacity(a.len() + b.len()));
    while i < a.len() || j < b.len() {
        if i < a.len() && j < b.len() && a[i] == b[j] {
            found.push((Kept::Same, a[i]));
            (i, j) = (i + 1, j + 1);
        } else if i < a.len() && (j == b.len() || longest[(i + 1) * width + j] >= longest[i * width + j + 1])
        {
            found.push((Kept::Gone, a[i]));
            i += 1;
        } else {
            found.push((Kept::New, b[j]));
            j += 1;
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(field: &str, text: &str) -> TextLine {
        TextLine { section: "Problem and description".into(), field: field.into(), text: text.into() }
    }

    fn told(pieces: &[Piece]) -> String {
        let mark = |piece: &Piece| match piece.kept {
            Kept::Same => piece.text.clone(),
            Kept::Gone => format!("[-{}-]", piece.text.trim()),
            Kept::New => format!("[+{}+]", piece.text.trim()),
        };
        pieces.iter().map(mark).collect()
    }

    #[test]
    fn changed_words_are_marked_and_the_rest_is_left() {
        let found = words("The chain splits on the ladder.", "The coated chain splits in salt water.");
        assert_eq!(told(&found), "The [+coated+]chain splits [-on the ladder.-][+in salt water.+]");
        assert_eq!(told(&words("a b c", "a b c")), "a b c");
    }

    #[test]
    fn either_text_can_be_read_out_of_the_difference() {
        let (first, second) = ("one two\nthree four five", "two three\nsix five five");
        let found = words(first, second);
        let read = |but: Kept| -> String {
            found.iter().filter(|piece| piece.kept != but).map(|piece| piece.text.as_str()).collect()
        };
        assert_eq!((read(Kept::New), read(Kept::Gone)), (first.to_owned(), second.to_owned()));
    }

    #[test]
    fn fields_that_come_and_go_are_shown_in_their_section() {
        let first = [line("Title", "Wider"), line("Problem", "It splits.")];
        let second = [line("Title", "Wider"), line("What changes", "The slider.")];
        let found = difference(&first, &second);
        let fields: Vec<(&str, bool)> = found.iter().map(|one| (one.field.as_str(), one.is_same())).collect();
        assert_eq!(fields, [("Title", true), ("What changes", false), ("Problem", false)]);
        assert_eq!(told(&found[2].pieces), "[-It splits.-]");
    }

    #[test]
    fn a_text_too_long_to_compare_is_shown_whole() {
        let (a, b) = ("a b ".repeat(1500), "c d ".repeat(1500));
        assert_eq!(words(&a, &b).len(), 2);
    }
}
