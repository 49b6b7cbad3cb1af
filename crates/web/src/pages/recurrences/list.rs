//! The list of recurrences: one ruled table, worst first, with the rates on a common scale.

use std::collections::HashMap;

use domain::analysis::{Analysis, ORDER, Recurrence};
use domain::field::{Field, ModeId, PartId};
use domain::permission::Actor;
use domain::recurrence::RecurrenceState;
use domain::risk::Severity;
use serde::{Deserialize, Serialize};
use store::RecurrenceRecord;

use super::figures::{harm_words, interval_of, rate_figure};
use super::risk::risk_of;
use super::sentence::{is_lot, lots_that_stand_out};
use super::sits;
use crate::address;
use crate::analyse::warnings;
use crate::charts::{Drawing, Scale, axis, whisker};
use crate::format;
use crate::templates::Page;
use crate::view::{Empty, Figure, Place, Shell};

/// More rows than this are never on one page.
const MOST_ROWS: usize = 200;

/// What a reader narrows the list by.
#[derive(Clone, Debug, Default, Deserialize)]
pub struct Filter {
    /// Part number or name.
    #[serde(default)]
    pub part: String,
    /// Severity category, 1 to 4.
    #[serde(default)]
    pub severity: String,
    /// Any word of part, mode or state.
    #[serde(default)]
    pub search: String,
}

/// The list.
#[derive(Serialize)]
pub struct RecurrencesPage {
    pub(super) shell: Shell,
    part: String,
    search: String,
    severities: Vec<Severities>,
    order: &'static str,
    shown: String,
    axis: Option<Drawing>,
    rows: Vec<Row>,
    empty: Empty,
    warnings: Vec<String>,
    /// Whether lines of the books don't agree, which a page of their own has.
    discrepancies: bool,
}

/// One choice of a select.
#[derive(Serialize)]
struct Severities {
    value: String,
    word: String,
    chosen: bool,
}

#[derive(Serialize)]
struct Row {
    address: String,
    part_name: String,
    part_no: String,
    mode: String,
    harm: Option<String>,
    /// Whether the watch signals.
    signals: bool,
    figure: Figure,
    /// Relevant reports, where the rate counts fewer.
    aside: Option<String>,
    drawn: Option<Drawing>,
    risk: String,
    lots: String,
    state: &'static str,
    owner: String,
}

type Records<'a> = HashMap<(&'a str, &'a str), &'a RecurrenceRecord>;

impl RecurrencesPage {
    /// The recurrences that pass the filter.
    pub fn new(
        actor: &Actor,
        field: &Field,
        analysis: &Analysis,
        records: &[RecurrenceRecord],
        filter: &Filter,
    ) -> Self {
        let records: Records<'_> =
            records.iter().map(|r| ((r.part_no.as_str(), r.mode.as_str()), r)).collect();
        let of = |r: &Recurrence| record_of(field, &records, r.part, r.mode);
        let passing: Vec<&Recurrence> =
            analysis.recurrences.iter().filter(|r| passes(field, r, of(r), filter)).collect();
        let highest = passing.iter().filter_map(|r| r.rate).map(|rate| rate.high);
        // One wild upper limit must not flatten all other whiskers: those that go on end in an arrow head.
        let estimates = passing.iter().filter_map(|r| r.rate).map(|rate| rate.estimate * 3.0);
        let scale = Scale::from_nought(highest.fold(0.0, f64::max).min(estimates.fold(0.0, f64::max)));
        let rows: Vec<Row> = passing
            .iter()
            .take(MOST_ROWS)
            .enumerate()
            .map(|(at, r)| row(field, r, of(r), scale, at))
            .collect();
        let all = analysis.recurrences.len() as u64;
        Self {
            shell: Shell::inside("Recurrences", actor, Place::Recurrences),
            part: filter.part.clone(),
            search: filter.search.clone(),
            severities: severities(&filter.severity),
            order: ORDER,
            shown: format!(
                "{} of {} shown, as of {}.",
                format::count(rows.len() as u64),
                format::counted(all, "recurrence", "recurrences"),
                format::date(analysis.as_of)
            ),
            axis: rows
                .iter()
                .any(|row| row.drawn.is_some())
                .then(|| axis("axis", "Reports per 1,000 item-years", scale)),
            empty: empty(analysis),
            rows,
            warnings: warnings(field, analysis),
            discrepancies: analysis.counts.discrepancies > 0,
        }
    }
}

fn record_of<'a>(
    field: &Field,
    records: &Records<'a>,
    part: PartId,
    mode: ModeId,
) -> Option<&'a RecurrenceRecord> {
    records.get(&(&field.part_names[part], &*field.modes[mode].code)).copied()
}

fn state_of(record: Option<&RecurrenceRecord>) -> RecurrenceState {
    record.map_or(RecurrenceState::Standing, |record| record.state)
}

