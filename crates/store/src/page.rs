//! A page of a long list.

use sea_orm::ExprTrait as _;
use sea_orm::sea_query::{Expr, Func, LikeExpr, SimpleExpr};

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
    let text = text.trim().to_lowercase().replace('\\', "\\\\").replace('%', "\\%").replace('_', "\\_");
    Expr::expr(Func::lower(Expr::col(column))).like(LikeExpr::new(format!("%{text}%")).escape('\\'))
}
