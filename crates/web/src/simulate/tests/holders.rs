//! Who holds a bad lot, as the lineage and the ledger find it, against where its items really are.

use std::collections::BTreeMap;

use domain::field::{Field, Found};
use domain::ledger::{Ledger, TakeOrder, fold};
use domain::lineage::{Held, Whereabouts};
use serde_json::Value;

use super::super::{Request, simulate, truth_path};
use super::{date, small};
use crate::pack::{Limits, PackSource, gather};

type Place = (String, String);

fn world(request: &Request) -> (Field, Ledger, Value) {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("pack");
    simulate(request, &out).unwrap();
    let truth: Value = serde_json::from_slice(&std::fs::read(truth_path(&out)).unwrap()).unwrap();
    let source = PackSource::open(&out, Limits::COMMAND_LINE).unwrap();
    let Ok(field) = gather(&source, 10) else { panic!("the pack is refused") };
    let ledger = fold(&field, date(truth["end"].as_str().unwrap()).into(), TakeOrder::OldestFirst);
    (field, ledger, truth)
}

/// Items by unit and lot, from a list of the truth.
fn places(list: &Value, number: impl Fn(&Value) -> f64) -> BTreeMap<Place, f64> {
    let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    list.as_array().unwrap().iter().map(|row| ((text(&row[0]), text(&row[1])), number(row))).collect()
}

/// Rows in service of one lot's whereabouts.
fn found(field: &Field, ledger: &Ledger, lot_no: &str) -> (BTreeMap<Place, Held>, Held) {
    let Found::One(lot) = field.lot_keys.find(lot_no, None) else { panic!("{lot_no} is there once") };
    let found = Whereabouts::new(field, ledger, lot);
    let in_service = found.holders.iter().filter(|holder| holder.in_service);
    let rows = in_service.map(|holder| {
        let unit = field.unit_names[holder.unit.expect("in service at a unit")].to_owned();
        let lot = holder.lot().expect("every lot is in the books");
        ((unit, field.lots[lot].lot_no.to_string()), holder.containing)
    });
    (rows.collect(), found.in_service)
}

#[test]
fn who_holds_a_bad_lot_equals_the_truth() {
    let (mut lots, mut rows, mut outside, mut sure, mut expected, mut real) = (0, 0, 0, 0, 0.0, 0.0);
    for seed in 300..312 {
        let request = Request { bad_lots: Some(2), ..small(seed) };
        let (field, ledger, truth) = world(&request);
        // Items gone unnoticed are in the books and not at the unit.
        let missing = places(&truth["holdings"], |row| row[3].as_f64().unwrap() - row[2].as_f64().unwrap());
        for bad in truth["bad_lots"].as_array().unwrap() {
            lots += 1;
            let there = places(&bad["holders"], |row| row[2].as_f64().unwrap());
            let (held, total) = found(&field, &ledger, bad["lot_no"].as_str().unwrap());
            let gone: f64 = held.keys().filter_map(|place| missing.get(place)).sum();
            let all: f64 = there.values().sum();
            assert!(
                total.low - gone <= all && all <= total.high,
                "seed {seed}: {all}, {total:?}, {gone} gone, {bad}"
            );
            for place in held.keys().chain(there.keys().filter(|place| !held.contains_key(*place))) {
                let held = held.get(place).copied().unwrap_or_default();
                let (there, gone) =
                    (there.get(place).copied().unwrap_or(0.0), missing.get(place).copied().unwrap_or(0.0));
                rows += 1;
                sure += u32::from(held.low == held.high);
                if !(held.low - gone <= there && there <= held.high) {
                    outside += 1;
                    println!("seed {seed} {place:?}: {there}, {held:?}, {gone} gone");
                }
            }
            expected += total.best;
            real += all + gone;
        }
    }
    println!(
        "{lots} lots, {rows} rows, {sure} of them certain, {outside} outside; {expected:.0} expected, {real} on record"
    );
    assert!(lots >= 15 && rows >= 200, "too little to tell");
    assert_eq!(outside, 0);
    assert!(f64::abs(expected - real) <= 0.02 * real, "{expected} expected, {real} on record");
}
