//! What code may not reach for: the clock and chance outside their two files, the system, SQL, other crates' names.

use super::lex::Source;

/// The only files that read the clock or draw randomness.
const DOORS: [&str; 2] = ["crates/web/src/clock.rs", "crates/web/src/secrets.rs"];

const CLOCK_AND_CHANCE: &[&str] = &[
    "Utc::now",
    "Local::now",
    "SystemTime::now",
    "Uuid::new_v4",
    "Uuid::now_v7",
    "rand::rng",
    "rand::random",
    "thread_rng",
    "OsRng",
    "SysRng",
    "getrandom",
    "from_os_rng",
    "RandomState::new",
];

/// The clock and chance come in as arguments everywhere but behind the two doors.
pub(super) fn clock_and_chance(path: &str, source: &Source) -> Vec<String> {
    if DOORS.contains(&path) { Vec::new() } else { names(source, CLOCK_AND_CHANCE) }
}

/// A pure crate opens no file, starts no process, reads no environment and no clock, prints nothing.
pub(super) fn system(source: &Source) -> Vec<String> {
    names(
        source,
        &[
            "std::fs",
            "std::net",
            "std::env",
            "std::process",
            "std::time",
            "Instant::now",
            "println!",
            "eprintln!",
            "print!",
            "eprint!",
            "stdin",
            "stdout",
        ],
    )
}

/// Every line of production code that holds one of the names as whole words.
pub(super) fn names(source: &Source, names: &[&str]) -> Vec<String> {
    let mut found = Vec::new();
    for (number, line) in source.production() {
        for name in names {
            if holds(line, name) {
                found.push(format!("line {number}: `{name}`"));
            }
        }
    }
    found
}

fn holds(line: &str, name: &str) -> bool {
    let in_name = |c: char| c.is_alphanumeric() || c == '_';
    line.match_indices(name).any(|(at, _)| {
        let (before, after) = (&line[..at], &line[at + name.len()..]);
        !before.ends_with(in_name) && (name.ends_with('!') || !after.starts_with(in_name))
    })
}

/// No string literal reads like an SQL statement.
pub(super) fn sql(source: &Source) -> Vec<String> {
    const STATEMENTS: [[&str; 2]; 8] = [
        ["SELECT ", " FROM "],
        ["INSERT ", " INTO "],
        ["UPDATE ", " SET "],
        ["DELETE ", " FROM "],
        ["CREATE ", " TABLE "],
        ["CREATE ", " INDEX "],
        ["DROP ", " TABLE "],
        ["PRAGMA ", ""],
    ];
    let before = source.production_lines();
    let mut found = Vec::new();
    for (number, words) in source.strings.iter().filter(|(number, _)| *number <= before) {
        // One blank between words and one more at the ends, so that `INSERT INTO` is met as two words.
        let flat = format!("{} ", words.split_whitespace().collect::<Vec<_>>().join("  "));
        if STATEMENTS.iter().any(|[verb, rest]| flat.starts_with(verb) && flat.contains(rest)) {
            found.push(format!("line {number}: an SQL statement"));
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::{clock_and_chance, names, sql, system};
    use crate::architecture::lex::Source;

    #[test]
    fn a_clock_read_outside_its_file_is_found() {
        let source = Source::read("fn a() { let now = chrono::Utc::now(); }");
        assert_eq!(clock_and_chance("crates/web/src/pages/lots.rs", &source).len(), 1);
        assert!(clock_and_chance("crates/web/src/clock.rs", &source).is_empty());
    }

    #[test]
    fn chance_drawn_outside_its_file_is_found() {
        for text in [
            "let r = rand::rng();",
            "let id = Uuid::new_v4();",
            "OsRng.fill(&mut b);",
            "let x: u8 = rand::random();",
        ] {
            assert_eq!(clock_and_chance("crates/store/src/lot.rs", &Source::read(text)).len(), 1, "{text}");
        }
        assert!(clock_and_chance("crates/store/src/lot.rs", &Source::read("fn brand::rngs() {}")).is_empty());
    }

    #[test]
    fn a_pure_crate_that_reaches_out_is_found() {
        for text in ["use std::fs::File;", "println!(\"a\");", "let t = std::time::Instant::now();"] {
            assert!(!system(&Source::read(text)).is_empty(), "{text}");
        }
        assert!(system(&Source::read("writeln!(out, \"a\")?; // std::fs")).is_empty());
    }

    #[test]
    fn a_name_of_the_database_library_is_found() {
        assert_eq!(names(&Source::read("use sea_orm::DbErr;"), &["sea_orm"]).len(), 1);
        assert!(names(&Source::read("let sea_ormish = 1;"), &["sea_orm"]).is_empty());
    }

    #[test]
    fn sql_text_is_found_and_plain_words_are_not() {
        for text in [
            "SELECT a FROM b",
            "INSERT INTO b VALUES (1)",
            "UPDATE b SET a = 1",
            "DELETE FROM b",
            "PRAGMA foreign_keys",
        ] {
            assert_eq!(sql(&Source::read(&format!("let q = \"{text}\";"))).len(), 1, "{text}");
        }
        assert!(sql(&Source::read("let q = \"Select a file from the list\"; // SELECT a FROM b")).is_empty());
    }
}
