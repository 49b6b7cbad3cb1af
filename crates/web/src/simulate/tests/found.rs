//! What the analysis finds in worlds with a bad component lot and in worlds without one.

use domain::analysis::{Analysis, FactorLevel, analyse};
use domain::field::Field;

use super::super::{Request, simulate, truth_path};
use super::date;
use crate::pack::{Limits, PackSource, gather};

/// A world of a few thousand reports, its analysis and its truth.
fn analysed(seed: u64, bad_lots: u8) -> (Field, Analysis, serde_json::Value) {
    let request = Request {
        seed,
        years: 4.0,
        items: 4000,
        reports: Some(2500),
        bad_lots: Some(bad_lots),
        bad_factor: Some(6.0),
        varied: true,
        ..Request::default()
    };
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("pack");
    simulate(&request, &out).unwrap();
    let truth: serde_json::Value = serde_json::from_slice(&std::fs::read(truth_path(&out)).unwrap()).unwrap();
    let source = PackSource::open(&out, Limits::COMMAND_LINE).unwrap();
    let Ok(field) = gather(&source, 10) else { panic!("seed {seed}: the pack is refused") };
    let analysis = analyse(&field, date(truth["end"].as_str().unwrap()));
    (field, analysis, truth)
}

/// Upstream lots that stand out, of all recurrences.
fn flagged(analysis: &Analysis) -> usize {
    let all = analysis.recurrences.iter().flat_map(|r| r.concentrations.iter().flatten());
    all.filter(|c| c.flagged && matches!(c.level, FactorLevel::UsedLot(_))).count()
}

#[test]
fn a_bad_lot_with_reports_enough_is_among_the_first_three() {
    let (mut told, mut first) = (0, 0);
    for seed in 100..124 {
        let (field, analysis, truth) = analysed(seed, 1);
        let bad = &truth["bad_lots"][0];
        if bad["expected_excess_reports"].as_f64().unwrap() < 8.0 {
            continue;
        }
        told += 1;
        let text = |key: &str| bad[key].as_str().unwrap();
        let (part, mode) = (field.part_names.find(text("failed_part_no")), field.find_mode(text("mode")));
        let found = analysis.recurrences.iter().find(|r| Some(r.part) == part && Some(r.mode) == mode);
        let upstream: Vec<String> = found
            .iter()
            .flat_map(|r| r.concentrations.iter().flatten())
            .filter(|c| matches!(c.level, FactorLevel::UsedLot(_)))
            .map(|c| c.level.value(&field))
            .collect();
        first += usize::from(upstream.iter().take(3).any(|lot| lot == text("lot_no")));
    }
    println!("{first} of {told} bad lots among the first three");
    assert!(told >= 4 && first * 10 >= told * 8, "{first} of {told}");
}

#[test]
fn a_world_without_a_bad_lot_hardly_ever_flags_one() {
    let worlds = (200..216).filter(|&seed| flagged(&analysed(seed, 0).1) > 0).count();
    println!("{worlds} of 16 worlds without a bad lot flag one");
    assert!(worlds <= 3, "{worlds} of 16");
}
