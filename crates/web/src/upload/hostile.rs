//! Lists that are broken, strange or meant to hurt: each read or refused in words, none at a price.

use std::io::{Cursor, Write as _};

use rust_xlsxwriter::{Chart, ChartType, Format, Formula, Workbook};
use zip::write::SimpleFileOptions;

use super::{MOST_ROWS, Table, read};

const LIST: &str = "Date,Item,What happened\n2026-03-01,RC-100,zip split\n";

fn cells(table: &Table) -> Vec<Vec<String>> {
    table.rows.iter().map(|row| row.cells.clone().expect("readable")).collect()
}

fn refused(bytes: &[u8]) -> String {
    read(bytes).expect_err("refused")
}

fn workbook(fill: impl Fn(&mut rust_xlsxwriter::Worksheet)) -> Vec<u8> {
    let mut book = Workbook::new();
    book.add_worksheet();
    fill(book.add_worksheet());
    book.save_to_buffer().expect("written")
}

fn zip(parts: &[(&str, &[u8])]) -> Vec<u8> {
    let mut writer = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in parts {
        writer.start_file(*name, SimpleFileOptions::default()).expect("started");
        writer.write_all(bytes).expect("written");
    }
    writer.finish().expect("finished").into_inner()
}

#[test]
fn commas_semicolons_tabulators_and_both_kinds_of_utf_16_read_alike() {
    let expected = read(LIST.as_bytes()).expect("a list");
    assert_eq!(cells(&expected), [["2026-03-01", "RC-100", "zip split"]]);
    assert_eq!(expected.rows[0].line, 2);
    for sign in [";", "\t"] {
        assert_eq!(read(LIST.replace(',', sign).as_bytes()), Ok(expected.clone()));
    }
    let utf_16 = |mark: [u8; 2], bytes: fn(u16) -> [u8; 2]| -> Vec<u8> {
        mark.into_iter().chain(LIST.encode_utf16().flat_map(bytes)).collect()
    };
    assert_eq!(read(&utf_16([0xFF, 0xFE], u16::to_le_bytes)), Ok(expected.clone()));
    assert_eq!(read(&utf_16([0xFE, 0xFF], u16::to_be_bytes)), Ok(expected.clone()));
    assert!(refused(&[0xFF, 0xFE, 0x41]).contains("cut off"));
    assert!(refused(&[0xFF, 0xFE, 0x00, 0xD8]).contains("no text"));
    let with_quotes = "a;b\n\"x; y\"\"z\";\"two\nlines\"\n";
    assert_eq!(cells(&read(with_quotes.as_bytes()).expect("a list")), [["x; y\"z", "two\nlines"]]);
}

#[test]
fn a_chart_and_a_hidden_sheet_before_the_list_are_passed_over() {
    let mut book = Workbook::new();
    let mut chart = Chart::new(ChartType::Column);
    chart.add_series().set_values(("List", 1, 0, 1, 0));
    book.add_chartsheet().insert_chart(0, 0, &chart).expect("placed");
    book.add_worksheet().set_hidden(true).write(0, 0, "old list").expect("written");
    let list = book.add_worksheet().set_name("List").expect("named");
    for (column, [heading, cell]) in [["Item", "RC-100"], ["What happened", "zip split"]].iter().enumerate() {
        let column = u16::try_from(column).expect("few");
        list.write(0, column, *heading).and_then(|list| list.write(1, column, *cell)).expect("written");
    }
    let table = read(&book.save_to_buffer().expect("written")).expect("a list");
    assert_eq!(cells(&table), [["RC-100", "zip split"]]);
}

#[test]
fn a_title_above_the_table_and_empty_rows_are_passed_over() {
    let table = read(b"Our failures,,\n\n,,\nDate,Item,\n,,\n1,2,\n3\n").expect("a list");
    assert_eq!(table.headings, ["Date", "Item"]);
    assert_eq!(cells(&table), [["1", "2"], ["3", ""]]);
    assert_eq!(table.rows[1].line, 7);
}

#[test]
fn a_row_that_cannot_be_read_costs_itself_alone() {
    let table =
        read(b"a,b\n1,x\0y\n2,caf\xe9\n3,\"open\"x\n4,ok\n5,6,7\n8,\"never closed\n").expect("a list");
    let why: Vec<_> = table.rows.iter().map(|row| row.cells.clone().err().unwrap_or_default()).collect();
    assert!(why[0].contains("NUL byte"), "{why:?}");
    assert!(why[1].contains("CSV UTF-8"), "{why:?}");
    assert!(why[2].contains("closing quote"), "{why:?}");
    assert_eq!((why[3].as_str(), why[4].as_str()), ("", "has 3 cells under 2 headings"));
    assert!(why[5].contains("not closed"), "{why:?}");
}

