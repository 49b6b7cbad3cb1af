//! Rows of a pack whose key the books have with other values: found before anything is staged, so that none of them is
//! dropped without a word.

use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};
use std::sync::Arc;

use chrono::NaiveDate;
use domain::pack::{Known, Table};
use store::{Books, Store};
use tokio::sync::mpsc::{Sender, channel};
use tokio::task::spawn_blocking;

use super::batch::Batch;
use super::cells::CellProblem;
use super::check::CheckError;
use super::import::ImportError;
use super::read::{Bars, ReadError, RefusedRow, Sink, Stopped, read_pack};
use super::refusal::{LeftAlone, shown};
use super::rows::{Row, Rows};
use super::sheet::{Sheet, SheetWriter};
use super::source::PackSource;
use super::stage::WAITING;

/// Rows whose values are kept for telling; of more of them it is told that the books differ, and not in what, so that a pack
/// of nothing else fits the memory.
const TOLD: usize = 20_000;

/// The rows of a pack that the books have with other values, by where they stand.
#[derive(Clone, Debug, Default)]
pub(crate) struct Clashes {
    told: HashMap<(Table, u64), CellProblem>,
    more: HashSet<(Table, u64)>,
    left: BTreeMap<Table, LeftAlone>,
}

impl Clashes {
    /// What is wrong with a row, where the books have another under its key.
    pub(crate) fn of(&self, table: Table, line: u64) -> Option<CellProblem> {
        if self.told.is_empty() {
            return None;
        }
        let at = (table, line);
        let told = self.told.get(&at).cloned();
        told.or_else(|| self.more.contains(&at).then(|| problem(table, None)))
    }

    /// The rows of a table that say otherwise and are left as the books have them.
    pub(crate) fn left(&self, table: Table) -> LeftAlone {
        self.left.get(&table).cloned().unwrap_or_default()
    }

    /// Notes those of some rows that say otherwise than what the books have under their keys.
    fn note<T: Sheet + PartialEq>(
        &mut self,
        rows: &[T],
        kept: Vec<Option<T>>,
        asked: &Asked,
    ) -> Result<(), CheckError> {
        let others = rows.iter().zip(kept).zip(&asked.lines);
        let pairs: Vec<Pair<'_, T>> = others
            .filter_map(|((row, kept), line)| {
                kept.filter(|kept| kept != row).map(|kept| Pair { line: *line, row, kept })
            })
            .collect();
        let differing = differing(&pairs, &asked.header).map_err(|error| CheckError::new(T::TABLE, error))?;
        for (line, cells) in differing {
            self.add(T::TABLE, line, cells);
        }
        Ok(())
    }

    fn add(&mut self, table: Table, line: u64, cells: Vec<Cell>) {
        if table.goes_on() {
            self.left.entry(table).or_default().add(line, cells.into_iter().map(|cell| cell.column));
        } else if self.told.len() < TOLD {
            self.told.insert((table, line), problem(table, Some(cells)));
        } else {
            self.more.insert((table, line));
        }
    }
}

/// One cell of which pack and books say different things.
struct Cell {
    column: String,
    theirs: String,
    ours: String,
}

/// A row and what the books have under its key.
struct Pair<'r, T> {
    line: u64,
    row: &'r T,
    kept: T,
}

