//! What recurrences tell of a lot: of an item lot by its own reports, of a component lot by those of the items it went into.

use domain::analysis::{Analysis, Concentration, FactorLevel, LotLine, Recurrence};
use domain::field::{Field, LotId};
use stats::Interval;

use crate::pages::recurrences::{level_ratio, level_sureness, ratio_words, stands_out, sureness};

/// A lot in one recurrence.
pub(super) struct OnLot<'a> {
    pub(super) recurrence: &'a Recurrence,
    pub(super) reports: u32,
    /// Expected at the rates of its peers, where there are any.
    pub(super) expected: Option<f64>,
    pub(super) ratio: Option<(f64, Interval)>,
    /// The ratio in words.
    pub(super) words: String,
    /// Whether it stands out, and nothing else explains that.
    pub(super) stands_out: bool,
    /// The same in words, with what explains it.
    pub(super) said: String,
}

/// A lot in every recurrence that tells something of it, in the order of the recurrences.
pub(super) fn on_lot<'a>(field: &Field, analysis: &'a Analysis, lot: LotId) -> Vec<OnLot<'a>> {
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
    let ends = |low| Interval { low, high: line.ratio_high.unwrap_or(f64::INFINITY) };
    OnLot {
        recurrence,
        reports: line.reports,
        expected: line.expected,
        ratio: line.ratio_low.map(|low| (line.ratio.unwrap_or(f64::INFINITY), ends(low))),
        words: ratio_words(line),
        stands_out: line.flagged && level.is_none_or(|found| found.explained_by.is_none()),
        said: stands_out(field, sureness(line), level.and_then(|found| found.explained_by)),
    }
}

fn of_level<'a>(field: &Field, recurrence: &'a Recurrence, found: &Concentration) -> OnLot<'a> {
    OnLot {
        recurrence,
        reports: found.reports,
        expected: Some(found.expected),
        ratio: Some((
            found.ratio.unwrap_or(f64::INFINITY),
            Interval { low: found.ratio_low, high: found.ratio_high },
        )),
        words: level_ratio(found),
        stands_out: found.flagged && found.explained_by.is_none(),
        said: stands_out(field, level_sureness(found), found.explained_by),
    }
}
