//! Exhibits whose hold has ended: each is released or held longer.

use chrono::NaiveDate;
use domain::exhibit::Exhibit;
use store::Kept;

use super::{Harm, Waiting};
use crate::format;
use crate::pages::exhibits::{overdue, page_of};

/// What waits for whoever keeps exhibits.
pub(super) fn waiting(all: Vec<Kept<Exhibit>>, today: NaiveDate) -> Vec<Waiting> {
    let late = overdue(all, today).into_iter();
    late.map(|kept| Waiting {
        since: Some(kept.what.hold_until),
        what: format!("Decide on exhibit {}", kept.number),
        about: format!("{}. Its hold ended on {}.", kept.what.what, format::date(kept.what.hold_until)),
        address: page_of(&kept.number),
        harm: Harm::None,
    })
    .collect()
}
