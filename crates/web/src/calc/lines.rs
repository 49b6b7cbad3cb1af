//! A stream of inputs, a line each, into a stream of answers, a line each; a bad line costs itself alone.

use std::io::{BufRead, BufReader, Read, Write};

use serde::Serialize;
use serde_json::Value;

use super::{Answer, CalcError, Method};

/// How a stream went.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Lines that held something.
    pub lines: u64,
    /// Lines without an answer.
    pub failed: u64,
}

#[derive(Serialize)]
struct Refused<'a> {
    line: u64,
    error: &'a str,
}

/// Answers each line as soon as it is read. Blank lines are passed over, and counted in the numbers of lines.
///
/// # Errors
/// Only those of reading and writing.
pub fn calculate_lines(method: &Method, input: impl Read, mut out: impl Write) -> std::io::Result<Tally> {
    let mut input = BufReader::new(input);
    let (mut tally, mut number, mut line) = (Tally::default(), 0, Vec::new());
    loop {
        // Whoever waits for an answer before asking the next question gets it.
        if input.buffer().is_empty() {
            out.flush()?;
        }
        line.clear();
        if input.read_until(b'\n', &mut line)? == 0 {
            out.flush()?;
            return Ok(tally);
        }
        number += 1;
        if line.iter().all(u8::is_ascii_whitespace) {
            continue;
        }
        tally.lines += 1;
        match answer_line(method, &line) {
            Ok(answer) => serde_json::to_writer(&mut out, &answer)?,
            Err(error) => {
                tally.failed += 1;
                serde_json::to_writer(&mut out, &Refused { line: number, error: &error.to_string() })?;
            }
        }
        out.write_all(b"\n")?;
    }
}

fn answer_line(method: &Method, line: &[u8]) -> Result<Answer, CalcError> {
    let input: Value = serde_json::from_slice(line).map_err(|error| {
        CalcError::input(format!("not a line of JSON: {error}; {} works", method.example))
    })?;
    method.answer(&input)
}