fn passes(field: &Field, r: &Recurrence, record: Option<&RecurrenceRecord>, filter: &Filter) -> bool {
    let holds = |text: &str, wanted: &str| text.to_lowercase().contains(&wanted.trim().to_lowercase());
    let part = format!("{} {}", &field.part_names[r.part], super::figures::part_name(field, r.part));
    let mode = &field.modes[r.mode];
    let whole = format!("{part} {} {} {}", mode.code, mode.name, state_of(record));
    let severity = filter.severity.parse().ok().and_then(Severity::from_number);
    holds(&part, &filter.part)
        && filter.search.split_whitespace().all(|word| holds(&whole, word))
        && severity.is_none_or(|wanted| risk_of(field, r, record).severity == wanted)
}

fn severities(chosen: &str) -> Vec<Severities> {
    let any = Severities { value: String::new(), word: "any".into(), chosen: chosen.is_empty() };
    let each = Severity::ALL.iter().map(|severity| {
        let value = severity.number().to_string();
        Severities { word: format!("{value} {severity}"), chosen: value == chosen, value }
    });
    std::iter::once(any).chain(each).collect()
}

fn row(field: &Field, r: &Recurrence, record: Option<&RecurrenceRecord>, scale: Scale, at: usize) -> Row {
    let figure = rate_figure(r);
    let drawn = r.rate.map(|rate| {
        let said = format::rate(rate.estimate, interval_of(&rate), rate.occasions, rate.item_years);
        whisker(&format!("rate-{at}"), &said, scale, rate.estimate, interval_of(&rate), None)
    });
    Row {
        address: address::recurrence(field, r.part, r.mode),
        part_name: crate::format::titled(super::figures::part_name(field, r.part)),
        part_no: field.part_names[r.part].to_owned(),
        mode: field.modes[r.mode].name.to_string(),
        harm: harm_words(r),
        signals: r.watch.on_now(),
        figure,
        aside: r.rate.filter(|rate| rate.occasions < u64::from(r.reports)).map(|_| {
            let all = format::counted(u64::from(r.reports), "relevant report", "relevant reports");
            format!("of {all}; the rate counts what is chargeable and in service")
        }),
        drawn,
        risk: risk_of(field, r, record).words(),
        lots: lots(field, r),
        state: state_of(record).word(),
        owner: record.and_then(|record| record.owner.clone()).unwrap_or_default(),
    }
}

/// The lot that stands out, or how many do.
fn lots(field: &Field, r: &Recurrence) -> String {
    match lots_that_stand_out(r).as_slice() {
        // Its page shows such a lot as standing out, explained by a maker, a unit or another factor.
        [] if r.concentrations.iter().flatten().any(|c| c.flagged && is_lot(c)) => "none by itself".into(),
        [] => "none".into(),
        [only] => sits::level_name(field, only.level),
        several => format::counted(several.len() as u64, "lot", "lots"),
    }
}

fn empty(analysis: &Analysis) -> Empty {
    if !analysis.recurrences.is_empty() {
        return Empty::first("No recurrence passes this filter.", "Show all", "/recurrences");
    }
    if analysis.counts.reports == 0 {
        return Empty::first(
            "No reports yet. Bring in issue records and reports first.",
            "Load a data pack",
            "/packs",
        );
    }
    Empty::first(
        "No recurrence yet: no part has two relevant reports of one mode, or one with harm.",
        "Sort reports",
        "/sorting",
    )
}

impl Page for RecurrencesPage {
    const TEMPLATE: &'static str = "pages/recurrences/list";

    fn samples() -> Vec<Self> {
        let (field, analysis) = super::sample::field();
        let actor = super::sample::engineer();
        let records = [super::sample::record()];
        let page = |filter: &Filter| Self::new(&actor, &field, &analysis, &records, filter);
        let (nothing, blank) = super::sample::nothing();
        vec![
            page(&Filter::default()),
            page(&Filter { search: "no such".into(), ..Filter::default() }),
            Self::new(&actor, &nothing, &blank, &[], &Filter::default()),
        ]
    }
}

#[cfg(test)]
mod tests {
    use domain::analysis::{Concentration, FactorLevel};

    use super::super::sample;
    use super::*;

    #[test]
    fn the_lot_that_stands_out_is_named_be_it_of_items_or_of_what_they_were_made_from() {
        let (field, analysis) = sample::field();
        let r = &analysis.recurrences[0];
        assert_eq!(lots(&field, r), "item lot TB-0418");
        let cause = lots_that_stand_out(r)[0].clone();
        let FactorLevel::ItemLot(lot) = cause.level else { panic!("{cause:?}") };
        let used = Concentration { level: FactorLevel::UsedLot(lot), ..cause.clone() };
        let with = |found: &[Concentration]| {
            let concentrations = Some(found.to_vec());
            lots(&field, &Recurrence { lots: Vec::new(), concentrations, ..r.clone() })
        };
        assert_eq!(with(std::slice::from_ref(&used)), sits::level_name(&field, used.level));
        let follows = Concentration { explained_by: Some(used.level), ..cause.clone() };
        assert_eq!(with(&[used.clone(), follows]), sits::level_name(&field, used.level));
        assert_eq!(with(&[used, cause.clone()]), "2 lots");
        let unit = FactorLevel::Unit(field.reports[r.report_ids[0]].unit);
        assert_eq!(with(&[Concentration { explained_by: Some(unit), ..cause }]), "none by itself");
        assert_eq!(with(&[]), "none");
    }
}
