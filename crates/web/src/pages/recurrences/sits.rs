//! Where a recurrence sits: the levels of every factor that stand out, what explains them, and the runners-up.

use domain::analysis::{Concentration, FactorLevel, REPORTS_WORTH_A_FLAG, Recurrence};
use domain::field::Field;
use serde::Serialize;
use stats::Interval;

use super::figures::part_name;
use crate::address;
use crate::charts::{Drawing, Scale, axis, whisker};
use crate::format;
use crate::view::Sureness;

/// Rows that stand out and are shown; the rest is counted.
const MOST_ROWS: usize = 24;
/// Kinds of what follows from a cause.
const KINDS: [(&str, &str); 4] = [
    ("item lot", "item lots"),
    ("other upstream lot", "other upstream lots"),
    ("unit", "units"),
    ("other factor", "other factors"),
];
/// Rows shown of what does not stand out.
const RUNNERS_UP: usize = 6;

/// The table.
#[derive(Serialize)]
pub(super) struct Sits {
    axis: Drawing,
    rows: Vec<SitsRow>,
    more: Option<String>,
}

#[derive(Serialize)]
struct SitsRow {
    name: String,
    address: Option<String>,
    /// Who holds what was made from a lot that stands out.
    holders: Option<String>,
    counts: String,
    expected: String,
    ratio: String,
    drawn: Drawing,
    said: String,
    note: Option<String>,
}

impl Sits {
    /// `None` where nothing has reports enough.
    pub(super) fn new(field: &Field, r: &Recurrence) -> Option<Self> {
        let all = r.concentrations.as_ref()?;
        let flagged = all.iter().filter(|c| c.flagged);
        // Item lots that don't stand out have a section of their own; a report or two say nothing of a factor.
        let others = all.iter().filter(|c| {
            !c.flagged && c.reports >= REPORTS_WORTH_A_FLAG && !matches!(c.level, FactorLevel::ItemLot(_))
        });
        let shown: Vec<&Concentration> =
            flagged.clone().take(MOST_ROWS).chain(others.take(RUNNERS_UP)).collect();
        if shown.is_empty() {
            return None;
        }
        let more = flagged.count().saturating_sub(MOST_ROWS) as u64;
        let scale = Scale::of_ratios(shown.iter().map(|c| c.ratio.unwrap_or(c.ratio_low)));
        Some(Self {
            axis: axis("sits-axis", "Reported over expected, by its logarithm", scale),
            rows: shown.iter().enumerate().map(|(at, c)| row(field, c, at, scale)).collect(),
            more: (more > 0).then(|| beyond(more)),
        })
    }
}

fn beyond(more: u64) -> String {
    format!("{}.", format::counted(more, "more stands out", "more stand out"))
}

fn row(field: &Field, c: &Concentration, at: usize, scale: Scale) -> SitsRow {
    let ratio = level_ratio(c);
    let ends = Interval { low: c.ratio_low, high: c.ratio_high };
    let not_shown = (level_sureness(c) == Sureness::NotShown).then(|| c.not_shown()).flatten();
    SitsRow {
        name: titled_name(field, c.level),
        address: match c.level {
            FactorLevel::UsedLot(lot) | FactorLevel::ItemLot(lot) => Some(address::lot(field, lot)),
            _ => None,
        },
        holders: match c.level {
            FactorLevel::UsedLot(lot) | FactorLevel::ItemLot(lot) if c.flagged => {
                Some(address::of_lot(field, lot, "holders"))
            }
            _ => None,
        },
        counts: format!("{} of {}", format::count(u64::from(c.reports)), format::count(u64::from(c.of))),
        expected: format::significant(c.expected, 2),
        drawn: whisker(
            &format!("sits-{at}"),
            &ratio,
            scale,
            c.ratio.unwrap_or(f64::INFINITY),
            ends,
            Some(1.0),
        ),
        ratio,
        said: stands_out(field, level_sureness(c), c.explained_by),
        note: not_shown.map(|why| why.word().to_owned()),
    }
}

