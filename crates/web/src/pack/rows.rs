//! Strict RFC 4180 rows out of a stream: a broken row is reported with its line and reading goes on after it.

use std::io::{self, Read};

/// The longest row taken; a longer one is nearly always a quote that was never closed.
const LONGEST_ROW: usize = 1 << 20;
const CHUNK: usize = 1 << 18;

/// How a row of an old encoding is refused, after which field it is.
pub(crate) const NOT_UTF8: &str = "is not UTF-8 text; save the file as CSV UTF-8";

/// One row, its fields unquoted.
#[derive(Default)]
pub(crate) struct Row {
    text: String,
    ends: Vec<usize>,
    /// The line it begins on, from 1.
    pub(crate) line: u64,
}

impl Row {
    /// The fields it has.
    pub(crate) fn len(&self) -> usize {
        self.ends.len()
    }

    /// The field at a position.
    pub(crate) fn get(&self, at: usize) -> Option<&str> {
        let end = *self.ends.get(at)?;
        let start = if at == 0 { 0 } else { self.ends[at - 1] };
        self.text.get(start..end)
    }

    /// Every field in order.
    pub(crate) fn fields(&self) -> impl Iterator<Item = &str> {
        (0..self.len()).filter_map(|at| self.get(at))
    }

    fn push(&mut self, field: &str, quoted: bool) {
        if quoted {
            let mut pieces = field.split("\"\"");
            self.text.push_str(pieces.next().unwrap_or_default());
            for piece in pieces {
                self.text.push('"');
                self.text.push_str(piece);
            }
        } else {
            self.text.push_str(field);
        }
        self.ends.push(self.text.len());
    }
}

/// A row that can't be read.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Broken {
    /// The line it begins on, from 1.
    pub(crate) line: u64,
    /// What is wrong with it.
    pub(crate) why: String,
    /// Its first line as it stands in the file, what is not UTF-8 replaced.
    pub(crate) raw: String,
}

/// Where one field lies in the bytes of a row, quotes left out.
struct Span {
    start: usize,
    end: usize,
    quoted: bool,
}

/// What the bytes at hand hold.
enum Found {
    /// A whole row and the length of it with its line end.
    Row(usize),
    /// Nothing on this line; the length of its line end.
    Blank(usize),
    /// The bytes end before the row does.
    Part,
    /// No row.
    Broken(String),
}

/// Reads rows out of a stream. A byte order mark is passed over; blank lines are too.
pub(crate) struct Rows<R> {
    input: R,
    buffer: Vec<u8>,
    start: usize,
    ended: bool,
    line: u64,
    spans: Vec<Span>,
    comma: u8,
}

impl<R: Read> Rows<R> {
    /// Rows of a stream from its beginning.
    pub(crate) fn new(input: R) -> io::Result<Self> {
        Self::separated(input, b',')
    }

    /// The same with another sign than a comma between fields, as spreadsheets of other countries write them.
    pub(crate) fn separated(input: R, comma: u8) -> io::Result<Self> {
        let (buffer, spans) = (Vec::new(), Vec::new());
        let mut rows = Self { input, buffer, start: 0, ended: false, line: 1, spans, comma };
        while rows.buffer.len() < 3 && !rows.ended {
            rows.fill()?;
        }
        if rows.buffer.starts_with(&[0xEF, 0xBB, 0xBF]) {
            rows.start = 3;
        }
        if rows.buffer.starts_with(&[0xFF, 0xFE]) || rows.buffer.starts_with(&[0xFE, 0xFF]) {
            let why = "is UTF-16 text; save it as CSV in UTF-8";
            return Err(io::Error::new(io::ErrorKind::InvalidData, why));
        }
        Ok(rows)
    }

    /// The line that is looked at next, from 1: blank ones stand between it and the line on which the next row begins.
    pub(crate) const fn line(&self) -> u64 {
        self.line
    }

    fn fill(&mut self) -> io::Result<()> {
        self.buffer.drain(..self.start);
        self.start = 0;
        let filled = self.buffer.len();
        self.buffer.resize(filled + CHUNK, 0);
        let result = loop {
            match self.input.read(&mut self.buffer[filled..]) {
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                other => break other,
            }
        };
        let read = *result.as_ref().unwrap_or(&0);
        self.buffer.truncate(filled + read);
        self.ended |= result? == 0;
        Ok(())
    }

