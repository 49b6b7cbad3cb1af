//! Proves for every table that what is read, written and read again is the same, whatever the cells hold.

use domain::pack::Table;
use proptest::prelude::*;
use proptest::sample::Index;
use proptest::test_runner::{Config, TestRunner};

use super::batch::for_table;
use super::cells::{Cells, Layout};
use super::rows::{Row, Rows};
use super::sheet::{Sheet, SheetWriter};

/// Cells that some column or other takes; each column is tried with all of them.
const TEXTS: &[&str] = &[
    "",
    "L-1",
    "Ä/7 b",
    "line one\nline two",
    "carriage\r\nreturn",
    "say \"no\", then",
    "=1+1",
    "'quoted'",
    " spaces kept in text ",
    "2026-03-01",
    "1999-12-31",
    "2024-02",
    "0",
    "1",
    "17",
    "1000000000",
    "0.1",
    "-2.5e-7",
    "12345.678901234567",
    "1e300",
    "yes",
    "no",
    "ZIP-1 SEM-2",
    "wearing",
    "depot",
    "measured",
    "pilot",
    "opening",
    "count",
    "convert",
    "used",
    "left",
    "repair",
    "part_replaced",
    "not_looked",
    "read",
    "after_wash",
    "by_unit",
    "near_miss",
    "exhibit",
    "teardown",
    "retained",
    "stopped",
    "rate_per_1000_item_years",
    "at_least",
    "cut in",
    "not proved",
    "accomplished",
    "proposed",
    "S",
    "D",
];

fn dimensions<T: Sheet>() -> Vec<String> {
    if T::HAS_DIMENSIONS { vec!["chest".to_owned(), "waist".to_owned()] } else { Vec::new() }
}

fn layout<T: Sheet>() -> Layout {
    let width = T::COLUMNS.len();
    let dimensions = dimensions::<T>().into_iter().enumerate().map(|(at, name)| (name, width + at)).collect();
    Layout { places: (0..width).map(Some).collect(), dimensions }
}

/// Reads the rows of a file, whatever its header.
fn read<T: Sheet>(text: &[u8]) -> Vec<Option<T>> {
    let mut rows = Rows::new(text).expect("memory reads");
    let (mut row, layout, mut nouns) = (Row::default(), layout::<T>(), Vec::new());
    rows.next_row(&mut row).expect("memory reads").expect("a header").expect("whole");
    while let Some(next) = rows.next_row(&mut row).expect("memory reads") {
        next.expect("what was written can be read");
        nouns.push(T::read(&mut Cells::new(T::COLUMNS, &layout, &row)));
    }
    nouns
}

fn table(rows: impl Iterator<Item = Vec<&'static str>>, width: usize) -> Vec<u8> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(vec!["x"; width]).expect("memory writes");
    rows.for_each(|row| writer.write_record(row).expect("memory writes"));
    writer.into_inner().expect("memory writes")
}

/// The texts each column takes without complaint.
fn accepted<T: Sheet>() -> Vec<Vec<&'static str>> {
    let width = T::COLUMNS.len() + dimensions::<T>().len();
    let layout = layout::<T>();
    let mut accepted = vec![Vec::new(); width];
    for text in TEXTS {
        let bytes = table([vec![*text; width]].into_iter(), width);
        let mut rows = Rows::new(bytes.as_slice()).expect("memory reads");
        let mut row = Row::default();
        rows.next_row(&mut row).expect("memory reads");
        if rows.next_row(&mut row).expect("memory reads").is_none() {
            continue;
        }
        let mut cells = Cells::new(T::COLUMNS, &layout, &row);
        T::read(&mut cells);
        let problems = cells.into_problems();
        for (at, texts) in accepted.iter_mut().enumerate() {
            let name = match T::COLUMNS.get(at) {
                Some(column) => column.name.to_owned(),
                None => format!("{}_mm", dimensions::<T>()[at - T::COLUMNS.len()]),
            };
            if problems.iter().all(|problem| problem.column != name) {
                texts.push(*text);
            }
        }
    }
    accepted
}

fn write<T: Sheet>(nouns: &[T]) -> Vec<u8> {
    let mut writer = SheetWriter::new::<T>(Vec::new(), &dimensions::<T>()).expect("memory writes");
    for noun in nouns {
        writer.write(noun).expect("memory writes");
    }
    writer.finish().expect("memory writes")
}

fn comes_back<T: Sheet>() {
    let accepted = accepted::<T>();
    let picks = prop::collection::vec(prop::collection::vec(any::<Index>(), accepted.len()), 1..20);
    let mut runner = TestRunner::new(Config { failure_persistence: None, ..Config::with_cases(40) });
    let comes_back = |picks: Vec<Vec<Index>>| {
        let pick =
            |row: &Vec<Index>| accepted.iter().zip(row).map(|(texts, pick)| *pick.get(texts)).collect();
        let text = table(picks.iter().map(pick), accepted.len());
        let first: Vec<T> = read(&text).into_iter().map(|noun| noun.expect("accepted")).collect();
        let written = write(&first);
        let second: Vec<T> = read(&written).into_iter().map(|noun| noun.expect("written")).collect();
        prop_assert_eq!(&written, &write(&second));
        prop_assert_eq!(T::batch(first), T::batch(second));
        Ok(())
    };
    runner.run(&picks, comes_back).unwrap_or_else(|error| panic!("{}: {error}", T::TABLE));
}

#[test]
fn every_noun_comes_back_from_its_file() {
    for table in Table::ALL {
        for_table!(*table, comes_back::<_>());
    }
}

#[test]
fn every_column_takes_some_text_and_refuses_some() {
    for table in Table::ALL {
        let accepted = for_table!(*table, accepted::<_>());
        assert!(accepted.iter().all(|texts| texts.len() > 1), "{table}: {accepted:?}");
    }
}
