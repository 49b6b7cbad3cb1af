//! What really happened, counted while the world runs.

use std::collections::BTreeMap;

/// Counts of one mode on one component.
#[derive(Clone, Default)]
pub(super) struct ModeTally {
    /// Items that failed while records were kept.
    pub(super) failures: u64,
    /// Of these, items reported unasked, whether or not the report has arrived.
    pub(super) reported: u64,
    /// Reports in the pack, doubles included.
    pub(super) reports: u64,
    /// Of these, sent because a notice asked.
    pub(super) prompted: u64,
    /// Reports found in service before the end, unasked, that come after it.
    pub(super) in_the_post: u64,
    /// Faults found on receipt.
    pub(super) on_receipt: u64,
    /// Reports that are doubles.
    pub(super) doubles: u64,
    /// Items that fail in the year after the end.
    pub(super) coming_failures: u64,
    /// Reports found in the year after the end, doubles left out.
    pub(super) coming_reports: u64,
}

/// Counts of one bad lot.
#[derive(Clone, Default)]
pub(super) struct BadTally {
    /// Items that contained it.
    pub(super) items: u64,
    /// Reports its items would have brought had it been like others.
    pub(super) expected_base: f64,
    /// Reports it is expected to have brought on top.
    pub(super) expected_excess: f64,
    /// Reports its items brought unasked, doubles left out.
    pub(super) reports: u64,
    /// Who holds it when the books close: unit, lot of the items, items in service there that contain it.
    pub(super) holders: Vec<(usize, u32, u64)>,
}

/// All counts.
#[derive(Default)]
pub(super) struct Tally {
    pub(super) modes: Vec<ModeTally>,
    pub(super) bad: Vec<BadTally>,
    /// Reports written.
    pub(super) reports: u32,
    /// Pairs of reports of one failure.
    pub(super) doubles: Vec<(u32, u32)>,
    /// Reports whose label can't be used as it stands, with their true lot.
    pub(super) labels: Vec<(u32, u32)>,
    /// Reports without part and mode, with their true mode.
    pub(super) unsorted: Vec<(u32, u16)>,
    /// Reports found before the end that come after it.
    pub(super) in_the_post: u64,
    /// Unit (none for what was returned and not issued again), lot, items really there, items on record.
    pub(super) holdings: Vec<(Option<usize>, u32, u64, u64)>,
    /// Spare parts drawn by month and component.
    pub(super) demand: BTreeMap<(String, usize), u32>,
}

impl Tally {
    /// Nothing counted yet.
    pub(super) fn new(modes: usize, bad: usize) -> Self {
        Self {
            modes: vec![ModeTally::default(); modes],
            bad: vec![BadTally::default(); bad],
            ..Self::default()
        }
    }
}

/// A report's reference.
pub(super) fn report_ref(number: u32) -> String {
    format!("R{number:07}")
}
