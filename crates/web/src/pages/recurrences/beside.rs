//! What stands beside the reports: hours worn, what inspections found lot by lot, and spare parts drawn.

use domain::analysis::{Drawn, Looked, Rate, Recurrence, Sight, UnitWear, Wear};
use domain::field::Field;
use serde::Serialize;
use stats::Interval;

use crate::address;
use crate::format::{self, count, counted, decimals, percent, significant};

/// Units shown of those whose use is on record, the most worn first.
const MOST_UNITS: usize = 8;
/// Lots shown of those looked at, those with most findings first.
const MOST_LOTS: usize = 8;

/// What the sections say.
#[derive(Serialize)]
pub(super) struct Beside {
    wear: String,
    units: Vec<[String; 5]>,
    more_units: Option<String>,
    looked: Vec<LookedRow>,
    drawn: Vec<String>,
}

#[derive(Serialize)]
struct LookedRow {
    name: String,
    address: Option<String>,
    inspected: String,
    found: String,
    share: String,
    others: String,
    verdict: String,
}

impl Beside {
    pub(super) fn new(field: &Field, r: &Recurrence) -> Self {
        let units = r.wear.as_ref().map_or(&[][..], |wear| &wear.units);
        let more = units.len().saturating_sub(MOST_UNITS) as u64;
        Self {
            wear: r.wear.as_ref().map_or_else(
                || "No unit’s use is on record, so failures can’t be set against hours worn.".to_owned(),
                wear_words,
            ),
            units: units.iter().take(MOST_UNITS).map(|unit| unit_row(field, unit)).collect(),
            more_units: (more > 0)
                .then(|| format!("{} that wear their items less.", counted(more, "more unit", "more units"))),
            looked: r.looked.iter().take(MOST_LOTS).map(|looked| looked_row(field, looked)).collect(),
            drawn: r.drawn.as_ref().map_or_else(Vec::new, drawn_words),
        }
    }
}

fn wear_words(wear: &Wear) -> String {
    format!(
        "Where use is on record, which is {} of the item-years: {} per 1,000 hours worn, {} in {} hours.",
        percent(wear.recorded, 0),
        with_limits(&wear.rate),
        counted(wear.rate.occasions, "failure", "failures"),
        count(wear.hours.round() as u64),
    )
}

fn with_limits(rate: &Rate) -> String {
    let ends = Interval { low: rate.low, high: rate.high };
    format!("{} ({})", significant(rate.estimate, 2), format::interval(ends))
}

fn unit_row(field: &Field, unit: &UnitWear) -> [String; 5] {
    [
        field.unit_names[unit.unit].to_owned(),
        decimals(unit.hours / unit.item_years, 0),
        count(unit.by_use.occasions),
        with_limits(&unit.by_calendar),
        with_limits(&unit.by_use),
    ]
}

fn looked_row(field: &Field, looked: &Looked) -> LookedRow {
    let share = looked.own.share().map_or_else(String::new, |(share, low, high)| {
        format!("{} ({} to {})", percent(share, 1), percent(low, 1), percent(high, 1))
    });
    LookedRow {
        name: looked
            .lot
            .map_or_else(|| "lots not told apart".to_owned(), |lot| field.lots[lot].lot_no.to_string()),
        address: looked.lot.map(|lot| address::lot(field, lot)),
        inspected: count(looked.own.inspected),
        found: count(looked.own.found),
        share,
        others: looked
            .others
            .map_or_else(|| "none".to_owned(), |o| format!("{} of {}", count(o.found), count(o.inspected))),
        verdict: looked.others.map_or_else(String::new, |_| looked.verdict().to_owned()),
    }
}

fn drawn_words(drawn: &Drawn) -> Vec<String> {
    let sight = |s: &Sight| {
        let told = counted(s.told, "reported item", "reported items");
        let share = s.share().map_or_else(
            || "more were reported than drawn".to_owned(),
            |(share, low, high)| {
                format!(
                    "so at most about {} of replacements are told of ({} to {})",
                    percent(share, 0),
                    percent(low, 0),
                    percent(high, 0)
                )
            },
        );
        let span = format::span(s.from.date(), domain::field::Day(s.to.0 - 1).date());
        format!("Over {span}: {} drawn beside {told}; {share}.", counted(s.drawn, "part was", "parts were"))
    };
    let mut words = vec![sight(&drawn.all)];
    if drawn.last_year.from > drawn.all.from {
        words.push(sight(&drawn.last_year));
    }
    words
}
