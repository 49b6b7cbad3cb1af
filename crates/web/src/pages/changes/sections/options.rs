//! The options of retrofit as a table with small pictures, and the suggested shares of failures left.

use serde::Serialize;
use stats::Interval;

use super::lists::retrofit_words;
use crate::charts::{Drawing, Scale, axis, reach, whisker};
use crate::format::{self, MassUnit};
use crate::pages::changes::view::{GroundView, OptionView, OptionsView, RecordView, SuggestedView};

/// The section.
#[derive(Serialize)]
pub(in crate::pages::changes) struct OptionRows {
    pub(in crate::pages::changes) axis: Option<Drawing>,
    pub(in crate::pages::changes) rows: Vec<OptionRow>,
    pub(in crate::pages::changes) caption: String,
    pub(in crate::pages::changes) rests: Vec<String>,
    pub(in crate::pages::changes) why_not: Option<String>,
}

/// One option.
#[derive(Serialize)]
pub(in crate::pages::changes) struct OptionRow {
    pub(in crate::pages::changes) words: &'static str,
    pub(in crate::pages::changes) chosen: bool,
    pub(in crate::pages::changes) avoided: String,
    pub(in crate::pages::changes) drawn: Drawing,
    pub(in crate::pages::changes) left: String,
    pub(in crate::pages::changes) touched: String,
    pub(in crate::pages::changes) grams: String,
    pub(in crate::pages::changes) cost: String,
    pub(in crate::pages::changes) reach: Drawing,
    pub(in crate::pages::changes) full: String,
}

impl OptionRows {
    pub(in crate::pages::changes) fn new(record: &RecordView, view: &OptionsView, unit: MassUnit) -> Self {
        let highest = view.options.iter().map(|row| row.avoided.high).fold(0.0, f64::max);
        let scale = Scale::from_nought(highest);
        let months = view.ground.map_or(0, |ground| ground.months);
        let chosen = record.written.as_ref().and_then(|written| written.retrofit);
        let currency = record.argued.costs.currency.as_deref();
        let rows = view.options.iter().map(|row| {
            let said = format!(
                "{} avoided ({} to {})",
                format::decimals(row.avoided.best, 0),
                format::decimals(row.avoided.low, 0),
                format::decimals(row.avoided.high, 0)
            );
            let ends = Interval { low: row.avoided.low.max(0.0), high: row.avoided.high.max(0.0) };
            OptionRow {
                words: retrofit_words(row.option),
                chosen: chosen == Some(row.option),
                drawn: whisker(
                    &format!("avoided-{}", row.option),
                    &said,
                    scale,
                    row.avoided.best.max(0.0),
                    ends,
                    None,
                ),
                avoided: said,
                left: format!(
                    "{} left ({} to {})",
                    format::decimals(row.left.best, 0),
                    format::decimals(row.left.low, 0),
                    format::decimals(row.left.high, 0)
                ),
                touched: touched(row),
                grams: row.grams.map_or_else(|| "not weighed".into(), |grams| unit.difference(grams)),
                cost: cost(row, currency),
                reach: reach(&format!("reach-{}", row.option), &reached(row), &row.reach),
                full: full(row),
            }
        });
        Self {
            axis: (!view.options.is_empty()).then(|| axis("avoided-axis", "Failures avoided", scale)),
            rows: rows.collect(),
            caption: format!("Within {months} months from now, against doing nothing"),
            rests: view.ground.map(rests).unwrap_or_default(),
            why_not: view.why_not.as_ref().map(|why| format!("No comparison: {why}.")),
        }
    }
}

fn touched(row: &OptionView) -> String {
    let mut parts = Vec::new();
    let mut say = |items: f64, what: &str| {
        if items >= 0.5 {
            parts.push(format!("{} {what}", format::decimals(items, 0)));
        }
    };
    say(row.converted, "converted");
    say(row.set_aside, "set aside in store");
    if parts.is_empty() { "none".to_owned() } else { parts.join(", ") }
}

fn cost(row: &OptionView, currency: Option<&str>) -> String {
    match (row.cost, currency) {
        (Some(cost), Some(currency)) => format!("{} {currency}", format::decimals(cost, 0)),
        (Some(0.0), None) => "none".to_owned(),
        _ => "unit cost not said".to_owned(),
    }
}

fn reached(row: &OptionView) -> String {
    let last = row.reach.last().copied().unwrap_or(0.0);
    format!("{} after {} months", format::percent(last, 0), row.reach.len())
}

fn full(row: &OptionView) -> String {
    let end = row.full_after_months.map_or_else(
        || "99\u{a0}% not within 50 years".to_owned(),
        |months| match months {
            0..36 => format!("99\u{a0}% in {months} months"),
            _ => format!("99\u{a0}% in {} years", format::decimals(f64::from(months) / 12.0, 0)),
        },
    );
    format!("{}; {end}", reached(row))
}

/// What the figures rest on, one sentence each.
fn rests(ground: GroundView) -> Vec<String> {
    let steady = if ground.assumed_steady {
        "taken as steady, for want of a fitted life".to_owned()
    } else {
        format!("following age to the power {}", format::significant(ground.shape, 2))
    };
    let begins = match ground.months_to_cut_in {
        0 => "from today".to_owned(),
        months => format!("in {}", format::counted(u64::from(months), "month", "months")),
    };
    let mut said = vec![
        format!(
            "{} items in service without the change, {} in store; {} so far, {steady}.",
            format::decimals(ground.fleet, 0),
            format::decimals(ground.in_store, 0),
            format::counted(u64::from(ground.failures), "failure", "failures"),
        ),
        format!(
            "{} of the items in service leave for good in a year and are replaced, {} come back otherwise and can be \
             converted; new lots {begins}; a recall takes {} months.",
            format::percent(ground.leaving_per_year, 0),
            format::percent(ground.returning_per_year, 0),
            format::decimals(ground.recall_months, 0),
        ),
        "Bounds are 90\u{a0}%: level, age and the predicted share are drawn from what is known of each, 4,000 times with \
         a fixed seed. Reported failures only."
            .to_owned(),
    ];
    if ground.not_told > 0 {
        let items = format::counted(ground.not_told, "item", "items");
        said.push(format!("Left out: {items} whose lot doesn't tell whether they have the change."));
    }
    said
}

/// What one kind of evidence comes to.
#[derive(Serialize)]
pub(in crate::pages::changes) struct SuggestedRow {
    pub(in crate::pages::changes) from: String,
    pub(in crate::pages::changes) said: String,
    pub(in crate::pages::changes) given: Vec<(&'static str, String)>,
    take: Option<String>,
}

/// Every suggestion; `edit` is the form's address for who may take one.
pub(in crate::pages::changes) fn suggested(views: &[SuggestedView], edit: Option<&str>) -> Vec<SuggestedRow> {
    let rows = views.iter().enumerate().map(|(at, view)| SuggestedRow {
        from: view.from.clone(),
        said: format!(
            "leaves {} of the failures ({})",
            format::significant(view.ratio, 2),
            format::interval(Interval { low: view.low, high: view.high })
        ),
        given: view.given.clone(),
        take: edit.map(|edit| format!("{edit}/prediction?take={at}")),
    });
    rows.collect()
}
