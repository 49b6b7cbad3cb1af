//! Lots of a recurrence as rows: observed against expected, and the ratio on a log scale.

use domain::analysis::{LotLine, REPORTS_WORTH_A_FLAG};
use domain::field::Field;
use serde::Serialize;
use stats::Interval;

use super::sits::ratio_or_least;
use crate::address;
use crate::charts::{Drawing, Scale, against_expected, axis, whisker};
use crate::format;
use crate::view::Sureness;

/// Lots beyond these are counted, not drawn.
const MOST_ROWS: usize = 40;

/// The rows with the two scales they share.
#[derive(Serialize)]
pub(super) struct LotRows {
    counts_axis: Drawing,
    ratio_axis: Drawing,
    rows: Vec<LotRow>,
    more: Option<String>,
    unread: Option<String>,
}

#[derive(Serialize)]
struct LotRow {
    address: String,
    lot_no: String,
    maker: String,
    revision: String,
    reports: String,
    expected: String,
    counts: Option<Drawing>,
    ratio: String,
    ratio_drawn: Option<Drawing>,
    exposure: String,
    sureness: Sureness,
    note: Option<String>,
}

impl LotRows {
    /// The rows of some lots, in their order.
    pub(super) fn new(field: &Field, lots: &[LotLine]) -> Self {
        let most = lots.iter().map(|l| f64::from(l.reports).max(l.expected.unwrap_or(0.0)));
        let counts = Scale::from_nought(most.fold(2.0, f64::max));
        let ratios = Scale::of_ratios(lots.iter().filter_map(|l| l.ratio.or(l.ratio_low)));
        let rows = lots.iter().take(MOST_ROWS).enumerate();
        let more = lots.len().saturating_sub(MOST_ROWS) as u64;
        let unread = lots.iter().filter_map(|l| l.unread).map(|u| u.reports).max().unwrap_or(0);
        Self {
            counts_axis: axis("counts-axis", "Reports", counts),
            ratio_axis: axis("ratio-axis", "Reported over expected, by its logarithm", ratios),
            rows: rows.map(|(at, line)| row(field, line, at, counts, ratios)).collect(),
            more: (more > 0).then(|| {
                format!("{} with fewer signs are not shown.", format::counted(more, "further lot", "further lots"))
            }),
            unread: (unread > 0).then(|| {
                format!(
                    "{} not read. A lot is said to stand out only if it also does were they all of other lots.",
                    format::counted(u64::from(unread), "label was", "labels were")
                )
            }),
        }
    }
}

/// `2.3 times (1.2 to 4.1)`, or why there is no ratio.
pub fn ratio_words(line: &LotLine) -> String {
    let nothing = || "no other lot to compare with".to_owned();
    line.ratio_low.map_or_else(nothing, |low| ratio_or_least(line.ratio, low, line.ratio_high))
}

/// Whether a lot is shown to stand out.
pub fn sureness(line: &LotLine) -> Sureness {
    if line.flagged {
        Sureness::Shown
    } else if line.ratio_low.is_none() || line.reports < REPORTS_WORTH_A_FLAG {
        Sureness::TooEarly
    } else {
        Sureness::NotShown
    }
}

fn row(field: &Field, line: &LotLine, at: usize, counts: Scale, ratios: Scale) -> LotRow {
    let lot = &field.lots[line.lot];
    let reports = u64::from(line.reports);
    let ratio = ratio_words(line);
    let expected = line.expected.map(|n| format::significant(n, 2));
    let said = format!(
        "{}, {} expected",
        format::counted(reports, "report", "reports"),
        expected.as_deref().unwrap_or("none")
    );
    let guessed = (line.guessed > 0)
        .then(|| format!("{} a guess from a misread label", format::count(u64::from(line.guessed))));
    let order = (line.holds_newest_first == Some(false))
        .then(|| "doesn't hold if movements take the newest items first".to_owned());
    let not_shown = (sureness(line) == Sureness::NotShown).then(|| line.not_shown()).flatten();
    LotRow {
        address: address::lot(field, line.lot),
        lot_no: lot.lot_no.to_string(),
        maker: lot.maker.map(|maker| field.makers[maker].to_owned()).unwrap_or_default(),
        revision: field.revisions[lot.revision].revision.to_string(),
        reports: format::count(reports),
        counts: line
            .expected
            .map(|expected| against_expected(&format!("counts-{at}"), &said, counts, reports, expected)),
        expected: expected.unwrap_or_else(|| "not known".into()),
        ratio_drawn: line.ratio_low.map(|low| {
            let ends = Interval { low, high: line.ratio_high.unwrap_or(f64::INFINITY) };
            let estimate = line.ratio.unwrap_or(f64::INFINITY);
            whisker(&format!("ratio-{at}"), &ratio, ratios, estimate, ends, Some(1.0))
        }),
        ratio,
        exposure: format::significant(line.item_years, 2),
        sureness: sureness(line),
        note: guessed
            .into_iter()
            .chain(order)
            .chain(not_shown.map(|why| why.word().to_owned()))
            .reduce(|a, b| format!("{a}; {b}")),
    }
}
