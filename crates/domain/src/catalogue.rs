//! The catalogue of failure modes: kinds of part and the ways they fail, in two tongues.

use std::collections::HashMap;
use std::sync::OnceLock;

use chrono::NaiveDate;

use crate::pack::{KeyHasher, Known, Record, Table};
use crate::words::{Problem, words};

/// Edition of the shipped catalogue; goes up when a shipped row changes.
pub const EDITION: u32 = 1;

const SHIPPED: &str = include_str!("../data/failure-modes.csv");

words! {
    /// How bad a mode usually is, until a person decides.
    pub enum DefaultSeverity {
        /// Somebody can be hurt: severity 2 of MIL-STD-882E.
        Safety = "S",
        /// The item can't do its job: severity 3.
        Mission = "M",
        /// Wear or nuisance: severity 4.
        Durability = "D",
    }
}

impl DefaultSeverity {
    /// The MIL-STD-882E severity category this stands for, 2 to 4.
    pub const fn category(self) -> u8 {
        match self {
            Self::Safety => 2,
            Self::Mission => 3,
            Self::Durability => 4,
        }
    }
}

/// A kind of part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Kind {
    /// Its code (`ZIP`).
    pub code: String,
    /// Its name (`Slide fastener`).
    pub name: String,
}

/// One way a kind of part fails.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mode {
    /// The kind's code.
    pub kind: String,
    /// The kind's name; in the catalogue that of the first mode of its kind.
    pub kind_name: String,
    /// Its code (`ZIP-1`).
    pub code: String,
    /// Its name, for engineers.
    pub name: String,
    /// The process behind it.
    pub mechanism: String,
    /// How it is found.
    pub how_found: String,
    /// What usually cures it.
    pub usual_fix: String,
    /// Test methods that address it.
    pub test_methods: String,
    /// How bad it usually is.
    pub default_severity: DefaultSeverity,
    /// What units call it, each a short phrase.
    pub field_words: Vec<String>,
}

impl Mode {
    /// Whether the code fits the kind, and nothing that must be said is missing.
    fn check(&self) -> Result<(), Problem> {
        let prefix = format!("{}-", self.kind);
        if self.kind.is_empty() || !self.code.starts_with(&prefix) || self.code.len() == prefix.len() {
            return Err(Problem::new("mode", format!("expected a code that begins with `{prefix}`")));
        }
        let plain = |c: char| c.is_ascii_uppercase() || c.is_ascii_digit() || c == '-';
        if !self.code.chars().all(plain) {
            return Err(Problem::new("mode", "expected capitals, digits and hyphens in the code"));
        }
        if self.name.trim().is_empty() {
            return Err(Problem::new("mode_name", "expected a name"));
        }
        if self.kind_name.trim().is_empty() {
            return Err(Problem::new("kind_name", "expected a name for the new kind"));
        }
        Ok(())
    }
}

/// A mode that the shipped catalogue lacks travels with the books whose reports name it.
impl Record for Mode {
    const TABLE: Table = Table::Modes;

    fn check_row(&self, _today: NaiveDate) -> Result<(), Problem> {
        self.check()
    }

    fn check_references(&self, _known: &Known, _problems: &mut Vec<Problem>) {}

    fn key(&self, key: &mut KeyHasher) {
        key.field(&self.code);
    }

    fn learn(&self, known: &mut Known) {
        known.add_mode(&self.kind, &self.code);
    }

    fn is_known(&self, known: &Known) -> Option<bool> {
        Some(known.has_mode(&self.code))
    }
}

/// Kinds and modes, shipped and added.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Catalogue {
    kinds: Vec<Kind>,
    modes: Vec<Mode>,
    by_code: HashMap<String, usize>,
}

