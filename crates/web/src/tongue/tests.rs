//! The languages held side by side: the same texts, the same things to fill in, and none that nobody says.

use std::collections::{BTreeMap, BTreeSet};

use domain::caution::Caution;
use domain::instruction::InstructionKind;
use domain::language::Language;

use super::*;
use crate::view::caution_key;

/// What is filled into each text, by its key.
fn keys(language: Language) -> BTreeMap<String, BTreeSet<String>> {
    let file = format!("{}/../../templates/languages/{}.ftl", env!("CARGO_MANIFEST_DIR"), language.word());
    let mut keys: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    let mut last = String::new();
    for line in std::fs::read_to_string(file).expect("a file").lines() {
        if let Some((key, _)) = line.split_once(" = ").filter(|_| !line.starts_with(['#', ' '])) {
            key.clone_into(&mut last);
            assert!(keys.insert(last.clone(), BTreeSet::new()).is_none(), "{key} stands twice in {language}");
        }
        for filled in line.split("{ $").skip(1) {
            let name = filled.split([' ', '}']).next().expect("a name");
            keys.get_mut(&last).expect("a key before it").insert(name.to_owned());
        }
    }
    keys
}

#[test]
fn every_language_says_everything_and_fills_in_the_same() {
    let english = keys(Language::English);
    assert!(english.len() > 200, "{} texts", english.len());
    for language in Language::ALL {
        assert_eq!(keys(*language), english, "{language}");
    }
}

#[test]
fn every_text_can_be_said_in_every_language() {
    for language in Language::ALL {
        for (key, names) in keys(*language) {
            let filled: Vec<(&str, FluentValue<'_>)> = names
                .iter()
                .map(|name| (name.as_str(), if name == "month" { 3.into() } else { "x".into() }))
                .collect();
            let said = Tongue::of(*language).find(&key, &filled).expect("a text");
            assert!(!said.trim().is_empty() || key == "thousands", "{key} in {language}");
        }
    }
}

#[test]
fn nothing_is_said_of_a_key_without_text_or_with_a_gap() {
    let tongue = Tongue::of(Language::German);
    assert!(tongue.find("no-such-text", &[]).is_err());
    assert!(tongue.find("receipt-sent", &[("unit", "COVE-2".into())]).is_err());
    assert_eq!(tongue.say("no-such-text"), "no-such-text");
}

#[test]
fn every_text_is_said_somewhere() {
    /// Lists whose words make the end of a key.
    const OF_LISTS: [&str; 16] = [
        "altered-",
        "ask-",
        "became-",
        "change-",
        "count-",
        "error-says-",
        "fate-",
        "found_when-",
        "harm-",
        "lot_known-",
        "order-",
        "stage-",
        "stands-",
        "state-",
        "worn_unit-",
        "wrong-",
    ];
    let root = format!("{}/../..", env!("CARGO_MANIFEST_DIR"));
    let mut said = String::new();
    for folder in ["crates/web/src", "templates"] {
        gather(std::path::Path::new(&root).join(folder).as_path(), &mut said);
    }
    for key in keys(Language::English).keys() {
        let by_list = OF_LISTS.iter().any(|list| key.starts_with(list));
        assert!(by_list || said.contains(&format!("\"{key}\"")), "nobody says {key}");
    }
}

/// The text of every source and template below a folder, this file's aside.
fn gather(folder: &std::path::Path, into: &mut String) {
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            gather(&path, into);
        } else if path.extension().is_some_and(|end| end == "rs" || end == "hbs")
            && !path.ends_with("tongue/tests.rs")
        {
            into.push_str(&std::fs::read_to_string(path).expect("text"));
        }
    }
}

#[test]
fn units_read_the_cautions_and_orders_that_engineers_read() {
    for caution in Caution::ALL {
        assert_eq!(Tongue::ENGLISH.say(caution_key(caution)), caution.words());
    }
    for kind in InstructionKind::ALL {
        assert_eq!(Tongue::ENGLISH.word("order", kind), kind.order());
    }
}

#[test]
fn dates_and_counts_are_the_readers() {
    let day = NaiveDate::from_ymd_opt(2026, 3, 3).expect("a day");
    let of = |language| Tongue::of(language);
    assert_eq!(of(Language::English).date(day), format::date(day));
    assert_eq!(of(Language::German).date(day), "3. März 2026");
    assert_eq!(of(Language::French).date(day), "3 mars 2026");
    let counts = Language::ALL.iter().map(|language| of(*language).count(3914));
    assert_eq!(counts.collect::<Vec<_>>(), ["3,914", "3.914", "3\u{202f}914"]);
    assert_eq!(of(Language::German).listed(&["1", "2", "3"]), "1, 2 und 3");
}