    /// The next row into `row`: `None` at the end, `Some(Err)` for a row that can't be read.
    pub(crate) fn next_row(&mut self, row: &mut Row) -> io::Result<Option<Result<(), Broken>>> {
        loop {
            if self.start == self.buffer.len() && self.ended {
                return Ok(None);
            }
            let bytes = &self.buffer[self.start..];
            match find(bytes, (self.ended, self.comma), &mut self.spans) {
                Found::Part if bytes.len() > LONGEST_ROW => {
                    let why = "the row is longer than 1 MB; a quote is probably not closed";
                    return self.broken(why.to_owned()).map(Some);
                }
                Found::Part => self.fill()?,
                Found::Blank(length) => {
                    self.start += length;
                    self.line += 1;
                }
                Found::Broken(why) => return self.broken(why).map(Some),
                Found::Row(length) => {
                    let Ok(text) = std::str::from_utf8(&bytes[..length]) else {
                        let field = self
                            .spans
                            .iter()
                            .position(|s| std::str::from_utf8(&bytes[s.start..s.end]).is_err());
                        let why = format!("field {} {NOT_UTF8}", field.unwrap_or(0) + 1);
                        return self.broken(why).map(Some);
                    };
                    row.text.clear();
                    row.ends.clear();
                    row.line = self.line;
                    for span in &self.spans {
                        row.push(&text[span.start..span.end], span.quoted);
                    }
                    let quoted = self.spans.iter().filter(|span| span.quoted);
                    self.line +=
                        1 + quoted.map(|s| text[s.start..s.end].matches('\n').count() as u64).sum::<u64>();
                    self.start += length;
                    return Ok(Some(Ok(())));
                }
            }
        }
    }

    /// Passes over the line at hand, so that one broken row costs one line.
    fn broken(&mut self, why: String) -> io::Result<Result<(), Broken>> {
        let line = self.line;
        let mut raw = Vec::new();
        loop {
            let bytes = &self.buffer[self.start..];
            let length = bytes.iter().position(|b| *b == b'\n').map_or(bytes.len(), |at| at + 1);
            raw.extend_from_slice(&bytes[..length.min(LONGEST_ROW.saturating_sub(raw.len()))]);
            let whole = bytes[..length].ends_with(b"\n");
            self.start += length;
            if whole || self.ended {
                break;
            }
            self.fill()?;
        }
        self.line += 1;
        let raw = String::from_utf8_lossy(&raw).trim_end_matches(['\r', '\n']).to_owned();
        Ok(Err(Broken { line, why, raw }))
    }
}

/// Finds the row at the head of `bytes` and where its fields lie.
fn find(bytes: &[u8], (ended, comma): (bool, u8), spans: &mut Vec<Span>) -> Found {
    spans.clear();
    let mut at = 0;
    loop {
        let quoted = bytes.get(at) == Some(&b'"');
        let (start, end) = if quoted {
            match quoted_end(bytes, at + 1) {
                Some(end) => (at + 1, end),
                None if ended => return Found::Broken("a quote is opened and not closed".to_owned()),
                None => return Found::Part,
            }
        } else {
            let stop = |b: &u8| *b == comma || matches!(b, b'\n' | b'\r' | b'"');
            (at, bytes[at..].iter().position(stop).map_or(bytes.len(), |length| at + length))
        };
        if bytes[start..end].contains(&0) {
            return Found::Broken(format!("field {} holds a NUL byte", spans.len() + 1));
        }
        spans.push(Span { start, end, quoted });
        at = if quoted { end + 1 } else { end };
        let line_end = match bytes.get(at) {
            None if ended => 0,
            None => return Found::Part,
            Some(sign) if *sign == comma => {
                at += 1;
                if at == bytes.len() && !ended {
                    return Found::Part;
                }
                continue;
            }
            Some(b'\n') => 1,
            Some(b'\r') => match bytes.get(at + 1) {
                Some(b'\n') => 2,
                None if !ended => return Found::Part,
                _ => 1,
            },
            Some(_) if quoted => {
                return Found::Broken(format!("field {} goes on after its closing quote", spans.len()));
            }
            Some(_) => {
                let why = "has a quote inside it; expected the whole field in quotes and the quote doubled";
                return Found::Broken(format!("field {} {why}", spans.len()));
            }
        };
        let blank = spans.len() == 1 && !quoted && start == end;
        return if blank { Found::Blank(at + line_end) } else { Found::Row(at + line_end) };
    }
}

