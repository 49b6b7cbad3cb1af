//! Age at failure, what is to come, and how much is reported: the sections of a recurrence that look along time.

use domain::analysis::{Analysis, Forecast, Life, Portion, Recurrence, ReportingFraction};
use domain::field::{Field, UnitId};
use serde::Serialize;

use crate::charts::{Failed, life};
use crate::format::{count, counted, decimals, percent, significant};
use crate::view::{ChartView, Twin};

/// Lots and units shown of those with most to come.
const MOST_ROWS: usize = 5;

/// What the sections say.
#[derive(Serialize)]
pub(super) struct Outlook {
    life: String,
    life_more: Vec<String>,
    curve: Option<ChartView>,
    forecast: String,
    forecast_more: Option<String>,
    ahead: Vec<[String; 3]>,
    portions: Vec<[String; 5]>,
    reporting: String,
    reporting_more: Vec<String>,
    reporting_units: Vec<[String; 4]>,
}

impl Outlook {
    pub(super) fn new(field: &Field, analysis: &Analysis, r: &Recurrence) -> Self {
        let (life, life_more) = match &r.life {
            Ok(life) if life.is_told() => (life_words(life), left_out(life)),
            Ok(life) => (too_early(life), left_out(life)),
            Err(none) => (crate::format::sentence(&none.to_string()), Vec::new()),
        };
        let forecast = r.forecast.as_ref();
        let (reporting, reporting_more) = reporting(analysis, r);
        Self {
            life,
            life_more,
            curve: r.life.as_ref().ok().filter(|life| life.is_told()).map(curve),
            forecast: forecast.map_or_else(|none| crate::format::sentence(&none.to_string()), forecast_words),
            forecast_more: forecast.ok().map(basis),
            ahead: forecast.map_or_else(|_| Vec::new(), ahead),
            portions: forecast.map_or_else(|_| Vec::new(), |forecast| portions(field, forecast)),
            reporting,
            reporting_more,
            reporting_units: analysis
                .reporting
                .units
                .iter()
                .map(|(unit, f)| unit_share(field, *unit, f))
                .collect(),
        }
    }
}

fn years(number: f64) -> String {
    significant(number, 2)
}

fn life_words(life: &Life) -> String {
    let high = life.shape_high.map_or("no useful upper limit".to_owned(), |high| significant(high, 2));
    let (low, shape) = (significant(life.shape_low, 2), significant(life.shape, 2));
    let pattern = crate::format::sentence(life.pattern.sentence());
    let b10_high = life.b10_high.map_or("no useful upper limit".to_owned(), years);
    let beyond = if life.b10_years > life.oldest_years {
        format!(", beyond the {} years that the oldest item has served", decimals(life.oldest_years, 1))
    } else {
        String::new()
    };
    format!(
        "{pattern} Shape {shape} ({low} to {high}), from {}. One item in ten is reported failed by {} years in service ({} to {b10_high}){beyond}.",
        counted(u64::from(life.failures), "failure", "failures"),
        years(life.b10_years),
        years(life.b10_low),
    )
}

fn too_early(life: &Life) -> String {
    let failures = counted(u64::from(life.failures), "failure", "failures");
    format!("Too early: {failures} with an age tell neither a pattern nor by what age so many fail.")
}

