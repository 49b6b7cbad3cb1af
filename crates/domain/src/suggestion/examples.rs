//! What a model of narratives can learn from: the catalogue's own words and invented starter examples.

use std::sync::OnceLock;

use crate::catalogue::Mode;

const SHIPPED: &str = include_str!("../../data/narratives-example.csv");

/// A narrative and the mode it tells of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Example {
    /// What was told.
    pub narrative: String,
    /// The mode's code.
    pub mode: String,
}

/// The starter examples that ship with the program. They are invented: pages say so, and confirmed reports outvote them.
pub fn starters() -> &'static [Example] {
    static STARTERS: OnceLock<Vec<Example>> = OnceLock::new();
    STARTERS.get_or_init(|| {
        let mut reader = csv::Reader::from_reader(SHIPPED.as_bytes());
        let rows = reader
            .records()
            .map(|row| row.expect("the shipped examples are well-formed; a test reads every row"));
        rows.map(|row| Example { narrative: row[0].to_owned(), mode: row[2].to_owned() }).collect()
    })
}

/// What the catalogue says of a mode, each line as an example of it.
pub(super) fn catalogue_texts(kind: &str, mode: &Mode) -> Vec<String> {
    let named = format!("{kind} {}", mode.name);
    let said = [named, mode.mechanism.clone(), mode.how_found.clone()];
    let units = mode.field_words.iter().cloned();
    said.into_iter().chain(units).filter(|text| !text.trim().is_empty()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Catalogue;

    #[test]
    fn every_mode_of_the_shipped_catalogue_has_starter_examples_and_none_is_of_another() {
        let catalogue = Catalogue::shipped();
        assert!(
            starters().iter().all(|one| catalogue.mode(&one.mode).is_some() && !one.narrative.is_empty())
        );
        for mode in catalogue.modes() {
            assert!(starters().iter().filter(|one| one.mode == mode.code).count() >= 2, "{}", mode.code);
        }
    }

    #[test]
    fn what_the_catalogue_leaves_open_is_no_example() {
        let mode =
            Mode { mechanism: String::new(), ..Catalogue::shipped().mode("ZIP-1").expect("shipped").clone() };
        let texts = catalogue_texts("Slide fastener", &mode);
        assert_eq!(texts.len(), 2 + mode.field_words.len());
    }
}
