//! Part numbers, what the change reaches, remarks and enclosures, as blocks.

use documents::{Block, Cell, Column};

use crate::pages::changes::sections::argued::ArguedRows;

/// Which numbers must change, from the part upwards.
pub(super) fn numbers(rows: &ArguedRows) -> Vec<Block> {
    if rows.numbers.is_empty() {
        return vec![Block::small("The books don't know the part yet.")];
    }
    let table = rows.numbers.iter().map(|row| {
        vec![
            Cell::code(&*row.part_no).small(Some(row.name.clone())),
            Cell::new(&*row.level),
            Cell::new(row.same),
            Cell::new(&*row.number).small(row.words.clone()),
        ]
    });
    let mut blocks = vec![Block::Table {
        caption: Some("From the changed part upwards, as far as the answers reach".into()),
        columns: vec![
            Column::share("Part", 1.0),
            Column::share("Level", 1.0),
            Column::share("With its previous version", 1.0),
            Column::share("Number", 1.4),
        ],
        rows: table.collect(),
    }];
    blocks.extend(rows.never.clone().map(Block::paragraph));
    let signed = rows.signed.as_deref().unwrap_or("Not signed yet");
    blocks.push(Block::small(format!("{signed}. Rule: {}. The engineer decides.", rows.rule)));
    blocks
}

/// Assemblies, stock and documents.
pub(super) fn reaches(rows: &ArguedRows) -> Vec<Block> {
    let mut blocks = Vec::new();
    if !rows.assemblies.is_empty() {
        blocks.push(Block::said("Assemblies that hold the part:", rows.assemblies.join("; ")));
    }
    let stock = rows.stock.iter().map(|row| {
        let side = Cell::new(row.side);
        let (stored, issued) = (Cell::new(&*row.in_store), Cell::new(&*row.on_issue));
        vec![Cell::code(&*row.part_no), Cell::new(&*row.revision), side, stored, issued]
    });
    let stock: Vec<_> = stock.collect();
    if !stock.is_empty() {
        blocks.push(Block::Table {
            caption: Some("Stock, from the ledger".into()),
            columns: vec![
                Column::share("Item", 1.0),
                Column::share("Revision", 1.0),
                Column::share("Change", 1.0),
                Column::number("In store"),
                Column::number("On issue"),
            ],
            rows: stock,
        });
    }
    let altered = rows.documents.iter().map(|row| {
        let (kind, note) = (Cell::new(&*row.kind), Cell::new(&*row.note));
        vec![Cell::code(&*row.number), kind, Cell::new(&*row.revision), note]
    });
    let altered: Vec<_> = altered.collect();
    if !altered.is_empty() {
        blocks.push(Block::Table {
            caption: Some("Documents that it alters".into()),
            columns: vec![
                Column::share("Document", 1.0),
                Column::share("Kind", 1.0),
                Column::content("Revision"),
                Column::share("What alters", 1.6),
            ],
            rows: altered,
        });
    }
    if blocks.is_empty() {
        blocks.push(Block::small("No assembly, stock or document is on record."));
    }
    blocks
}

/// Remarks as a drawing's table of revisions has them, then the files by name and digest.
pub(super) fn remarks(rows: &ArguedRows) -> Vec<Block> {
    let mut blocks = Vec::new();
    let said = rows.remarks.iter().map(|row| {
        let (by, date) = (Cell::new(&*row.by), Cell::new(&*row.date));
        vec![Cell::code(&*row.mark), Cell::new(&*row.what), by, date]
    });
    let said: Vec<_> = said.collect();
    if !said.is_empty() {
        blocks.push(Block::Table {
            caption: Some("Remarks".into()),
            columns: vec![
                Column::content("Mark"),
                Column::share("Remark", 3.0),
                Column::share("By", 1.0),
                Column::content("Date"),
            ],
            rows: said,
        });
    }
    let files = rows.enclosures.iter().map(|row| {
        let (size, told) = (Cell::new(&*row.size), Cell::new(&*row.told));
        vec![Cell::new(&*row.name), size, Cell::code(&*row.digest), told]
    });
    let files: Vec<_> = files.collect();
    if !files.is_empty() {
        blocks.push(Block::Table {
            caption: Some("Enclosures, kept with the record".into()),
            columns: vec![
                Column::share("File", 1.6),
                Column::content("Size"),
                Column::content("SHA-256 begins"),
                Column::share("Enclosed by", 1.0),
            ],
            rows: files,
        });
    }
    if blocks.is_empty() {
        blocks.push(Block::small("There is no remark and no enclosure."));
    }
    blocks
}