/// For each pair that differs its line and its cells that do. A column that the file leaves out and an empty cell say nothing,
/// and so contradict nothing; an empty cell that has a meaning of its own (a lot's purpose, the day of receipt) says that.
fn differing<T: Sheet>(pairs: &[Pair<'_, T>], header: &[String]) -> std::io::Result<Vec<(u64, Vec<Cell>)>> {
    let mut found = Vec::new();
    if pairs.is_empty() {
        return Ok(found);
    }
    let dimensions: Vec<String> = if T::HAS_DIMENSIONS {
        header.iter().filter_map(|name| name.strip_suffix("_mm")).map(str::to_owned).collect()
    } else {
        Vec::new()
    };
    let mut writer = SheetWriter::new::<T>(Vec::new(), &dimensions)?;
    for pair in pairs {
        writer.write(pair.row)?;
        writer.write(&pair.kept)?;
    }
    let text = writer.finish()?;
    let mut rows = Rows::new(text.as_slice())?;
    let (mut names, mut theirs, mut ours) = (Row::default(), Row::default(), Row::default());
    rows.next_row(&mut names)?;
    for pair in pairs {
        let (Some(Ok(())), Some(Ok(()))) = (rows.next_row(&mut theirs)?, rows.next_row(&mut ours)?) else {
            break;
        };
        let sides = names.fields().zip(theirs.fields().zip(ours.fields()));
        let cells: Vec<Cell> = sides
            .filter(|(name, (theirs, ours))| {
                !theirs.is_empty() && theirs != ours && header.iter().any(|column| column == name)
            })
            .map(|(name, (theirs, ours))| Cell {
                column: name.to_owned(),
                theirs: theirs.to_owned(),
                ours: shown(ours),
            })
            .collect();
        if !cells.is_empty() {
            found.push((pair.line, cells));
        }
    }
    Ok(found)
}

/// Why a row is refused: what the books have in its place, where that was kept, and what to do.
fn problem(table: Table, cells: Option<Vec<Cell>>) -> CellProblem {
    let cells = cells.unwrap_or_default();
    let held: Vec<String> = cells
        .iter()
        .map(|cell| match cell.ours.as_str() {
            "" => format!("{} empty", cell.column),
            ours => format!("{} {ours}", cell.column),
        })
        .collect();
    let held = if held.is_empty() { "other values".to_owned() } else { held.join(", ") };
    let (key, or_else) = words(table);
    let why = format!(
        "the books have a row of the same {key} with {held}; a pack doesn't change rows of the books: leave this one \
         out{or_else}"
    );
    let first = cells.into_iter().next();
    let (column, value) = first.map(|cell| (cell.column, cell.theirs)).unwrap_or_default();
    CellProblem { column, value, why }
}

/// The columns that are the key of a table, and what else can be done about a second row of one key.
const fn words(table: Table) -> (&'static str, &'static str) {
    match table {
        Table::Use => (
            "unit, from and activity",
            ", with every later row of this unit and activity: the hours of the one that the books have go on, and would add up",
        ),
        Table::Sizes => ("part_no and size", ""),
        Table::Structure => ("parent, child, position, size and configuration", ""),
        Table::Weighings => {
            ("part_no, revision, size and specimen", ", or name the specimen otherwise if it is another one")
        }
        Table::Lots => ("lot_no and maker", ""),
        Table::LotUses => ("lot_no and used_lot_no", ""),
        Table::Serials => ("serial, lot_no and from", ""),
        Table::Movements => ("row_ref", ", or give it a row_ref of its own if it is another movement"),
        Table::Demand => ("month and part_no", ""),
        Table::Requirements => ("item_part_no, requirement_no, configuration and size", ""),
        Table::FitRanges => ("item_part_no, size and dimension", ""),
        Table::People => ("person", ", or name the person otherwise if it is another one"),
        _ => ("key", ""),
    }
}

/// Rows on their way to being held against the books.
struct Asked {
    batch: Batch,
    lines: Vec<u64>,
    header: Arc<[String]>,
}

/// Hands on the rows of tables that the books have something in.
struct Asking {
    rows: Sender<Asked>,
    tables: BTreeSet<Table>,
    header: Arc<[String]>,
}

impl Sink for Asking {
    fn begin(&mut self, _table: Table, header: &[String]) {
        self.header = Arc::from(header);
    }

    fn take(&mut self, batch: Batch, lines: Vec<u64>) -> Result<(), Stopped> {
        if !self.tables.contains(&batch.table()) {
            return Ok(());
        }
        let asked = Asked { batch, lines, header: Arc::clone(&self.header) };
        self.rows.blocking_send(asked).map_err(|_| Stopped)
    }

    fn refuse(&mut self, _refused: RefusedRow<'_>) {}

    fn refuse_file(&mut self, _table: Table, _why: &str) {}
}

/// Holds a pack against the books, and tells `progress` how far that is. Where the books have no rows of its tables, as when
/// they begin, the pack isn't even read.
///
/// # Errors
/// A file that can't be read; a failure of the store.
pub(crate) async fn find_clashes(
    store: &Store,
    source: &PackSource,
    known: &Known,
    today: NaiveDate,
    mut progress: impl FnMut(Table, u64),
) -> Result<Clashes, ImportError> {
    let books = store.books().await?;
    let mut tables = books.filled_tables().await?;
    // Some ship with the program.
    tables.insert(Table::Modes);
    let tables: BTreeSet<Table> = source.tables().filter(|table| tables.contains(table)).collect();
    let mut clashes = Clashes::default();
    if tables.is_empty() {
        return Ok(clashes);
    }
    let (rows, mut asked) = channel(WAITING);
    let (source, mut known) = (source.clone(), known.clone());
    let reading = spawn_blocking(move || {
        let mut asking = Asking { rows, tables, header: Arc::default() };
        read_pack(&source, &mut known, today, &Bars::default(), &mut asking).map(drop)
    });
    let mut compared: BTreeMap<Table, u64> = BTreeMap::new();
    while let Some(some) = asked.recv().await {
        compare(&books, &some, &mut clashes).await?;
        let so_far = compared.entry(some.batch.table()).or_default();
        *so_far += some.batch.len() as u64;
        progress(some.batch.table(), *so_far);
    }
    match reading.await? {
        Err(ReadError::Io(table, error)) => Err(CheckError::new(table, error).into()),
        // Nobody stops it but a failure of the store, which has been told.
        Ok(()) | Err(ReadError::Stopped) => Ok(clashes),
    }
}

/// Holds some rows of one table against what the books have under their keys.
async fn compare(books: &Books, asked: &Asked, clashes: &mut Clashes) -> Result<(), ImportError> {
    match &asked.batch {
        Batch::Modes(rows) => {
            let catalogue = books.catalogue().await?;
            let kept = rows.iter().map(|row| catalogue.mode(&row.code).cloned()).collect();
            clashes.note(rows, kept, asked)?;
        }
        Batch::Units(rows) => clashes.note(rows, books.already_units(rows).await?, asked)?,
        Batch::Use(rows) => clashes.note(rows, books.already_use_patterns(rows).await?, asked)?,
        Batch::Parts(rows) => clashes.note(rows, books.already_parts(rows).await?, asked)?,
        Batch::Sizes(rows) => clashes.note(rows, books.already_size_shares(rows).await?, asked)?,
        Batch::Structure(rows) => clashes.note(rows, books.already_components(rows).await?, asked)?,
        Batch::Weighings(rows) => clashes.note(rows, books.already_weighings(rows).await?, asked)?,
        Batch::Lots(rows) => clashes.note(rows, books.already_lots(rows).await?, asked)?,
        Batch::LotUses(rows) => clashes.note(rows, books.already_lot_uses(rows).await?, asked)?,
        Batch::Serials(rows) => clashes.note(rows, books.already_serials(rows).await?, asked)?,
        // One without a number of its own is its whole self, and can't be there with other values.
        Batch::Movements(rows) if rows.iter().all(|row| row.row_ref.is_none()) => {}
        Batch::Movements(rows) => clashes.note(rows, books.already_movements(rows).await?, asked)?,
        Batch::Demand(rows) => clashes.note(rows, books.already_demand(rows).await?, asked)?,
        Batch::Reports(rows) => clashes.note(rows, books.already_reports(rows).await?, asked)?,
        Batch::Requirements(rows) => clashes.note(rows, books.already_requirements(rows).await?, asked)?,
        Batch::FitRanges(rows) => clashes.note(rows, books.already_fit_ranges(rows).await?, asked)?,
        Batch::People(rows) => clashes.note(rows, books.already_people(rows).await?, asked)?,
        Batch::Changes(rows) => clashes.note(rows, books.already_changes(rows).await?, asked)?,
        // The same of these.
        Batch::Inspections(_) | Batch::Events(_) | Batch::BenchTests(_) | Batch::Effectivity(_) => {}
    }
    Ok(())
}
