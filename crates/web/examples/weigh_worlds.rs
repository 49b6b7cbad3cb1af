//! How the analysis does on invented worlds whose truth is known: `cargo run -p web --example weigh_worlds -- 40`.
//!
//! Prints a Markdown table: how often the true shape, the true reporting fraction and the reports that came in the
//! following 12 months lie within the limits that the analysis gave. On 26 Nov 2026, `-- 60 6000 3000` printed:
//!
//! | the truth lies within the limits | tried | held | below | above |
//! |---|---|---|---|---|
//! | shape (95 %), fewer than 20 failures | 1788 | 91.8 % | 65 | 82 |
//! | shape (95 %), 20 failures or more | 277 | 92.1 % | 10 | 12 |
//! | reporting fraction of a mode (95 %) | 1989 | 96.8 % | 0 | 63 |
//! | reporting fraction of a unit (95 %) | 1440 | 96.5 % | 5 | 46 |
//! | reports in 12 months (90 %), fewer than 10 expected | 1643 | 94.6 % | 17 | 72 |
//! | reports in 12 months (90 %), 10 or more expected | 424 | 90.6 % | 33 | 7 |

use std::error::Error;

use domain::analysis::{Analysis, analyse};
use domain::catalogue::Catalogue;
use domain::field::Field;
use serde_json::Value;
use web::pack::{Limits, PackSource, gather};
use web::simulate::{Request, simulate, truth_path};

/// How often something held.
#[derive(Clone, Copy, Debug, Default)]
struct Held {
    tried: u32,
    within: u32,
    below: u32,
}

impl Held {
    fn add(&mut self, truth: f64, low: f64, high: f64) {
        self.tried += 1;
        self.within += u32::from(low <= truth && truth <= high);
        self.below += u32::from(truth < low);
    }

    fn line(&self, what: &str) {
        let share = 100.0 * f64::from(self.within) / f64::from(self.tried.max(1));
        let above = self.tried - self.within - self.below;
        println!("| {what} | {} | {share:.1} % | {} | {above} |", self.tried, self.below);
    }
}

#[derive(Clone, Copy, Debug, Default)]
struct Results {
    shape_few: Held,
    shape_many: Held,
    fraction: Held,
    unit_fraction: Held,
    forecast_few: Held,
    forecast_many: Held,
}

fn main() -> Result<(), Box<dyn Error>> {
    let number =
        |at: usize, usual: u64| std::env::args().nth(at).and_then(|n| n.parse().ok()).unwrap_or(usual);
    let (worlds, items, first) = (number(1, 40), number(2, 6000), number(3, 1000));
    let mut results = Results::default();
    for seed in first..first + worlds {
        let request = Request { seed, items: u32::try_from(items)?, varied: true, ..Request::default() };
        let folder = tempfile::tempdir()?;
        let out = folder.path().join("pack");
        simulate(&request, &out)?;
        let field = gather(&PackSource::open(&out, Limits::COMMAND_LINE)?, Catalogue::shipped(), 5)?;
        let truth: Value = serde_json::from_slice(&std::fs::read(truth_path(&out))?)?;
        judge(&field, &analyse(&field, request.end_date), &truth, &mut results);
    }
    println!("{worlds} worlds of {items} items, seeds from {first}");
    println!();
    println!("| the truth lies within the limits | tried | held | below | above |");
    println!("|---|---|---|---|---|");
    results.shape_few.line("shape (95 %), fewer than 20 failures");
    results.shape_many.line("shape (95 %), 20 failures or more");
    results.fraction.line("reporting fraction of a mode (95 %)");
    results.unit_fraction.line("reporting fraction of a unit (95 %)");
    results.forecast_few.line("reports in 12 months (90 %), fewer than 10 expected");
    results.forecast_many.line("reports in 12 months (90 %), 10 or more expected");
    Ok(())
}

fn judge(field: &Field, analysis: &Analysis, truth: &Value, results: &mut Results) {
    let empty = Vec::new();
    let list = |key: &str| truth[key].as_array().unwrap_or(&empty).clone();
    for mode in list("modes") {
        let named = |r: &&domain::analysis::Recurrence| {
            mode["part_no"] == field.part_names[r.part] && mode["mode"] == *field.modes[r.mode].code
        };
        let Some(recurrence) = analysis.recurrences.iter().find(named) else { continue };
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
    for unit in list("units") {
        let found = analysis.reporting.units.iter().find(|(id, _)| unit["unit"] == field.unit_names[*id]);
        if let (Some((_, found)), Some(share)) = (found, unit["reporting_fraction"].as_f64()) {
            results.unit_fraction.add(share, found.low, found.high);
        }
    }
}
