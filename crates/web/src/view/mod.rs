//! What templates share: the shell around a page and the parts that sheets are made of.
//!
//! | view | partial | what it shows |
//! |---|---|---|
//! | [`Shell`] | both layouts | title, who is signed in, places |
//! | [`Thread`] | `{{> partials/thread thread}}` | the stitched seam along the top of a record page |
//! | [`TitleBlock`] | `{{> partials/title_block title_block}}` | number, revision, state, owner at the sheet's lower right |
//! | [`Figure`] | `{{> partials/figure figure}}` | a number with its interval, count, exposure; opens to how it was made |
//! | [`Caution`] | `{{> partials/cautions cautions}}` | cautions, a list of them |
//! | [`Problem`] | `{{> partials/problem problem}}` | what is wrong with a field, beside it |
//! | [`Empty`] | `{{> partials/empty empty}}` | an empty page that says what to do first |
//! | [`ChartView`] | `{{> partials/chart chart}}` | a chart that stands alone, with its table |
//! | [`Revision`] | `{{> partials/revisions revisions}}` | remarks and revision notes in the sheet |

mod caution;
mod chart;
mod figure;
mod form;
mod sheet;
pub mod shell;
mod thread;

pub use caution::Caution;
pub use chart::{ChartView, Twin};
pub use figure::{Figure, How, Input, Sureness};
pub use form::{Empty, Problem};
pub use sheet::{Revision, TitleBlock};
pub use shell::{Place, Shell};
pub use thread::{Sewn, Station, Strand, Thread};
