//! Before and after, staying in view: grams, failures, cost, and what is still missing.

use serde::Serialize;
use stats::Interval;

use super::gate::{self, MissingLine};
use super::load::Loaded;
use super::sections::failures::{FailureRows, rows};
use super::view::{MassLine, RecordView, TariffLine};
use crate::charts::{Drawing, Scale, before_after};
use crate::format::{self, MassUnit};

/// The panel.
#[derive(Serialize)]
pub(super) struct Side {
    masses: Vec<MassTable>,
    tariff: Option<String>,
    failures: FailureRows,
    cost: Option<String>,
    missing: Vec<MissingLine>,
    /// Whether what is missing matters where the change stands.
    is_open: bool,
}

/// Grams of one item and configuration, size by size.
#[derive(Serialize)]
pub(super) struct MassTable {
    pub(super) caption: String,
    pub(super) unit: &'static str,
    pub(super) rows: Vec<MassRow>,
}

/// One size.
#[derive(Serialize)]
pub(super) struct MassRow {
    pub(super) size: String,
    pub(super) figures: String,
    pub(super) change: Option<String>,
    pub(super) limit: Option<String>,
    pub(super) missing: Option<String>,
    pub(super) drawn: Drawing,
}

impl Side {
    pub(super) fn new(loaded: &Loaded, view: &RecordView, unit: MassUnit, editing: bool) -> Self {
        Self {
            masses: tables(&view.mass, unit),
            tariff: view.mass_tariff_mean.map(|mean| tariff(mean, unit)),
            failures: rows(view, "side"),
            cost: view.written.as_ref().and_then(|written| written.cost_note.clone()),
            missing: gate::lines(&view.change_no, &view.missing, editing),
            is_open: loaded.is_open(),
        }
    }
}

/// One table for each item and configuration.
pub(super) fn tables(lines: &[MassLine], unit: MassUnit) -> Vec<MassTable> {
    let mut tables: Vec<(String, Vec<&MassLine>)> = Vec::new();
    for line in lines {
        let caption = match &line.configuration {
            Some(configuration) => format!("{}, {configuration}", line.item),
            None => line.item.clone(),
        };
        match tables.iter_mut().find(|(known, _)| *known == caption) {
            Some((_, rows)) => rows.push(line),
            None => tables.push((caption, vec![line])),
        }
    }
    let whole = tables.into_iter().enumerate().map(|(at, (caption, lines))| {
        let numbers = lines.iter().flat_map(|line| {
            [line.before_g, line.after_g, line.limit.as_ref().map(|limit| limit.0)].into_iter().flatten()
        });
        let scale = Scale::around(numbers);
        let rows = lines.iter().enumerate();
        let rows = rows.map(|(row, line)| mass_row(line, &format!("mass-{at}-{row}"), scale, unit));
        MassTable { unit: unit.word(), rows: rows.collect(), caption }
    });
    whole.collect()
}

fn mass_row(line: &MassLine, id: &str, scale: Scale, unit: MassUnit) -> MassRow {
    let number = |mass: Option<f64>| mass.map_or_else(|| "not known".to_owned(), |mass| unit.number(mass));
    let figures = format!("{} \u{2192} {}", number(line.before_g), number(line.after_g));
    let change = line.delta_g.map(|delta| {
        let reach = line.delta_reach_g.map_or_else(
            || "weighed once, scatter not known".to_owned(),
            |reach| format!("\u{b1} {}", unit.mass(reach)),
        );
        let share = line.delta_percent.map(|percent| format!(", {}", signed(percent)));
        format!("{} {reach}{}", unit.difference(delta), share.unwrap_or_default())
    });
    let limit = line.limit.as_ref();
    let limit = limit.map(|(limit, no)| format!("at most {}, requirement {no}", unit.mass(*limit)));
    let size = line.size.clone().unwrap_or_else(|| "all".to_owned());
    let said = [Some(format!("{size}: {figures} {}", unit.word())), change.clone(), limit.clone()];
    let said: Vec<String> = said.into_iter().flatten().collect();
    MassRow {
        drawn: before_after(
            id,
            &said.join("; "),
            scale,
            line.before_g,
            line.after_g,
            line.limit.as_ref().map(|limit| limit.0),
        ),
        missing: never_weighed(line),
        size,
        figures,
        change,
        limit,
    }
}

