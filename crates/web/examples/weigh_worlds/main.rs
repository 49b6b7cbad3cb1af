//! How the analysis does on invented worlds whose truth is known: `cargo run --release -p web --example weigh_worlds -- 500`.
//!
//! Arguments: how many worlds, about how many reports in each, the first seed, `told` to have the bad lots that were missed
//! and the false flags told one by one. Prints Markdown tables; what they said last
//! stands in `tests/bench/worlds.md`.

mod counts;
mod watching;

use std::error::Error;

use domain::analysis::{Analysis, Concentration, FactorLevel, Recurrence, analyse};
use domain::field::Field;
use serde_json::Value;
use web::pack::{Limits, PackSource, gather};
use web::simulate::{Request, simulate, truth_path};

use self::counts::{BANDS, Flags, Found, Held, TIMES, band, table};
use self::watching::Watching;

#[derive(Default)]
struct Results {
    /// Whether each miss is told.
    told: bool,
    found: [Found; 4],
    /// Those with 10 or more reports on top, by how many times worse they are.
    by_times: [Found; 3],
    /// The same by how many of the reports on top can be compared.
    by_compared: [Found; 4],
    with_bad: Flags,
    without: Flags,
    watching: Watching,
    change: Held,
    change_anytime: Held,
    /// Widths of the intervals of changes over what chance alone would make them, on the logarithm.
    widened: Vec<f64>,
    telling: Held,
    shape_few: Held,
    shape_many: Held,
    fraction: Held,
    unit_fraction: Held,
    forecast_few: Held,
    forecast_many: Held,
    to_come_few: Held,
    to_come_many: Held,
}

fn main() -> Result<(), Box<dyn Error>> {
    let number =
        |at: usize, usual: u64| std::env::args().nth(at).and_then(|n| n.parse().ok()).unwrap_or(usual);
    let (worlds, reports, first) = (number(1, 40), number(2, 4000), number(3, 1000));
    let mut results = Results { told: std::env::args().nth(4).is_some(), ..Results::default() };
    for seed in first..first + worlds {
        let request = Request {
            seed,
            items: u32::try_from(2 * reports)?,
            reports: Some(u32::try_from(reports)?),
            // Every second world has none, the others one or two.
            bad_lots: Some([0, 1, 0, 2][usize::try_from(seed % 4)?]),
            varied: true,
            ..Request::default()
        };
        let folder = tempfile::tempdir()?;
        let out = folder.path().join("pack");
        simulate(&request, &out)?;
        let field = gather(&PackSource::open(&out, Limits::COMMAND_LINE)?, 5)?;
        let truth: Value = serde_json::from_slice(&std::fs::read(truth_path(&out))?)?;
        let analysis = analyse(&field, request.end_date);
        judge_flags(&field, &analysis, &truth, &mut results);
        judge_change(&field, &analysis, &truth, &mut results);
        judge(&field, &analysis, &truth, &mut results);
    }
    println!("{worlds} worlds of about {reports} reports, seeds from {first}");
    table("expected excess reports", &BANDS, &results.found);
    table("of those with 10 or more, times as bad as good ones", &TIMES, &results.by_times);
    table("of those with 10 or more, excess that can be compared", &BANDS, &results.by_compared);
    println!();
    println!(
        "| upstream lots flagged that nothing else explains | worlds | flagged | false | worlds with a false one | mean share of false ones |"
    );
    println!("|---|---|---|---|---|---|");
    results.with_bad.line("in worlds with bad lots");
    results.without.line("in worlds without");
    println!();
    results.watching.print();
    println!();
    println!("| the truth lies within the limits | tried | held | below | above |");
    println!("|---|---|---|---|---|");
    results.change.line("ratio of a change at equal age, at a fixed date (95 %)");
    let widths = &mut results.widened;
    widths.sort_by(f64::total_cmp);
    let median = widths.get(widths.len() / 2).copied().unwrap_or(1.0);
    println!(
        "| width of the one before over that of the mid-P interval, median | {} | {median:.3} | | |",
        widths.len()
    );
    results.change_anytime.line("the same, however often one looks (95 %)");
    results.telling.line("share told since the cut-in over share told before (95 %)");
    results.shape_few.line("shape (95 %), fewer than 20 failures");
    results.shape_many.line("shape (95 %), 20 failures or more");
    results.fraction.line("reporting fraction of a mode (95 %)");
    results.unit_fraction.line("reporting fraction of a unit (95 %)");
    results.forecast_few.line("reports in 12 months (90 %), fewer than 10 expected");
    results.forecast_many.line("reports in 12 months (90 %), 10 or more expected");
    results.to_come_few.line("reports to come on recent weeks (90 %), fewer than 3 expected");
    results.to_come_many.line("reports to come on recent weeks (90 %), 3 or more expected");
    Ok(())
}