#[test]
fn what_is_no_list_is_named() {
    assert_eq!(refused(b""), "is empty");
    assert!(refused(b"%PDF-1.7").contains("PDF"));
    assert!(refused(&[0xD0, 0xCF, 0x11, 0xE0, 1, 2]).contains("old form"));
    assert!(refused(b"just words").contains("no row of headings"));
    assert!(refused(b"a,b\n").contains("no row below"));
    assert!(refused(b"PK\x03\x04 and then nothing").contains("no workbook"));
    assert!(refused(&zip(&[("units.csv", b"unit\n")])).contains("zip and no workbook"));
    assert!(refused(&zip(&[("xl/workbook.xml", b"<workbook/>")])).contains("no workbook"));
    assert!(refused(&vec![b'x'; super::LARGEST_FILE + 1]).contains("larger than"));
    // An image is text to nobody: its first row can't be read, or holds no headings.
    assert!(read(&[0x89, b'P', b'N', b'G', 13, 10, 26, 10, 0, 0, 1, 2, 0xFF]).is_err());
}

#[test]
fn a_million_rows_ten_thousand_columns_and_endless_quotes_are_refused() {
    let rows = "1,2\n".repeat(1_000_000);
    assert_eq!(
        refused(format!("a,b\n{rows}").as_bytes()),
        format!("has more than {MOST_ROWS} rows; send it in parts")
    );
    assert!(
        refused("x,".repeat(10_000).as_bytes()).contains("10000 columns")
            || refused("x,".repeat(10_000).as_bytes()).contains("9999")
    );
    let endless = format!("a,b\n1,\"{}", "x".repeat(3 << 20));
    let table = read(endless.as_bytes()).expect("a list with one bad row");
    assert!(table.rows[0].cells.clone().expect_err("refused").contains("not closed"));
}

#[test]
fn a_workbook_gives_days_numbers_and_what_formulas_came_to() {
    let bytes = workbook(|sheet| {
        let day = Format::new().set_num_format("dd/mm/yyyy");
        for (column, heading) in ["Date", "Item", "Qty", "Text"].into_iter().enumerate() {
            sheet.write(0, column as u16, heading).expect("written");
        }
        let date = chrono::NaiveDate::from_ymd_opt(2026, 4, 3).expect("a day");
        sheet.write_with_format(1, 0, &date, &day).expect("written");
        sheet.write(1, 1, "RC-100").expect("written");
        sheet.write(1, 2, 3).expect("written");
        sheet.write_formula(1, 3, Formula::new("=1+1").set_result("2")).expect("written");
        sheet.write(4, 3, "=HYPERLINK(\"x\")").expect("written");
    });
    let table = read(&bytes).expect("a list");
    assert_eq!(cells(&table)[0], ["2026-04-03", "RC-100", "3", "2"]);
    assert_eq!((table.rows[1].line, cells(&table)[1][3].as_str()), (5, "=HYPERLINK(\"x\")"));
}

#[test]
fn a_workbook_with_a_cell_in_its_last_corner_costs_nothing() {
    let bytes = workbook(|sheet| {
        sheet.write(0, 0, "Date").expect("written");
        sheet.write(0, 1, "Item").expect("written");
        sheet.write(1_048_575, 0, "far down").expect("written");
    });
    assert_eq!(read(&bytes).expect("a list").rows[0].line, 1_048_576);
    let wide = workbook(|sheet| {
        sheet.write(0, 16_383, "far right").expect("written");
    });
    assert!(refused(&wide).contains("column 16384"));
    let long = workbook(|sheet| {
        for row in 0..MOST_ROWS as u32 + 20 {
            sheet.write(row, 0, "x").expect("written");
        }
    });
    assert!(refused(&long).contains("more than 2000 rows"));
}

#[test]
fn one_long_text_in_every_cell_is_refused() {
    let text = "x".repeat(30_000);
    let bytes = workbook(|sheet| {
        for row in 0..300 {
            sheet.write(row, 0, "y").expect("written");
            sheet.write(row, 1, text.as_str()).expect("written");
        }
    });
    assert!(bytes.len() < 100_000, "the text stands in the file once");
    assert!(refused(&bytes).contains("more text"));
}

#[test]
fn a_bomb_is_not_opened_whether_it_says_so_or_not() {
    let zeros = vec![b'0'; 40 << 20];
    let mut bomb = zip(&[("xl/workbook.xml", b"<workbook/>"), ("xl/sharedStrings.xml", &zeros)]);
    assert!(refused(&bomb).contains("would unpack to more than 32 MB"));
    for at in 0..bomb.len() - 4 {
        if bomb[at..at + 4] == (40_u32 << 20).to_le_bytes() {
            bomb[at..at + 4].copy_from_slice(&9_u32.to_le_bytes());
        }
    }
    assert!(read(&bomb).is_err());
}
