//! Invented packs in every stage, for the samples of the pages.

use domain::pack::Table;
use domain::permission::{Actor, Role};

use crate::pack::{
    FileSummary, Inspected, LeftAlone, Preview, Record, Refusal, RefusalLine, Stage, TakenLine,
};

/// An engineer.
pub(super) fn engineer() -> Actor {
    Actor::Person { id: 1, name: "Oda Fell".into(), role: Role::Engineer, unit: None }
}

/// A refusal as the list has it.
pub(super) fn line() -> RefusalLine {
    RefusalLine {
        file: "lots.csv".into(),
        line: "12".into(),
        column: "part_no".into(),
        value: "<b>".into(),
        reason: "no part has this number".into(),
    }
}

/// Packs in every stage.
pub(super) fn records() -> Vec<Record> {
    let left = |refused: u64| LeftAlone {
        rows: refused,
        first: vec![(7, vec!["name".into()]); refused.min(3) as usize],
    };
    let file = |refused: u64| FileSummary {
        table: Table::Parts,
        rows: 40,
        good: 30,
        here: 8,
        repeated: 0,
        refused,
        left: left(refused),
    };
    let inspected = |refused: u64, refused_files| Inspected {
        preview: Preview {
            files: vec![file(refused)],
            refused_rows: refused,
            refused_files,
            refusals: vec![Refusal::of_file("lots.csv", "no part has this number"); refused as usize],
            ..Preview::default()
        },
        unbalanced: vec![Refusal::of_file("movements.csv", "return of 8, 5 on record"); refused as usize],
    };
    let names = ["units.csv", "parts.csv", "lots.csv", "use.csv"].map(str::to_owned);
    let record = |refused, files, stage| {
        let found = inspected(refused, files);
        let mut record = Record::new(1, chrono::DateTime::UNIX_EPOCH, names.to_vec(), &found);
        record.stage = stage;
        record
    };
    let left = "2 rows of parts.csv: lines 7 (name) and 9 (name)".to_owned();
    let line = TakenLine { file: "parts.csv".into(), new: 30, here: 8, refused: 2, left: Some(left) };
    vec![
        record(0, 0, Stage::Checked),
        record(2, 0, Stage::Checked),
        record(250, 1, Stage::Checked),
        record(0, 0, Stage::Importing(0)),
        record(0, 0, Stage::Failed("Nothing was taken in.".into())),
        record(2, 0, Stage::Taken { tables: vec![line.clone()], left_out: true }),
        record(0, 0, Stage::Taken { tables: vec![line], left_out: false }),
    ]
}
