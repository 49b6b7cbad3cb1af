//! What recurrences tell of a lot: of an item lot by its own reports, of a component lot by those of the items it went into.

use domain::analysis::{Analysis, Concentration, FactorLevel, LotLine, Recurrence};
use domain::field::{Field, LotId};
use stats::Interval;

use crate::pages::recurrences::{level_ratio, level_sureness, ratio_words, stands_out, sureness};

/// A lot in one recurrence.
pub(crate) struct OnLot<'a> {
    pub(crate) recurrence: &'a Recurrence,
    pub(crate) reports: u32,
    /// Expected at the rates of its peers, where there are any.
    pub(crate) expected: Option<f64>,
    /// Item-years of an item lot; a component lot is in service with the items that contain it.
    pub(crate) item_years: Option<f64>,
    /// Reports over expected with its limits; infinite where its peers have no report.
    pub(crate) ratio: Option<(f64, Interval)>,
    /// Probability that it is worse than its peers, where there are any.
    pub(crate) probability_worse: Option<f64>,
    /// Whether it stands out, explained or not.
    pub(crate) flagged: bool,
    /// What explains it.
    pub(crate) explained_by: Option<FactorLevel>,
    /// The ratio in words.
    pub(super) words: String,
    /// Whether it stands out, and nothing else explains that.
    pub(super) stands_out: bool,
    /// The same in words, with what explains it.
    pub(super) said: String,
}

/// A lot in every recurrence that tells something of it, in the order of the recurrences.
pub(crate) fn on_lot<'a>(field: &Field, analysis: &'a Analysis, lot: LotId) -> Vec<OnLot<'a>> {
    let of = |recurrence: &'a Recurrence| {
        let level = |of: FactorLevel| recurrence.concentrations.iter().flatten().find(move |c| c.level == of);
        if let Some(line) = recurrence.lots.iter().find(|line| line.lot == lot) {
            return Some(of_line(field, recurrence, line, level(FactorLevel::ItemLot(lot))));
        }
        level(FactorLevel::UsedLot(lot)).map(|found| of_level(field, recurrence, found))
    };
    analysis.recurrences.iter().filter_map(of).collect()
}

fn of_line<'a>(
    field: &Field,
    recurrence: &'a Recurrence,
    line: &LotLine,
    level: Option<&Concentration>,
) -> OnLot<'a> {
    let explained_by = level.and_then(|found| found.explained_by);
    let ends = |low| Interval { low, high: line.ratio_high.unwrap_or(f64::INFINITY) };
    OnLot {
        recurrence,
        reports: line.reports,
        expected: line.expected,
        item_years: Some(line.item_years),
        ratio: line.ratio_low.map(|low| (line.ratio.unwrap_or(f64::INFINITY), ends(low))),
        probability_worse: line.probability_worse,
        flagged: line.flagged,
        explained_by,
        words: ratio_words(line),
        stands_out: line.flagged && explained_by.is_none(),
        said: stands_out(field, sureness(line), explained_by),
    }
}

fn of_level<'a>(field: &Field, recurrence: &'a Recurrence, found: &Concentration) -> OnLot<'a> {
    OnLot {
        recurrence,
        reports: found.reports,
        expected: Some(found.expected),
        item_years: None,
        ratio: Some((
            found.ratio.unwrap_or(f64::INFINITY),
            Interval { low: found.ratio_low, high: found.ratio_high },
        )),
        probability_worse: Some(found.probability_worse),
        flagged: found.flagged,
        explained_by: found.explained_by,
        words: level_ratio(found),
        stands_out: found.flagged && found.explained_by.is_none(),
        said: stands_out(field, level_sureness(found), found.explained_by),
    }
}