fn left_out(life: &Life) -> Vec<String> {
    let line =
        |n: u32, one: &str, many: &str| (n > 0).then(|| format!("{}.", counted(u64::from(n), one, many)));
    [
        line(
            life.without_age,
            "failure has neither lot nor weeks worn, and counts in the level but not in the shape",
            "failures have neither lot nor weeks worn, and count in the level but not in the shape",
        ),
        line(
            life.age_not_on_record,
            "failure of items from before the records began is left out",
            "failures of items from before the records began are left out",
        ),
        line(
            life.too_recent,
            "failure is so recent that other reports of those days are still on their way, and is left out",
            "failures are so recent that other reports of those days are still on their way, and are left out",
        ),
        line(
            life.found_at_inspection,
            "failure was found by an inspection and happened at some age since the one before",
            "failures were found by inspections and happened at some age since the ones before",
        ),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn curve(life_of: &Life) -> ChartView {
    let points: Vec<Failed> = life_of
        .points
        .iter()
        .map(|p| Failed {
            age_years: p.age_years,
            share: p.failed,
            low: p.low,
            high: p.high,
            counted: p.counted,
        })
        .collect();
    let caption = "Share reported failed by age in service, with 95 % limits";
    let heads = ["Years in service", "Fitted", "Limits", "Counted"].map(str::to_owned).to_vec();
    let rows = points.iter().map(|p| {
        vec![
            decimals(p.age_years, 1),
            percent(p.share, 2),
            format!("{} to {}", percent(p.low, 2), percent(p.high, 2)),
            percent(p.counted, 2),
        ]
    });
    let table = Twin { heads, rows: rows.collect() };
    ChartView { caption: caption.to_owned(), drawing: life("life", caption, &points), table }
}

fn forecast_words(forecast: &Forecast) -> String {
    let year = forecast.year();
    format!(
        "In the next 12 months {} reports are to be expected ({} to {} with 90 % sureness) on the {} now in service.",
        significant(year.expected, 2),
        decimals(year.low, 0),
        decimals(year.high, 0),
        counted(forecast.in_service, "item", "items"),
    )
}

fn basis(forecast: &Forecast) -> String {
    let steady = if forecast.assumed_steady {
        " No life could be fitted, so the rate is taken as steady, and the bounds allow for its not being so."
    } else {
        ""
    };
    let changed = forecast.ratio_with_change.map_or(String::new(), |ratio| {
        let ratio = significant(ratio, 2);
        format!(" Items built to the change against it are taken to fail {ratio} times as often as others at their age.")
    });
    let recent = match forecast.too_recent {
        0 => String::new(),
        n => format!(
            ", and not yet on {} of days of which others are still on their way",
            counted(u64::from(n), "report", "reports")
        ),
    };
    format!(
        "It rests on {}{recent}; items leave at {} a year as they did so far, and no new ones come.{changed}{steady}",
        counted(u64::from(forecast.reports), "report", "reports"),
        percent(forecast.leaving_per_year, 1),
    )
}

fn ahead(forecast: &Forecast) -> Vec<[String; 3]> {
    let row = |a: &domain::analysis::Ahead| {
        let bounds = format!("{} to {}", decimals(a.low, 0), decimals(a.high, 0));
        [format!("{} months", a.months), significant(a.expected, 2), bounds]
    };
    forecast.ahead.iter().map(row).collect()
}

fn portions(field: &Field, forecast: &Forecast) -> Vec<[String; 5]> {
    let lots =
        forecast.lots.iter().take(MOST_ROWS).map(|p| portion(&format!("Lot {}", field.lots[p.of].lot_no), p));
    let units = forecast
        .units
        .iter()
        .take(MOST_ROWS)
        .map(|p| portion(&format!("Unit {}", &field.unit_names[p.of]), p));
    lots.chain(units).collect()
}

fn portion<I>(name: &str, p: &Portion<I>) -> [String; 5] {
    [
        name.to_owned(),
        decimals(p.in_service as f64, 0),
        decimals(f64::from(p.reports), 0),
        significant(p.expected, 2),
        format!("{} to {}", decimals(p.low, 0), decimals(p.high, 0)),
    ]
}

fn share(f: &ReportingFraction) -> String {
    format!("{} ({} to {})", percent(f.estimate, 0), percent(f.low, 0), percent(f.high, 0))
}

fn unit_share(field: &Field, unit: UnitId, f: &ReportingFraction) -> [String; 4] {
    [
        field.unit_names[unit].to_owned(),
        count(f.inspected),
        format!("{} against {}", count(u64::from(f.reports)), count(f.found)),
        if f.reports == 0 && f.found == 0 { "can\u{2019}t be told".to_owned() } else { share(f) },
    ]
}

fn reporting(analysis: &Analysis, r: &Recurrence) -> (String, Vec<String>) {
    let Some(fraction) = r.reporting_fraction else {
        let all = analysis.reporting.all.as_ref();
        let elsewhere = all.map(|f| {
            format!("Over all modes that were inspected for, {} of failures get reported.", share(f))
        });
        return (
            "No inspection looked for it, so how many failures go unreported can't be known.".into(),
            elsewhere.into_iter().collect(),
        );
    };
    // As it is printed: a limit that reads 100 % leaves nothing to correct.
    let all_reported = percent(fraction.low, 0) == percent(1.0, 0);
    let mut more = Vec::new();
    if let (Some(rate), Some(reported)) = (r.corrected_rate.filter(|_| !all_reported), r.rate) {
        let of = if u64::from(r.unasked) < reported.occasions {
            format!(", from the {} that came unasked", counted(u64::from(r.unasked), "report", "reports"))
        } else {
            String::new()
        };
        more.push(format!(
            "Were all reported, the rate would be {} per 1,000 item-years ({} to {}) beside the {} reported{of}.",
            significant(rate.estimate, 2),
            significant(rate.low, 2),
            significant(rate.high, 2),
            significant(reported.estimate, 2),
        ));
    }
    let most = if all_reported {
        "More is reported than inspections find, so that all failures are taken as reported".to_owned()
    } else {
        format!("About {} of failures get reported", share(&fraction))
    };
    let words = format!(
        "{most}: {} held against {} found among {} looked at in {}.",
        counted(u64::from(fraction.reports), "report", "reports"),
        decimals(fraction.found as f64, 0),
        counted(fraction.inspected, "item", "items"),
        counted(u64::from(fraction.inspections), "inspection", "inspections"),
    );
    (words, more)
}

#[cfg(test)]
mod tests {
    use domain::analysis::Recurrence;

    use super::super::sample;
    use super::*;

    #[test]
    fn where_all_is_reported_as_printed_nothing_is_corrected() {
        let (_, analysis) = sample::field();
        let told = |low: f64| {
            let fraction = ReportingFraction {
                estimate: 1.0,
                low,
                high: 1.0,
                reports: 40,
                inspections: 2,
                inspected: 100,
                found: 3,
            };
            let known = &analysis.recurrences[0];
            let rate = known.rate.expect("exposure");
            let corrected_rate = fraction.corrected(rate);
            reporting(
                &analysis,
                &Recurrence { reporting_fraction: Some(fraction), corrected_rate, ..known.clone() },
            )
        };
        let (words, more) = told(0.997);
        assert!(words.starts_with("More is reported than inspections find"), "{words}");
        assert!(more.is_empty(), "{more:?}");
        let (words, more) = told(0.9);
        assert!(words.starts_with("About 100\u{a0}% (90\u{a0}% to 100\u{a0}%) of failures"), "{words}");
        assert!(more[0].starts_with("Were all reported"), "{more:?}");
    }
}
