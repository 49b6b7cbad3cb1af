//! Charts drawn by hand as SVG: each with title, description and, where it stands alone, its table.
//!
//! A chart takes numbers and words and gives a [`Drawing`], which a template shows with `{{svg chart}}`. Colours
//! come from style classes; presentation attributes stand in for them where there is no style sheet.

mod before_after;
mod drawing;
mod expected;
mod life;
mod lineage;
mod reach;
mod scale;
mod square_code;
mod weeks;
mod whisker;

pub use before_after::before_after;
pub use drawing::Drawing;
pub use expected::against_expected;
pub use life::{Failed, life};
pub use lineage::{Band, Knot, lineage};
pub use reach::reach;
pub use scale::Scale;
pub use square_code::square_code;
pub use weeks::{Mark, MarkKind, Week, weeks};
pub use whisker::{axis, whisker};
