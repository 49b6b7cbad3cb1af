//! A page of a long list.

use sea_orm::ExprTrait as _;
use sea_orm::sea_query::{Expr, Func, LikeExpr, SimpleExpr};

/// Letters beyond ASCII of one search that are found in any case; databases refuse what is nested too deep.
const MOST_LETTERS: usize = 40;

/// Which part of a list is wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Page {
    /// Which page, from 0.
    pub number: u64,
    /// Rows on a page.
    pub size: u64,
}

impl Page {
    /// The first `size` rows.
    #[must_use]
    pub const fn first(size: u64) -> Self {
        Self { number: 0, size }
    }

    pub(crate) const fn offset(self) -> u64 {
        self.number.saturating_mul(self.size)
    }
}

/// Whether a column contains a text in any case; the text's own `%` and `_` stand for themselves.
pub(crate) fn contains(column: (&'static str, &'static str), text: &str) -> SimpleExpr {
    let text: String = text.trim().chars().flat_map(char::to_lowercase).collect();
    let column = small(column, &text);
    let text = text.replace('\\', "\\\\").replace('%', "\\%").replace('_', "\\_");
    Expr::expr(Func::lower(column)).like(LikeExpr::new(format!("%{text}%")).escape('\\'))
}

/// A column with those capitals small that the text has small and ASCII lacks: which of them `lower` knows differs from one
/// database to the other, and with the locale of a server.
fn small(column: (&'static str, &'static str), text: &str) -> SimpleExpr {
    let mut letters: Vec<(char, char)> =
        text.chars().filter_map(|letter| Some((capital(letter)?, letter))).collect();
    letters.sort_unstable();
    letters.dedup();
    letters.truncate(MOST_LETTERS);
    letters.into_iter().fold(Expr::col(column), |within, (capital, letter)| {
        Func::cust("replace").args([within, capital.to_string().into(), letter.to_string().into()]).into()
    })
}

/// The capital of a letter that is not ASCII, where it has one of its own.
fn capital(letter: char) -> Option<char> {
    let mut capital = letter.to_uppercase();
    let (first, none) = (capital.next()?, capital.next());
    (!letter.is_ascii() && !first.is_ascii() && none.is_none() && first != letter).then_some(first)
}