/// The place of the quote that closes a field whose text begins at `from`.
fn quoted_end(bytes: &[u8], from: usize) -> Option<usize> {
    let mut at = from;
    loop {
        at += bytes[at..].iter().position(|b| *b == b'"')?;
        if bytes.get(at + 1) != Some(&b'"') {
            return Some(at);
        }
        at += 2;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Gives its bytes a few at a time, so that every seam between chunks is met.
    struct Dribble<'a>(&'a [u8], usize);

    impl Read for Dribble<'_> {
        fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
            let count = self.1.min(self.0.len()).min(into.len());
            into[..count].copy_from_slice(&self.0[..count]);
            self.0 = &self.0[count..];
            Ok(count)
        }
    }

    fn read(bytes: &[u8], step: usize) -> Vec<Result<Vec<String>, (u64, String)>> {
        let mut rows = Rows::new(Dribble(bytes, step)).expect("memory reads");
        let mut row = Row::default();
        let mut all = Vec::new();
        while let Some(next) = rows.next_row(&mut row).expect("memory reads") {
            all.push(match next {
                Ok(()) => Ok(row.fields().map(str::to_owned).collect()),
                Err(broken) => Err((broken.line, broken.why)),
            });
        }
        all
    }

    #[test]
    fn what_the_csv_crate_writes_reads_back_whatever_the_chunks() {
        let table = [
            vec!["plain", "", "with, comma"],
            vec!["a \"quoted\" word", "two\nlines", "ends with \""],
            vec!["", "", ""],
            vec!["Bärenfels", "\r\n", "\"\""],
        ];
        let mut writer = csv::Writer::from_writer(Vec::new());
        for row in &table {
            writer.write_record(row).expect("memory writes");
        }
        let bytes = writer.into_inner().expect("memory writes");
        for step in [1, 2, 3, 7, 1000] {
            assert_eq!(
                read(&bytes, step),
                table.clone().map(|row| Ok(row.iter().map(|f| (*f).to_owned()).collect()))
            );
        }
    }

    #[test]
    fn one_broken_row_costs_one_line() {
        let text = b"a,b\n1,\"open\n2,x\n3,\"y\"z\n4,q\"r\n5,\"fine\"\n";
        for step in [1, 1000] {
            assert_eq!(
                read(text, step),
                [
                    Ok(vec!["a".to_owned(), "b".to_owned()]),
                    Err((2, "field 2 goes on after its closing quote".to_owned())),
                    Ok(vec!["2".to_owned(), "x".to_owned()]),
                    Err((4, "field 2 goes on after its closing quote".to_owned())),
                    Err((5, "field 2 has a quote inside it; expected the whole field in quotes and the quote doubled".to_owned())),
                    Ok(vec!["5".to_owned(), "fine".to_owned()]),
                ]
            );
        }
    }

    #[test]
    fn an_open_quote_at_the_end_is_broken() {
        assert_eq!(
            read(b"a\n\"b\nc\n", 1000)[1..],
            [Err((2, "a quote is opened and not closed".to_owned())), Ok(vec!["c".to_owned()])]
        );
    }

    #[test]
    fn nul_and_bytes_that_are_no_text_are_broken() {
        assert_eq!(
            read(b"a,b\nx,y\0z\n\xff,y\nx,caf\xe9\n", 1000)[1..],
            [
                Err((2, "field 2 holds a NUL byte".to_owned())),
                Err((3, format!("field 1 {NOT_UTF8}"))),
                Err((4, format!("field 2 {NOT_UTF8}"))),
            ]
        );
    }

    #[test]
    fn every_line_end_is_taken_and_marks_and_blank_lines_are_passed_over() {
        let rows = [Ok(vec!["a".to_owned(), String::new()]), Ok(vec!["b".to_owned(), "c".to_owned()])];
        assert_eq!(read(b"\xEF\xBB\xBFa,\r\n\r\nb,c", 1), rows);
        assert_eq!(read(b"\na,\rb,c\r", 1000), rows);
        assert_eq!(read(b"", 1000), []);
    }

    #[test]
    fn other_encodings_are_named() {
        let error = Rows::new(&b"\xFF\xFEa\0"[..]).err().expect("refused");
        assert_eq!(error.to_string(), "is UTF-16 text; save it as CSV in UTF-8");
    }

    #[test]
    fn an_endless_quoted_field_does_not_fill_the_memory() {
        let mut text = b"a\n\"".to_vec();
        text.resize(3 << 20, b'x');
        let rows = read(&text, CHUNK);
        assert_eq!(rows.len(), 2);
        assert_eq!(
            rows[1],
            Err((2, "the row is longer than 1 MB; a quote is probably not closed".to_owned()))
        );
    }
}