/// The recurrence of a mode in the truth.
fn find<'a>(field: &Field, analysis: &'a Analysis, part_no: &Value, mode: &Value) -> Option<&'a Recurrence> {
    let named = |r: &&Recurrence| *part_no == field.part_names[r.part] && *mode == *field.modes[r.mode].code;
    analysis.recurrences.iter().find(named)
}

fn upstream(recurrence: &Recurrence) -> Vec<&Concentration> {
    let all = recurrence.concentrations.iter().flatten();
    all.filter(|c| matches!(c.level, FactorLevel::UsedLot(_))).collect()
}

fn judge_flags(field: &Field, analysis: &Analysis, truth: &Value, results: &mut Results) {
    let empty = Vec::new();
    let bad = truth["bad_lots"].as_array().unwrap_or(&empty);
    let (mut flagged, mut wrong) = (0, 0);
    for recurrence in &analysis.recurrences {
        let shown = upstream(recurrence).into_iter().filter(|c| c.flagged && c.explained_by.is_none());
        for concentration in shown {
            let is_bad = |bad: &Value| {
                bad["failed_part_no"] == field.part_names[recurrence.part]
                    && bad["mode"] == *field.modes[recurrence.mode].code
                    && bad["lot_no"] == concentration.level.value(field)
            };
            flagged += 1;
            let is_wrong = !bad.iter().any(is_bad);
            wrong += u32::from(is_wrong);
            if results.told && is_wrong {
                tell("false", &truth["seed"], field, recurrence, Some(concentration));
            }
        }
    }
    if bad.is_empty() {
        results.without.add(flagged, wrong);
        let years = truth["parameters"]["years"].as_f64().unwrap_or(0.0);
        results.watching.add_good(field, analysis, years);
    } else {
        results.with_bad.add(flagged, wrong);
    }
    for bad in bad {
        let number = |key: &str| bad[key].as_f64().unwrap_or(0.0);
        let excess = number("expected_excess_reports");
        let reports = bad["reports"].as_u64().unwrap_or(0);
        let by_chance = stats::poisson_rate::upper_tail(reports, number("expected_reports_if_good"));
        let recurrence = find(field, analysis, &bad["failed_part_no"], &bad["mode"]);
        let lots = recurrence.map(upstream).unwrap_or_default();
        let place = lots.iter().position(|c| bad["lot_no"] == c.level.value(field));
        let found = Found {
            bad: 1,
            flagged: u32::from(place.is_some_and(|place| lots[place].flagged)),
            first_three: u32::from(place.is_some_and(|place| place < 3)),
            watched: u32::from(recurrence.is_some_and(|recurrence| recurrence.first_signal_on.is_some())),
            plain: u32::from(by_chance < 1e-4),
        };
        let add = |all: &mut [Found], at: Option<usize>| at.into_iter().for_each(|at| all[at].add(found));
        add(&mut results.found, band(&BANDS, excess));
        if excess >= 10.0 {
            add(&mut results.by_times, band(&TIMES, number("factor")));
            // As large a share of what is expected on top as of the reports that came.
            let compared = place.map_or(0.0, |place| f64::from(lots[place].reports)) / reports.max(1) as f64;
            add(&mut results.by_compared, band(&BANDS, excess * compared));
        }
        let Some(recurrence) = recurrence else { continue };
        results.watching.add_bad(field, analysis, recurrence, bad);
        if results.told && excess >= 10.0 && place.is_none_or(|place| !lots[place].flagged) {
            tell("missed", &truth["seed"], field, recurrence, place.map(|place| lots[place]));
            eprintln!(
                "    on top {excess:.1}, usual {:.1}, true {reports}, factor {:.1}, place {place:?}, chance {by_chance:.1e}, in {}",
                number("expected_reports_if_good"),
                number("factor"),
                bad["item_lots"],
            );
        }
    }
}