impl Catalogue {
    /// The catalogue that ships with the program.
    pub fn shipped() -> &'static Self {
        static CATALOGUE: OnceLock<Catalogue> = OnceLock::new();
        CATALOGUE.get_or_init(|| Self::read(SHIPPED))
    }

    fn read(csv_text: &str) -> Self {
        let mut catalogue = Self { kinds: Vec::new(), modes: Vec::new(), by_code: HashMap::new() };
        let mut reader = csv::Reader::from_reader(csv_text.as_bytes());
        for row in reader.records() {
            let row = row.expect("the shipped catalogue is well-formed; a test reads every row");
            let mode = Mode {
                kind: row[0].to_owned(),
                kind_name: row[1].to_owned(),
                code: row[2].to_owned(),
                name: row[3].to_owned(),
                mechanism: row[4].to_owned(),
                how_found: row[5].to_owned(),
                usual_fix: row[6].to_owned(),
                test_methods: row[7].to_owned(),
                default_severity: row[8].parse().expect("the shipped catalogue uses S, M and D"),
                field_words: row[9].split(';').map(|w| w.trim().to_owned()).collect(),
            };
            catalogue.add(mode).expect("the shipped catalogue has no double codes");
        }
        catalogue
    }

    /// Adds a mode, and its kind where that is new. A kind that is known keeps its name, and the mode takes it over.
    ///
    /// # Errors
    /// A code that exists, that does not begin with its kind's code and a hyphen, or that holds other signs than
    /// capitals, digits and hyphens; an empty name, of the mode or of a new kind.
    pub fn add(&mut self, mut mode: Mode) -> Result<(), Problem> {
        if self.by_code.contains_key(&mode.code) {
            return Err(Problem::new("mode", format!("`{}` is in the catalogue already", mode.code)));
        }
        if let Some(kind) = self.kind(&mode.kind) {
            mode.kind_name.clone_from(&kind.name);
        }
        mode.check()?;
        if self.kind(&mode.kind).is_none() {
            self.kinds.push(Kind { code: mode.kind.clone(), name: mode.kind_name.clone() });
        }
        self.by_code.insert(mode.code.clone(), self.modes.len());
        self.modes.push(mode);
        Ok(())
    }

    /// All kinds, in catalogue order.
    pub fn kinds(&self) -> &[Kind] {
        &self.kinds
    }

    /// All modes, in catalogue order.
    pub fn modes(&self) -> &[Mode] {
        &self.modes
    }

    /// The kind of a code.
    pub fn kind(&self, code: &str) -> Option<&Kind> {
        self.kinds.iter().find(|k| k.code == code)
    }

    /// The mode of a code.
    pub fn mode(&self, code: &str) -> Option<&Mode> {
        self.by_code.get(code).map(|&i| &self.modes[i])
    }

    /// The modes that the shipped catalogue lacks, in the order they were added.
    pub fn added(&self) -> impl Iterator<Item = &Mode> {
        self.modes.iter().filter(|mode| Self::shipped().mode(&mode.code).is_none())
    }

    /// The modes of one kind.
    pub fn modes_of<'a>(&'a self, kind: &'a str) -> impl Iterator<Item = &'a Mode> {
        self.modes.iter().filter(move |m| m.kind == kind)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shipped_catalogue_has_29_kinds_and_134_modes() {
        let catalogue = Catalogue::shipped();
        assert_eq!((catalogue.kinds().len(), catalogue.modes().len()), (29, 134));
    }

    #[test]
    fn a_mode_keeps_its_words_for_units_and_for_engineers() {
        let mode = Catalogue::shipped().mode("ZIP-1").expect("shipped");
        assert_eq!(mode.name, "Chain split (elements disengage behind slider)");
        assert!(mode.field_words.iter().any(|w| w == "zipper split"));
        assert_eq!(mode.default_severity.category(), 3);
    }

    #[test]
    fn a_mode_can_be_added_once() {
        let mut catalogue = Catalogue::shipped().clone();
        let mode = Mode {
            code: "ZIP-90".into(),
            kind_name: String::new(),
            ..catalogue.mode("ZIP-1").expect("shipped").clone()
        };
        assert_eq!(catalogue.add(mode.clone()), Ok(()));
        let added: Vec<(&str, &str)> =
            catalogue.added().map(|m| (m.code.as_str(), m.kind_name.as_str())).collect();
        assert_eq!(added, [("ZIP-90", "Slide fastener")], "a known kind keeps its name");
        assert_eq!(catalogue.add(mode.clone()).unwrap_err().field, "mode");
        let stray = Mode { code: "SEM-90".into(), ..mode };
        assert!(catalogue.add(stray.clone()).unwrap_err().why.contains("`ZIP-`"));
        let small = Mode { code: "ZIP-a b".into(), ..stray };
        assert!(catalogue.add(small.clone()).unwrap_err().why.contains("capitals"));
        let nameless = Mode { kind: "RUNG".into(), code: "RUNG-1".into(), ..small };
        assert_eq!(catalogue.add(nameless.clone()).unwrap_err().field, "kind_name");
        assert_eq!(catalogue.add(Mode { kind_name: "Ladder".into(), ..nameless }), Ok(()));
        assert_eq!(catalogue.kind("RUNG").map(|kind| kind.name.as_str()), Some("Ladder"));
    }
}
