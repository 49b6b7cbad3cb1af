//! `bartack calc METHOD`: one statistical method on lines of JSON, or on options with the answer in plain words.

use std::io::{BufWriter, Write};

use clap::Args;
use clap::builder::PossibleValuesParser;

use crate::calc::{self, Method};
use crate::cli::Outcome;

/// What `calc` takes.
#[derive(Args)]
pub struct Calc {
    /// The method; without one, all are listed.
    #[arg(
        value_parser = PossibleValuesParser::new(calc::methods().map(|method| method.name)),
        hide_possible_values = true
    )]
    method: Option<String>,
    /// Say what methods there are, or what the one named does, with an example that works.
    #[arg(long)]
    list: bool,
    /// Answer options with JSON instead of plain words.
    #[arg(long)]
    json: bool,
    /// The input as options, such as --k 3 --exposure 1200; without any, lines of JSON are read from standard input.
    #[arg(trailing_var_arg = true, allow_hyphen_values = true, value_name = "--KEY VALUE")]
    values: Vec<String>,
}

impl Calc {
    /// Lists, answers options, or answers lines.
    pub fn run(self) -> Outcome {
        let chosen = self.method.as_deref().and_then(calc::method);
        let mut out = BufWriter::new(std::io::stdout().lock());
        let outcome = match chosen {
            Some(method) if !self.list => self.calculate(method, &mut out),
            _ => list(chosen, &mut out).map_err(Into::into),
        };
        outcome.and_then(|()| Ok(out.flush()?))
    }

    fn calculate(&self, method: &Method, out: &mut impl Write) -> Outcome {
        // What stands after the first option is all taken as values, --json too.
        let json = self.json || self.values.iter().any(|word| word == "--json");
        let values: Vec<String> = self.values.iter().filter(|word| *word != "--json").cloned().collect();
        if values.is_empty() {
            let tally = calc::calculate_lines(method, std::io::stdin().lock(), out)?;
            return match tally.failed {
                0 => Ok(()),
                failed => Err(format!("{failed} of {} lines have no answer", tally.lines).into()),
            };
        }
        let answer = method.answer(&calc::read_options(method, &values)?)?;
        if json {
            serde_json::to_writer(&mut *out, &answer)?;
            writeln!(out)?;
        } else {
            write!(out, "{}", calc::in_words(&answer))?;
        }
        Ok(())
    }
}

fn list(only: Option<&Method>, out: &mut impl Write) -> std::io::Result<()> {
    for method in calc::methods().filter(|method| only.is_none_or(|only| only.name == method.name)) {
        writeln!(out, "{}\n  {}\n  {}\n", method.name, method.says, method.example)?;
    }
    Ok(())
}
