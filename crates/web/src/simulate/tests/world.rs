//! Worlds are as large and as uneven as asked; figures out of range are refused.

use std::collections::BTreeMap;

use domain::catalogue::Catalogue;

use super::{Request, run};
use crate::simulate::dice::{Dice, deviation_of, mean_of, spread};
use crate::simulate::{components, design, phrases, simulate};

#[test]
fn a_world_is_about_as_large_as_asked_and_as_uneven_as_life() {
    let request =
        Request { items: 3000, years: 4.0, reports: Some(600), lots: Some(250), ..Request::default() };
    let world = run(&request);
    let reports = world.rows("reports.csv");
    assert!((450..750).contains(&reports.len()), "{} reports", reports.len());
    assert!((180..330).contains(&world.rows("lots.csv").len()), "{} lots", world.rows("lots.csv").len());
    for figure in ["use_factor", "reporting_fraction"] {
        let list: Vec<f64> = world.truth["units"]
            .as_array()
            .unwrap()
            .iter()
            .map(|unit| unit[figure].as_f64().unwrap())
            .collect();
        assert!(deviation_of(&list) / mean_of(&list) > 0.249, "{figure}: {list:?}");
    }
    let bad = world.truth["labels"].as_array().unwrap().len() as f64 / reports.len() as f64;
    assert!((0.06..0.15).contains(&bad), "{bad} bad labels");
    let summary: BTreeMap<&str, u64> =
        world.summary.files.iter().map(|(name, rows)| (name.as_str(), *rows)).collect();
    assert_eq!(summary["reports.csv"], reports.len() as u64);
    assert_eq!(summary.len(), 20);
}

#[test]
fn a_large_fleet_can_be_booked_in_few_movements() {
    let request = Request {
        items: 30_000,
        years: 3.0,
        reports: Some(3000),
        movements: Some(4000),
        ..Request::default()
    };
    let world = run(&request);
    assert!(
        (2000..6500).contains(&world.rows("movements.csv").len()),
        "{}",
        world.rows("movements.csv").len()
    );
}

#[test]
fn figures_out_of_range_are_refused_by_name() {
    let folder = tempfile::tempdir().unwrap();
    for (request, name) in [
        (Request { years: 0.2, ..Request::default() }, "--years"),
        (Request { items: 3, ..Request::default() }, "--items"),
        (Request { bad_lots: Some(9), ..Request::default() }, "--bad-lots"),
        (Request { change_ratio: Some(f64::NAN), ..Request::default() }, "--change-ratio"),
        (Request { unrecorded_years: 4.9, ..Request::default() }, "--unrecorded-years"),
    ] {
        let refused = simulate(&request, &folder.path().join("none")).unwrap_err().to_string();
        assert!(refused.starts_with(name), "{refused}");
        assert!(!folder.path().join("none").exists(), "nothing is written for {name}");
    }
}

#[test]
fn every_mode_of_the_design_is_in_the_catalogue_and_has_words() {
    for part in components::COMPONENTS {
        assert!(Catalogue::shipped().kind(part.kind).is_some(), "{}", part.no);
        for mode in part.wears.iter().map(|wear| wear.0).chain(part.arrival) {
            let known = Catalogue::shipped().mode(mode).unwrap();
            assert_eq!(known.kind, part.kind);
            assert!(phrases::phrases_of(mode).len() >= 2, "{mode} has too few words");
        }
        assert!(part.wears.iter().all(|wear| (1.0..=3.0).contains(&wear.1)), "{}", part.no);
    }
    for item in design::END_ITEMS {
        assert_eq!(item.sizes.iter().map(|size| size.1).sum::<u32>(), 1000, "{}", item.no);
    }
}

#[test]
fn draws_have_the_means_they_should() {
    let mut dice = Dice::new(9, 0);
    let mean = |draws: Vec<f64>| mean_of(&draws);
    assert!((mean((0..20_000).map(|_| dice.exponential()).collect()) - 1.0).abs() < 0.03);
    assert!(mean((0..20_000).map(|_| dice.normal()).collect()).abs() < 0.03);
    for rate in [0.01, 2.5, 60.0] {
        let counted = mean((0..20_000).map(|_| f64::from(dice.poisson(rate))).collect());
        assert!((counted - rate).abs() < 4.0 * (rate / 20_000.0).sqrt(), "{counted} for {rate}");
    }
    let factors = spread(&mut dice, 9, 1.0, 0.3, 3.0);
    assert!((deviation_of(&factors) / mean_of(&factors) - 0.3).abs() < 0.01);
}