/// Tells of one level.
fn tell(what: &str, seed: &Value, field: &Field, recurrence: &Recurrence, level: Option<&Concentration>) {
    let (part, mode) = (&field.part_names[recurrence.part], &field.modes[recurrence.mode].code);
    eprintln!("{what}, seed {seed}: {part} {mode}, {} reports", recurrence.reports);
    let Some(c) = level else { return eprintln!("    not looked at") };
    eprintln!(
        "    {}: {} of {}, expected {:.2}, ratio {:.2}, p {:.1e}, evidence {:.2}, explained by {:?}",
        c.level.value(field),
        c.reports,
        c.of,
        c.expected,
        c.ratio.unwrap_or(f64::INFINITY),
        c.p_value,
        c.evidence,
        c.explained_by.map(|by| by.value(field)),
    );
}

fn judge_change(field: &Field, analysis: &Analysis, truth: &Value, results: &mut Results) {
    let Some(ratio) = truth["change"]["ratio"].as_f64() else { return };
    for result in &analysis.changes {
        if field.changes[result.change].change_no.as_ref() != truth["change"]["change_no"] {
            continue;
        }
        // Nobody in these worlds tells less, or more, for a change.
        if let Some(told) = result.telling.as_ref().and_then(|telling| telling.ratio) {
            results.telling.add(1.0, told.interval.low, told.interval.high);
        }
        let Some(proof) = result.proof else { continue };
        results.widened.push(proof.scatter.sqrt());
        let limits = [
            (&mut results.change, proof.low, proof.high),
            (&mut results.change_anytime, proof.anytime_low, proof.anytime_high),
        ];
        for (held, low, high) in limits {
            if let Some(low) = low {
                held.add(ratio, low, high.unwrap_or(f64::INFINITY));
            }
        }
    }
}

fn judge(field: &Field, analysis: &Analysis, truth: &Value, results: &mut Results) {
    let empty = Vec::new();
    let list = |key: &str| truth[key].as_array().unwrap_or(&empty).clone();
    for mode in list("modes") {
        let Some(recurrence) = find(field, analysis, &mode["part_no"], &mode["mode"]) else { continue };
        if let (Some(shape), Ok(life)) = (mode["life"]["shape"].as_f64(), &recurrence.life) {
            let held = if life.failures < 20 { &mut results.shape_few } else { &mut results.shape_many };
            held.add(shape, life.shape_low, life.shape_high.unwrap_or(f64::INFINITY));
        }
        if let (Some(share), Some(found)) =
            (mode["reporting_fraction"].as_f64(), recurrence.reporting_fraction)
        {
            results.fraction.add(share, found.low, found.high);
        }
        if let (Some(came), Ok(forecast)) = (mode["next_12_months"]["reports"].as_f64(), &recurrence.forecast)
        {
            if mode["life"].is_null() {
                continue;
            }
            let year = forecast.year();
            let held =
                if year.expected < 10.0 { &mut results.forecast_few } else { &mut results.forecast_many };
            held.add(came, year.low, year.high);
        }
    }
    for mode in list("modes") {
        let Some(recurrence) = find(field, analysis, &mode["part_no"], &mode["mode"]) else { continue };
        if let (Some(late), Some(to_come)) = (mode["in_the_post"].as_f64(), recurrence.to_come) {
            let held =
                if to_come.expected < 3.0 { &mut results.to_come_few } else { &mut results.to_come_many };
            held.add(late, to_come.low as f64, to_come.high as f64);
        }
    }
    for unit in list("units") {
        let found = analysis.reporting.units.iter().find(|(id, _)| unit["unit"] == field.unit_names[*id]);
        if let (Some((_, found)), Some(share)) = (found, unit["reporting_fraction"].as_f64()) {
            results.unit_fraction.add(share, found.low, found.high);
        }
    }
}
