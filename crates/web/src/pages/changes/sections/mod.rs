//! The sections of the record as the page shows them, each from the one view.

pub(super) mod argued;
pub(super) mod failures;
pub(super) mod lists;
pub(super) mod options;
pub(super) mod weighed;
