//! Fixed lists of words: one macro gives an enum its words, its parser and its order.

/// A word that is not on a fixed list.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{found}` is not one of: {accepted}")]
pub struct UnknownWord {
    /// What was written.
    pub found: String,
    /// The words that would have been taken, separated by commas.
    pub accepted: String,
}

/// Defines an enum whose variants are exactly the words of a fixed list.
macro_rules! words {
    ($(#[$meta:meta])* pub enum $name:ident { $($(#[$vmeta:meta])* $variant:ident = $word:literal),+ $(,)? }) => {
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name { $($(#[$vmeta])* $variant),+ }

        impl $name {
            /// Every value, in the order of the list.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];

            /// The word as it stands in a pack and on a page.
            pub const fn word(self) -> &'static str {
                match self { $(Self::$variant => $word),+ }
            }
        }

        impl std::str::FromStr for $name {
            type Err = $crate::words::UnknownWord;

            fn from_str(text: &str) -> Result<Self, Self::Err> {
                match text {
                    $($word => Ok(Self::$variant),)+
                    _ => Err($crate::words::UnknownWord {
                        found: text.to_owned(),
                        accepted: [$($word),+].join(", "),
                    }),
                }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(self.word())
            }
        }
    };
}
pub(crate) use words;

/// What is wrong with one value of a record, in words that say what was expected.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{field}: {why}")]
pub struct Problem {
    /// The column or form field.
    pub field: &'static str,
    /// What is wrong and what would be right.
    pub why: String,
}

impl Problem {
    /// A problem of one field.
    pub fn new(field: &'static str, why: impl Into<String>) -> Self {
        Self { field, why: why.into() }
    }
}

#[cfg(test)]
mod tests {
    use crate::unit::UnitKind;

    #[test]
    fn a_word_reads_back_as_itself() {
        for kind in UnitKind::ALL {
            assert_eq!(kind.word().parse(), Ok(*kind));
        }
    }

    #[test]
    fn a_strange_word_is_refused_with_the_accepted_ones() {
        let error = "ship".parse::<UnitKind>().unwrap_err();
        assert_eq!(error.to_string(), "`ship` is not one of: wearing, school, store, depot, repair");
    }
}