/// A change in percent with its sign always written.
fn signed(percent: f64) -> String {
    let words = format::percent(percent / 100.0, 1);
    if percent >= 0.05 { format!("+{words}") } else { words }
}

fn never_weighed(line: &MassLine) -> Option<String> {
    let names = line.unweighed.iter().map(|(part_no, revision, size)| match size {
        Some(size) => format!("{part_no} {revision} in {size}"),
        None => format!("{part_no} {revision}"),
    });
    let names: Vec<String> = names.collect();
    match names.len() {
        0 => None,
        1..=3 => Some(format!("never weighed: {}", names.join(", "))),
        more => Some(format!("never weighed: {} and {} more parts", names[..2].join(", "), more - 2)),
    }
}

/// The means over the tariff of sizes, in words.
pub(super) fn tariff(mean: TariffLine, unit: MassUnit) -> String {
    let sure = mean.delta_standard_uncertainty_g.map_or_else(
        || "scatter not known".to_owned(),
        |standard| format!("standard uncertainty {}", unit.mass(standard)),
    );
    format!(
        "Mean over the tariff of sizes: {} \u{2192} {}, {} ({sure}), {}.",
        unit.mass(mean.before_g),
        unit.mass(mean.after_g),
        unit.difference(mean.delta_g),
        signed(mean.delta_percent),
    )
}

/// The two limits of a rate.
pub(super) const fn ends(low: f64, high: f64) -> Interval {
    Interval { low, high }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(before_g: f64, after_g: f64) -> MassLine {
        MassLine {
            item: "RC-100".into(),
            size: Some("M".into()),
            configuration: None,
            before_g: Some(before_g),
            before_reach_g: None,
            after_g: Some(after_g),
            after_reach_g: None,
            delta_g: Some(after_g - before_g),
            delta_reach_g: Some(12.0),
            delta_percent: Some(domain::mass::MassChange::percent(before_g, after_g)),
            limit: Some((3000.0, "3.2".into())),
            unweighed: Vec::new(),
        }
    }

    /// Plain arithmetic: 2 lb less of 8.5 lb are 23.5 %, not the "about 25 %" it is spoken of as.
    #[test]
    fn a_medium_carrier_from_8_5_lb_to_6_5_lb_shows_23_5_percent() {
        let pound = domain::mass::GRAMS_PER_POUND;
        let lines = [line(8.5 * pound, 6.5 * pound)];
        let table = &tables(&lines, MassUnit::Ounce)[0];
        let change = table.rows[0].change.clone().expect("weighed");
        assert!(change.contains("\u{2212}23.5\u{a0}%"), "{change}");
        assert!(table.rows[0].drawn.as_str().contains("c-limit"));
    }

    #[test]
    fn what_grows_is_written_with_its_sign() {
        let lines = [line(1000.0, 1013.0)];
        let change = tables(&lines, MassUnit::Gram)[0].rows[0].change.clone().expect("weighed");
        assert!(change.ends_with("+1.3\u{a0}%"), "{change}");
    }

    #[test]
    fn a_size_never_weighed_is_said_so() {
        let mut unweighed = line(1.0, 1.0);
        (unweighed.after_g, unweighed.delta_g, unweighed.delta_percent) = (None, None, None);
        unweighed.unweighed = vec![("RC-131".into(), "B".into(), Some("XL".into()))];
        let row = mass_row(&unweighed, "m", Scale::around([1.0]), MassUnit::Gram);
        assert_eq!(row.missing.as_deref(), Some("never weighed: RC-131 B in XL"));
        assert!(row.figures.contains("not known") && row.change.is_none());
    }
}
