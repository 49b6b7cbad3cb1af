//! Suggestions by the program: rows of a file in, an element a row out, and lines that can't be read named.

use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;

use super::program::binary;

fn suggest(file: &Path, more: &[&str]) -> Output {
    let mut command = Command::new(binary());
    command.arg("suggest").arg(file).args(more);
    command.env_remove("DATABASE_URL").env_remove("DATABASE_URL_FILE");
    command.output().expect("the program starts")
}

fn text(bytes: &[u8]) -> &str {
    std::str::from_utf8(bytes).expect("the program prints text")
}

#[test]
fn each_row_gets_its_suggestions_in_order_whatever_other_columns_hold() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("told.csv");
    let rows = "unit,narrative,item_part_no\nCOVE-2,\"zipper splits, right behind the slider\",RC-100\n\
                RIDGE-1,,\nCOVE-2,frame tube bent,\n";
    std::fs::write(&file, rows).expect("written");
    let ended = suggest(&file, &["--json"]);
    assert!(ended.status.success(), "{}", text(&ended.stderr));
    let answer: Value = serde_json::from_slice(&ended.stdout).expect("JSON");
    let numbers: Vec<u64> =
        answer.as_array().expect("an array").iter().filter_map(|one| one["row"].as_u64()).collect();
    assert_eq!(numbers, [1, 2, 3]);
    let first = &answer[0]["suggestions"];
    assert_eq!((&first[0]["kind"], &first[0]["mode"]), (&"ZIP".into(), &"ZIP-1".into()));
    assert_eq!(first.as_array().map(Vec::len), Some(5));
    let chances: Vec<f64> =
        first.as_array().expect("an array").iter().filter_map(|one| one["probability"].as_f64()).collect();
    assert!(chances.is_sorted_by(|a, b| a >= b) && chances.iter().sum::<f64>() <= 1.0 + 1e-6, "{chances:?}");
    let words = first[0]["words"].to_string();
    assert!(words.contains("zipper") && words.contains("behind"), "{words}");
    assert_eq!(answer[2]["suggestions"][0]["kind"], "FRM");

    let plain = suggest(&file, &[]);
    assert!(text(&plain.stdout).contains("ZIP-1"), "{}", text(&plain.stdout));
}

#[test]
fn a_line_that_cannot_be_read_is_named_and_nothing_is_printed() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("told.csv");
    std::fs::write(&file, "narrative,unit\nsplit,COVE-2\ntorn\n").expect("written");
    let ended = suggest(&file, &["--json"]);
    assert_eq!(ended.status.code(), Some(1));
    assert!(ended.stdout.is_empty() && text(&ended.stderr).contains("line 3"), "{}", text(&ended.stderr));

    std::fs::write(&file, "narrative,unit\n\"split,COVE-2\ntorn,COVE-2\n").expect("written");
    let ended = suggest(&file, &[]);
    assert_eq!(ended.status.code(), Some(1), "the rest of the file is no narrative");
    let told = text(&ended.stderr);
    assert!(ended.stdout.is_empty() && told.contains("line 2: a quote is opened and not closed"), "{told}");

    std::fs::write(&file, "story\nsplit\n").expect("written");
    let ended = suggest(&file, &[]);
    assert!(text(&ended.stderr).contains("no column `narrative`"), "{}", text(&ended.stderr));
}
