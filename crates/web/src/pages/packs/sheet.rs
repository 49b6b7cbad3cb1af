//! The page of one waiting pack: what it brings, what is refused of it, and what became of it.

use axum::response::Response;
use domain::permission::Actor;
use serde::Serialize;

use super::list::several;
use super::sample;
use super::take::{said, was_published};
use crate::error::AppError;
use crate::format;
use crate::pack::{FileLine, Progress, Record, RefusalLine, Stage, TakenLine};
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Place, Shell};

/// Refusals on one page.
const ON_A_PAGE: usize = 100;

/// One waiting pack.
#[derive(Serialize)]
pub struct PackPage {
    shell: Shell,
    address: String,
    names: String,
    sent: String,
    lead: String,
    note: Option<String>,
    running: Option<Bar>,
    stopped: bool,
    taken: Option<Taken>,
    take_all: bool,
    take_good: Option<String>,
    whole_files_refused: bool,
    files: Vec<FileRow>,
    left: Vec<String>,
    unbalanced: Option<Unbalanced>,
    refusals: Option<Refusals>,
}

#[derive(Serialize)]
struct Bar {
    says: String,
    done: u64,
    of: u64,
}

#[derive(Serialize)]
struct Taken {
    lead: String,
    rows: Vec<TakenRow>,
    left: Vec<String>,
    left_out: bool,
}

#[derive(Serialize)]
struct TakenRow {
    file: String,
    new: String,
    here: String,
    refused: String,
}

#[derive(Serialize)]
struct FileRow {
    file: String,
    rows: String,
    good: String,
    known: String,
    refused: String,
}

#[derive(Serialize)]
struct Unbalanced {
    lead: String,
    lines: Vec<String>,
}

#[derive(Serialize)]
struct Refusals {
    lead: String,
    lines: Vec<RefusalLine>,
    earlier: Option<String>,
    later: Option<String>,
}

/// What the page is made of.
struct Made<'a> {
    id: &'a str,
    record: Record,
    progress: Option<Progress>,
    page: u32,
    lines: Vec<RefusalLine>,
    note: Option<String>,
}

/// Shows the page, or one part of its refusals, with a note of what was not done.
pub(super) async fn show(
    state: &AppState,
    signed_in: &SignedIn,
    id: &str,
    mut record: Record,
    (page, note): (u32, Option<String>),
) -> Result<Response, AppError> {
    let progress = state.waiting().progress(id);
    if let (Stage::Importing(since), None) = (record.stage.clone(), progress) {
        // It may have ended between the two looks.
        record = state.waiting().find(id).map_err(AppError::inside)?.unwrap_or(record);
        if record.stage == Stage::Importing(since)
            && let Some(stage) = was_published(state, &signed_in.0, since).await?
        {
            record.stage = stage;
        }
    }
    let skip = page as usize * ON_A_PAGE;
    let lines = state.waiting().refusals(id, skip, ON_A_PAGE).map_err(AppError::inside)?;
    state.page(&PackPage::new(&signed_in.0, Made { id, record, progress, page, lines, note }))
}

impl PackPage {
    fn new(actor: &Actor, made: Made<'_>) -> Self {
        let Made { id, record, progress, page, lines, note } = made;
        let running = progress.map(|progress| {
            let (says, done, of) = said(progress);
            Bar { says, done, of }
        });
        let shell = Shell::inside("Pack", actor, Place::Packs);
        let (failed, taken) = match &record.stage {
            Stage::Failed(why) => (Some(why.clone()), None),
            Stage::Taken { tables, left_out } => (None, Some(Taken::new(tables, *left_out))),
            Stage::Checked | Stage::Importing(_) => (None, None),
        };
        let idle = running.is_none() && taken.is_none();
        Self {
            shell: if running.is_some() { shell.refreshed(2) } else { shell },
            address: format!("/packs/{id}"),
            names: several(&record.names),
            sent: format::moment(record.sent_at()),
            lead: lead(&record),
            note: note.or(failed.filter(|_| idle)),
            stopped: idle && matches!(record.stage, Stage::Importing(_)),
            take_all: idle && record.can_take_all(),
            take_good: (idle && record.can_take_good())
                .then(|| format::counted(record.sum(|file| file.good), "good row", "good rows")),
            whole_files_refused: record.refused_files > 0,
            files: record.files.iter().map(file_row).collect(),
            left: record.files.iter().filter_map(|file| file.left.clone()).collect(),
            unbalanced: Unbalanced::new(&record),
            refusals: Refusals::new(&record, page, lines),
            running,
            taken,
        }
    }
}

