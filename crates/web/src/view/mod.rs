//! What templates share: the shell around a page and the parts that sheets are made of.
//!
//! | view | partial | what it shows |
//! |---|---|---|
//! | [`Shell`] | both layouts | title, who is signed in, places |
//! | [`Thread`] | `{{> partials/thread thread}}` | the stitched seam along the top of a record page |
//! | [`TitleBlock`] | `{{> partials/title_block title_block}}` | number, revision, state, owner at the sheet's lower right |
//! | [`Figure`] | `{{> partials/figure figure}}` | a number with its interval, count, exposure; opens to how it was made |
//! | [`Caution`] | `{{> partials/cautions cautions}}` | cautions, a list of them |
//! | [`Ask`] | `{{> partials/ask ask}}` | a field to write in, with label, hint and problem |
//! | [`Choices`] | `{{> partials/choices choices}}` | one or any of a list, as rows for a thumb |
//! | [`Problem`] | `{{> partials/problem problem}}` | what is wrong with a field made by hand |
//! | `Faults` | one a field by `problem(..)`, or listed above the form | what is wrong with a whole form |
//! | [`Overtaken`] | `{{> partials/overtaken overtaken}}` | what somebody else decided while a form was open |
//! | [`Empty`] | `{{> partials/empty empty}}` | an empty page that says what to do first |
//! | [`ChartView`] | `{{> partials/chart chart}}` | a chart that stands alone, with its table |
//! | [`Revision`] | `{{> partials/revisions revisions}}` | remarks and revision notes in the sheet |
//!
//! | class | for |
//! |---|---|
//! | `sheet` on an `article` of `section`s with `h2` | a record page; the title block is its last child |
//! | `with-side` around `article.sheet` and `aside.side` | a record with before and after staying in view |
//! | `wide` (`tabindex="0" role="region" aria-label`) around a table | scrolls sideways on a phone |
//! | `ruled`, with `fold` and `data-word` on cells | a table; folds into blocks on a phone |
//! | `num`, `fig`, `code`, `date` on cells | right-aligned number, unbroken figure, lot or part number, date |
//! | `cell-chart` on `th` (`{{svg axis}}`) and `td` (`{{svg cell}}`) | a column of whiskers on a common scale |
//! | `pairs` on a `dl` of `div`s | names and values |
//! | `missing` on a `ul`, `met` on its `li` | what is still missing and what is there |
//! | `filter`, `actions`, `pager`, `sorted`, `done`, `problems`, `receipt`, `photos`, `harm-word`, `before-after` | as named |
//! | `button`, `second`, `quiet` | a link as a button, a lesser button, a button in a line of text |

mod caution;
mod chart;
mod clock;
mod faults;
mod figure;
mod form;
mod overtaken;
mod sheet;
pub mod shell;
#[cfg(test)]
mod tests;
mod thread;

pub use caution::Caution;
#[cfg(test)]
pub(crate) use caution::key as caution_key;
pub use chart::{ChartView, Twin};
pub use clock::Clock;
pub(crate) use faults::Faults;
pub use figure::{Figure, How, Input, Sureness};
pub use form::{Ask, Choice, Choices, Empty, Problem, Select};
pub use overtaken::Overtaken;
pub use sheet::{Revision, TitleBlock};
pub use shell::{Place, Shell};
pub use thread::{Sewn, Station, Strand, Thread};
