//! The analysis of worlds finds their truth within its limits; `examples/weigh_worlds/` weighs more of them.

use domain::analysis::analyse;

use super::{Request, simulate, truth_path};
use crate::pack::{Limits, PackSource, gather};

/// Shares that must hold lie below the limits' own by what so few worlds scatter.
#[test]
fn life_forecast_and_reporting_hold_the_truth() {
    let [mut shape, mut ahead, mut share] = [(0, 0); 3];
    for seed in 700..708 {
        let request = Request { seed, items: 3000, varied: true, ..Request::default() };
        let folder = tempfile::tempdir().unwrap();
        let out = folder.path().join("pack");
        simulate(&request, &out).unwrap();
        let source = PackSource::open(&out, Limits::COMMAND_LINE).unwrap();
        let field = gather(&source, 5).unwrap();
        let truth: serde_json::Value =
            serde_json::from_slice(&std::fs::read(truth_path(&out)).unwrap()).unwrap();
        let analysis = analyse(&field, request.end_date);
        for mode in truth["modes"].as_array().unwrap() {
            let found = analysis.recurrences.iter().find(|r| {
                mode["part_no"] == field.part_names[r.part] && mode["mode"] == *field.modes[r.mode].code
            });
            let Some(found) = found else { continue };
            let count = |held: &mut (u32, u32), holds: bool| {
                *held = (held.0 + 1, held.1 + u32::from(holds));
            };
            if let (Some(true_shape), Ok(life)) = (mode["life"]["shape"].as_f64(), &found.life) {
                let high = life.shape_high.unwrap_or(f64::INFINITY);
                count(&mut shape, life.shape_low <= true_shape && true_shape <= high);
                if let (Some(came), Ok(forecast)) =
                    (mode["next_12_months"]["reports"].as_f64(), &found.forecast)
                {
                    let year = forecast.year();
                    count(&mut ahead, year.low <= came && came <= year.high);
                }
            }
            if let (Some(reported), Some(f)) = (mode["reporting_fraction"].as_f64(), found.reporting_fraction)
            {
                count(&mut share, f.low <= reported && reported <= f.high);
            }
        }
    }
    for (what, (tried, held), least) in
        [("shape", shape, 0.9), ("forecast", ahead, 0.86), ("reporting", share, 0.9)]
    {
        assert!(tried >= 80, "{what}: only {tried} to judge by");
        assert!(f64::from(held) >= least * f64::from(tried), "{what}: {held} of {tried}");
    }
}
