//! `bartack evidence verify`: works the figures of frozen evidence out again and says line by line whether they agree.

use std::io::{BufWriter, ErrorKind, Write as _};
use std::path::PathBuf;

use clap::{Args, Subcommand};
use domain::evidence::{FigureLine, Value};
use store::digest_of;

use crate::cli::{Outcome, open_store, runtime};
use crate::evidence;

/// What `evidence` takes.
#[derive(Args)]
pub struct Evidence {
    #[command(subcommand)]
    act: Act,
}

#[derive(Subcommand)]
enum Act {
    /// Work every figure out again from the frozen inputs alone; ends with status 1 where one doesn't agree.
    Verify(Verify),
}

#[derive(Args)]
struct Verify {
    /// The change whose evidence is verified, all of it.
    #[arg(required_unless_present = "file", conflicts_with = "file")]
    change: Option<String>,
    /// A document that was taken out of the program, instead.
    #[arg(long)]
    file: Option<PathBuf>,
    /// The digest it should have.
    #[arg(long, requires = "file")]
    digest: Option<String>,
}

impl Evidence {
    /// Prints a line a figure.
    pub fn run(self) -> Outcome {
        let Act::Verify(verify) = self.act;
        let mut told = Told::default();
        match &verify.file {
            Some(path) => {
                let document =
                    std::fs::read_to_string(path).map_err(|error| format!("{}: {error}", path.display()))?;
                let wanted = verify.digest.as_deref().map(str::to_ascii_lowercase);
                told.check(&document, wanted.as_deref());
            }
            None => runtime()?.block_on(of_change(&verify.change.unwrap_or_default(), &mut told))?,
        }
        told.end()
    }
}

async fn of_change(no: &str, told: &mut Told) -> Outcome {
    let store = open_store().await?;
    let kept = store.list_evidence(no).await?;
    store.close().await?;
    if kept.is_empty() {
        return Err(format!("no evidence is frozen for a change `{no}`").into());
    }
    for one in kept {
        told.lines.push(format!(
            "change {no}, revision {}, frozen for {} at {}",
            one.revision, one.occasion, one.frozen_at
        ));
        told.check(&one.document, Some(&one.digest));
    }
    Ok(())
}

/// What there is to say, and how many of the lines don't agree.
#[derive(Default)]
struct Told {
    lines: Vec<String>,
    wrong: usize,
}

impl Told {
    /// Says how a document fares.
    fn check(&mut self, document: &str, wanted: Option<&str>) {
        let digest = digest_of(document);
        match wanted {
            Some(wanted) if wanted != digest => self.differs(&format!("digest: {digest}, kept as {wanted}")),
            Some(_) => self.lines.push(format!("agrees   digest: {digest}")),
            None => self.lines.push(format!("digest   {digest}")),
        }
        let evidence = match evidence::read(document) {
            Ok(evidence) => evidence,
            Err(error) => return self.differs(&format!("the inputs: {error}")),
        };
        for (then, now) in evidence.methods_changed() {
            let now = now.map_or_else(|| "no longer in use".to_owned(), |now| format!("now {}", now.version));
            self.lines.push(format!("note     method {}: version {} then, {now}", then.name, then.version));
        }
        match evidence.verify() {
            Ok(figures) => figures.iter().for_each(|figure| self.figure(figure)),
            Err(problem) => self.differs(&format!("the inputs: {problem}")),
        }
    }

    fn differs(&mut self, what: &str) {
        self.wrong += 1;
        self.lines.push(format!("DIFFERS  {what}"));
    }

    fn figure(&mut self, line: &FigureLine) {
        let said = |value: &Option<Value>| match value {
            Some(Value::Number(number)) => format!("{number} {}", line.unit).trim_end().to_owned(),
            Some(Value::Count(count)) => format!("{count} {}", line.unit).trim_end().to_owned(),
            Some(Value::Words(words)) => words.clone(),
            Some(Value::Unknown) => "not known".to_owned(),
            None => "missing".to_owned(),
        };
        let name = format!("{}: {}", line.group, line.name);
        if line.agrees() {
            self.lines.push(format!("agrees   {name}: {}", said(&line.first)));
        } else {
            let (kept, again) = (said(&line.first), said(&line.second));
            self.differs(&format!("{name}: kept as {kept}, worked out as {again}"));
        }
    }

    /// Prints it. The status says whether all agree, even where a reader has seen enough half way.
    fn end(self) -> Outcome {
        let mut out = BufWriter::new(std::io::stdout().lock());
        let printed =
            self.lines.iter().try_for_each(|line| writeln!(out, "{line}")).and_then(|()| out.flush());
        match printed {
            Err(error) if error.kind() == ErrorKind::BrokenPipe => {}
            other => other?,
        }
        match self.wrong {
            0 => Ok(()),
            1 => Err("one line doesn't agree".into()),
            many => Err(format!("{many} lines don't agree").into()),
        }
    }
}
