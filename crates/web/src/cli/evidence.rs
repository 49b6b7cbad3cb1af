//! `bartack evidence verify`: works the figures of frozen evidence out again and says line by line whether they agree.

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
        let wrong = match &verify.file {
            Some(path) => {
                let document =
                    std::fs::read_to_string(path).map_err(|error| format!("{}: {error}", path.display()))?;
                let wanted = verify.digest.as_deref().map(str::to_ascii_lowercase);
                checked(&document, wanted.as_deref())
            }
            None => runtime()?.block_on(of_change(&verify.change.unwrap_or_default()))?,
        };
        match wrong {
            0 => Ok(()),
            1 => Err("one line doesn't agree".into()),
            many => Err(format!("{many} lines don't agree").into()),
        }
    }
}

async fn of_change(no: &str) -> Result<usize, Box<dyn std::error::Error + Send + Sync>> {
    let store = open_store().await?;
    let kept = store.list_evidence(no).await?;
    store.close().await?;
    if kept.is_empty() {
        return Err(format!("no evidence is frozen for a change `{no}`").into());
    }
    let mut wrong = 0;
    for one in kept {
        println!("change {no}, revision {}, frozen for {} at {}", one.revision, one.occasion, one.frozen_at);
        wrong += checked(&one.document, Some(&one.digest));
    }
    Ok(wrong)
}

/// Prints how a document fares, and gives the number of lines that don't agree.
fn checked(document: &str, wanted: Option<&str>) -> usize {
    let digest = digest_of(document);
    let mut wrong = 0;
    match wanted {
        Some(wanted) if wanted != digest => {
            wrong += 1;
            println!("DIFFERS  digest: {digest}, kept as {wanted}");
        }
        Some(_) => println!("agrees   digest: {digest}"),
        None => println!("digest   {digest}"),
    }
    let lines = evidence::read(document).map_err(|error| error.to_string()).and_then(|evidence| {
        for (then, now) in evidence.methods_changed() {
            let now = now.map_or_else(|| "no longer in use".to_owned(), |now| format!("now {}", now.version));
            println!("note     method {}: version {} then, {now}", then.name, then.version);
        }
        evidence.verify().map_err(|problem| problem.to_string())
    });
    match lines {
        Ok(lines) => wrong + lines.iter().filter(|line| !told(line)).count(),
        Err(why) => {
            println!("DIFFERS  the inputs: {why}");
            wrong + 1
        }
    }
}

/// Prints one line and says whether it agrees.
fn told(line: &FigureLine) -> bool {
    let said = |value: &Option<Value>| match value {
        Some(Value::Number(number)) => format!("{number} {}", line.unit).trim_end().to_owned(),
        Some(Value::Count(count)) => format!("{count} {}", line.unit).trim_end().to_owned(),
        Some(Value::Words(words)) => words.clone(),
        Some(Value::Unknown) => "not known".to_owned(),
        None => "missing".to_owned(),
    };
    if line.agrees() {
        println!("agrees   {}: {}: {}", line.group, line.name, said(&line.first));
    } else {
        let (kept, again) = (said(&line.first), said(&line.second));
        println!("DIFFERS  {}: {}: kept as {kept}, worked out as {again}", line.group, line.name);
    }
    line.agrees()
}