fn lead(record: &Record) -> String {
    let rows = format::counted(record.sum(|file| file.rows), "row", "rows");
    let files = format::counted(record.files.len() as u64, "file", "files");
    let mut parts = vec![format!("{} good", format::count(record.sum(|file| file.good)))];
    let known = record.sum(|file| file.known);
    if known > 0 {
        parts.push(format!("{} known already", format::count(known)));
    }
    parts.push(format!("{} refused", format::count(record.refused_rows)));
    let rows = format!("{rows} in {files}: {}.", parts.join(", "));
    match (record.refused_files, record.sum(|file| file.rows)) {
        (0, _) => rows,
        (many, 0) => unreadable(many),
        (many, _) => format!("{rows} {}", unreadable(many)),
    }
}

fn unreadable(files: u64) -> String {
    format!("{} can't be read as it stands.", format::counted(files, "file", "files"))
}

fn file_row(file: &FileLine) -> FileRow {
    FileRow {
        file: file.file.clone(),
        rows: format::count(file.rows),
        good: format::count(file.good),
        known: format::count(file.known),
        refused: format::count(file.refused),
    }
}

impl Taken {
    fn new(tables: &[TakenLine], left_out: bool) -> Self {
        let rows = tables.iter().map(|taken| TakenRow {
            file: taken.file.clone(),
            new: format::count(taken.new),
            here: format::count(taken.here),
            refused: format::count(taken.refused),
        });
        let new = tables.iter().map(|taken| taken.new).sum();
        Self {
            lead: format!("Taken in: {} in the books.", format::counted(new, "new row", "new rows")),
            rows: rows.collect(),
            left: tables.iter().filter_map(|taken| taken.left.clone()).collect(),
            left_out,
        }
    }
}

impl Unbalanced {
    fn new(record: &Record) -> Option<Self> {
        let shown = record.unbalanced_lines.len() as u64;
        let more = if shown < record.unbalanced {
            format!(" The first {} are shown.", format::count(shown))
        } else {
            String::new()
        };
        (record.unbalanced > 0).then(|| Self {
            lead: format!(
                "With this pack {} would not balance. It can be taken in all the same: the figures then say where \
                 stock isn't accounted for.{more}",
                format::counted(record.unbalanced, "line of the books", "lines of the books")
            ),
            lines: record.unbalanced_lines.clone(),
        })
    }
}

impl Refusals {
    fn new(record: &Record, page: u32, lines: Vec<RefusalLine>) -> Option<Self> {
        let all = record.refusals;
        let first = u64::from(page) * ON_A_PAGE as u64;
        let last = first + lines.len() as u64;
        let refused = match record.refused_rows {
            0 => unreadable(record.refused_files),
            many => format!("{}.", format::counted(many, "row is refused", "rows are refused")),
        };
        let lead = if last > first && last - first < all {
            let [first, last, all] = [first + 1, last, all].map(format::count);
            format!("{refused} Reasons {first} to {last} of {all} listed.")
        } else {
            refused
        };
        (all > 0).then(|| Self {
            lead,
            lines,
            // As text, for a template takes nought for nothing.
            earlier: page.checked_sub(1).map(|page| page.to_string()),
            later: (last > first && last < all).then(|| (page + 1).to_string()),
        })
    }
}

impl Page for PackPage {
    const TEMPLATE: &'static str = "pages/packs/pack";

    fn samples() -> Vec<Self> {
        let progress = Some(Progress::Staged(1_200, 40_000));
        let made = |record: Record, progress, page| {
            let lines = vec![sample::line(); record.refusals.min(100) as usize];
            Self::new(&sample::engineer(), Made { id: "0a1b", record, progress, page, lines, note: None })
        };
        let mut pages: Vec<Self> =
            sample::records().into_iter().map(|record| made(record, None, 1)).collect();
        pages.extend(sample::records().into_iter().take(1).map(|record| made(record, progress, 0)));
        pages
    }
}
