//! What a machine reads from an item's mark: Data Matrix, QR and bar code texts, taken apart by the standards and never guessed.

mod data_identifier;
mod envelope;
mod gs1;
mod item_identifier;
mod lot_number;
mod made;
mod text_element;
mod write;

use crate::words::words;

pub use gs1::{check_digit, read_element_string};
pub use item_identifier::{Construct, ItemIdentifier};
pub use lot_number::{LotNumber, NotALotNumber};
pub use made::Made;
pub use write::lot_mark;

/// Group separator, between the elements of a format and behind a GS1 element of varying length.
const GS: char = '\u{1d}';
/// Record separator, behind the header and behind each format.
const RS: char = '\u{1e}';
/// End of transmission, the trailer of an envelope.
const EOT: char = '\u{4}';

/// A text longer than any label's is not read: the largest Data Matrix holds 3,116 digits (ISO/IEC 16022).
pub const LONGEST: usize = 4_096;

/// How a mark is read whose envelope is not whole.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reading {
    /// It is refused.
    Strict,
    /// It is read as far as it goes, with a warning.
    Lenient,
}

words! {
    /// Whose list an element's identifier is from.
    pub enum Source {
        /// GS1 application identifiers (GS1 General Specifications; format 05 of ISO/IEC 15434).
        ApplicationIdentifier = "GS1",
        /// Data identifiers (ANSI MH10.8.2; format 06).
        DataIdentifier = "MH10.8.2",
        /// Text element identifiers (format 12).
        TextElement = "text element",
    }
}

/// One element of a mark, as it was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Element {
    /// Whose list the identifier is from.
    pub source: Source,
    /// The identifier, such as `17V` or `10`.
    pub identifier: String,
    /// What follows it.
    pub value: String,
}

/// A mark taken apart. What the standards say of an element stands in the named fields; every element is kept as written.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Mark {
    /// Every element in the order of the mark.
    pub elements: Vec<Element>,
    /// Who made it, as an enterprise identifier (a five-character code of the NATO list, or another agency's).
    pub maker: Option<String>,
    /// The part number the item carries now.
    pub part_no: Option<String>,
    /// The lot it belongs to.
    pub lot: Option<String>,
    /// Its serial number.
    pub serial: Option<String>,
    /// The GS1 trade item number, fourteen digits, its check digit right.
    pub trade_item: Option<String>,
    /// When it was made.
    pub made: Option<Made>,
    /// The item's unique identifier.
    pub item_identifier: Option<ItemIdentifier>,
    /// What a reader should know: what was ambiguous, unusual or not whole.
    pub warnings: Vec<String>,
}

impl Mark {
    fn warn(&mut self, words: impl Into<String>) {
        self.warnings.push(words.into());
    }

    fn push(&mut self, source: Source, identifier: &str, value: &str) {
        self.elements.push(Element { source, identifier: identifier.to_owned(), value: value.to_owned() });
    }
}

/// The first value of an identifier.
fn value<'a>(elements: &'a [Element], source: Source, identifier: &str) -> Option<&'a str> {
    let found = elements.iter().find(|e| e.source == source && e.identifier == identifier)?;
    Some(&found.value)
}

/// Why a text can't be taken apart. It is then kept as it is.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotAMark {
    /// No envelope, no GS1 sign, no separator: a plain text, perhaps the lot number itself.
    #[error("The label is plain text, without a standard's envelope.")]
    PlainText,
    /// The envelope's header or trailer is damaged.
    #[error("The label's envelope is not whole: {0}.")]
    Envelope(&'static str),
    /// A check digit does not fit the digits before it.
    #[error("The check digit of {digits} is {found} and should be {expected}: a misread label.")]
    CheckDigit {
        /// The number as read.
        digits: String,
        /// The digit that stands there.
        found: u8,
        /// The digit that would fit.
        expected: u8,
    },
    /// An element that the standard's list doesn't have, or whose value has a wrong shape.
    #[error("`{element}` is no element of the {source_name} list that is read here.")]
    Element {
        /// What was read, shortened.
        element: String,
        /// Whose list.
        source_name: Source,
    },
    /// Longer than any label.
    #[error("The text is longer than a label can hold.")]
    TooLong,
}

/// Takes a scanned text apart.
///
/// `year` is the present year: two-digit years are counted from it. The control characters may be written as their pictures
/// (`␞ ␝ ␄`), as keyboards and papers do. A text without envelope is read as GS1 only behind a reader's GS1 sign
/// (`]C1`, `]d2`, `]Q3`), or where it begins with a trade item number whose check digit fits and is GS1 to its end.
///
/// # Errors
/// [`NotAMark`]: the text is then to be kept as text.
pub fn read(text: &str, year: i32, reading: Reading) -> Result<Mark, NotAMark> {
    if text.len() > LONGEST {
        return Err(NotAMark::TooLong);
    }
    let text: String = text.trim_end_matches(['\r', '\n']).chars().map(from_picture).collect();
    if let Some(elements) = ["]C1", "]d2", "]Q3"].iter().find_map(|sign| text.strip_prefix(sign)) {
        return read_element_string(elements, year);
    }
    // A reader that says which symbol it saw, without GS1's meaning.
    let body = ["]d1", "]Q1", "]C0", "]A0"].iter().find_map(|sign| text.strip_prefix(sign)).unwrap_or(&text);
    if body.starts_with("[)>") {
        return envelope::read(body, year, reading);
    }
    if body.starts_with("01")
        && let Ok(mut mark) = read_element_string(body, year)
    {
        mark.warn("The reader didn't say that this is a GS1 label; it was taken for one by its trade item number's check digit.");
        return Ok(mark);
    }
    Err(NotAMark::PlainText)
}

/// Control characters as printed on paper: the pictures of Unicode's block U+2400.
const fn from_picture(sign: char) -> char {
    match sign {
        '\u{241d}' => GS,
        '\u{241e}' => RS,
        '\u{2404}' => EOT,
        other => other,
    }
}

/// At most twenty characters of a text, for a message.
fn shortened(text: &str) -> String {
    if text.chars().count() <= 20 { text.to_owned() } else { text.chars().take(19).chain(['…']).collect() }
}

#[cfg(test)]
mod tests;
