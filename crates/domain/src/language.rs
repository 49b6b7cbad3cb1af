//! Languages in which units are spoken to; engineers work in English.

use crate::words::words;

words! {
    /// A language, by its code (ISO 639-1).
    pub enum Language {
        /// English.
        English = "en",
        /// German.
        German = "de",
        /// French.
        French = "fr",
    }
}

impl Language {
    /// What those who speak it call it.
    pub const fn own_name(self) -> &'static str {
        match self {
            Self::English => "English",
            Self::German => "Deutsch",
            Self::French => "Français",
        }
    }
}