/// `2.3 times (1.2 to 4.1)`.
pub(crate) fn level_ratio(c: &Concentration) -> String {
    ratio_or_least(c.ratio, c.ratio_low, Some(c.ratio_high).filter(|high| high.is_finite()))
}

/// A ratio with its limits; of one against peers without a report the lower limit alone.
pub(super) fn ratio_or_least(ratio: Option<f64>, low: f64, high: Option<f64>) -> String {
    let figure = |n| format::significant(n, 2);
    match (ratio, high) {
        (Some(ratio), Some(high)) => format::ratio(ratio, Interval { low, high }),
        (Some(ratio), None) => format!("{} times ({} to no limit)", figure(ratio), figure(low)),
        (None, _) => format!("at least {} times: the others have no report", figure(low)),
    }
}

/// Whether a level is shown to stand out.
pub(crate) fn level_sureness(c: &Concentration) -> Sureness {
    match c.flagged {
        true => Sureness::Shown,
        false if c.reports < REPORTS_WORTH_A_FLAG => Sureness::TooEarly,
        false => Sureness::NotShown,
    }
}

/// Whether something stands out, and what explains that.
pub(crate) fn stands_out(field: &Field, sureness: Sureness, explained_by: Option<FactorLevel>) -> String {
    let word = sureness.word();
    explained_by
        .map_or_else(|| word.to_owned(), |by| format!("{word}, explained by {}", level_name(field, by)))
}

/// A level as it stands inside a sentence: `coil tape lot NT22-0143`.
pub(crate) fn level_name(field: &Field, level: FactorLevel) -> String {
    let value = level.value(field);
    match level {
        FactorLevel::UsedLot(lot) => format!("{} lot {value}", part_name(field, field.part_of_lot(lot))),
        FactorLevel::ItemLot(_) => format!("item lot {value}"),
        FactorLevel::Maker(_) => format!("maker {value}"),
        FactorLevel::Revision(revision) => {
            format!("{} revision {value}", part_name(field, field.revisions[revision].part))
        }
        FactorLevel::MonthMade(day) => format!("items made in {}", format::month(day.date())),
        FactorLevel::Size(_) => format!("size {value}"),
        FactorLevel::Unit(_) => format!("unit {value}"),
        FactorLevel::Activity(_) => format!("activity {value}"),
    }
}

fn titled_name(field: &Field, level: FactorLevel) -> String {
    crate::format::titled(&level_name(field, level))
}

/// What follows from a cause, by factor: `2 item lots and 1 other factor follow from it`.
pub(super) fn followers(r: &Recurrence, cause: FactorLevel) -> Option<String> {
    let mut counts = [0; KINDS.len()];
    for found in r.concentrations.iter().flatten().filter(|c| c.flagged && c.explained_by == Some(cause)) {
        let kind = match found.level {
            FactorLevel::ItemLot(_) => 0,
            FactorLevel::UsedLot(_) => 1,
            FactorLevel::Unit(_) => 2,
            _ => 3,
        };
        counts[kind] += 1;
    }
    let all: u64 = counts.iter().sum();
    let told = counts.iter().zip(KINDS).filter(|(n, _)| **n > 0);
    let words: Vec<String> = told.map(|(&n, (one, many))| format::counted(n, one, many)).collect();
    let (last, before) = words.split_last()?;
    let listed = if before.is_empty() { last.clone() } else { format!("{} and {last}", before.join(", ")) };
    Some(format!("{listed} {} from it", if all == 1 { "follows" } else { "follow" }))
}

#[cfg(test)]
mod tests {
    #[test]
    fn one_more_stands_out_and_several_stand() {
        assert_eq!(super::beyond(1), "1 more stands out.");
        assert_eq!(super::beyond(17), "17 more stand out.");
    }
}
