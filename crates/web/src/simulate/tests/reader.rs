//! The program's own reader takes every world as it is, and its ledger finds only the discrepancies that were meant.

use std::collections::BTreeMap;
use std::str::FromStr;

use domain::catalogue::Catalogue;
use domain::event::Event;
use domain::field::{Day, FieldBuilder};
use domain::ledger::{TakeOrder, fold};
use domain::lot::{Lot, LotPurpose};
use domain::movement::{Movement, MovementKind};
use domain::pack::Known;
use domain::part::PartRevision;
use domain::structure::Component;
use domain::unit::Unit;

use super::{Request, Row, Seen, date, run, small};
use crate::pack::{CheckOptions, Limits, PackSource, check};
use crate::simulate::simulate;

#[test]
fn the_reader_refuses_no_row_of_any_world() {
    let mut requests: Vec<Request> = (100..106).map(small).collect();
    requests.push(Request { items: 200, years: 2.0, ..small(106) });
    requests.push(Request { items: 400, years: 1.0, ..small(107) });
    requests.push(Request { unrecorded_years: 1.0, ..small(108) });
    requests.push(Request::default());
    for request in requests {
        let folder = tempfile::tempdir().unwrap();
        let out = folder.path().join("pack");
        let summary = simulate(&request, &out).unwrap();
        let source = PackSource::open(&out, Limits::COMMAND_LINE).unwrap();
        let options = CheckOptions { today: request.end_date, keep: 5 };
        let preview = check(&source, &Known::new(Catalogue::shipped()), options, |_, _| {}).unwrap();
        assert!(preview.is_clean(), "seed {}: {:#?}", request.seed, preview.refusals);
        assert_eq!(preview.rows(), summary.files.iter().map(|file| file.1).sum::<u64>());
    }
}

fn word<T: FromStr>(text: &str) -> Option<T> {
    (!text.is_empty()).then(|| text.parse().unwrap_or_else(|_| panic!("`{text}` is no word of the pack")))
}

fn some(text: &str) -> Option<String> {
    (!text.is_empty()).then(|| text.to_owned())
}

fn movement(row: &Row) -> Movement {
    Movement {
        moved_on: date(&row["moved_on"]),
        kind: word(&row["kind"]).unwrap(),
        lot_no: some(&row["lot_no"]),
        part_no: None,
        size: None,
        unit: row["unit"].clone(),
        quantity: row["quantity"].parse().unwrap(),
        to_unit: some(&row["to_unit"]),
        to_lot_no: some(&row["to_lot_no"]),
        condition: word(&row["condition"]),
        reason: word(&row["reason"]),
        row_ref: some(&row["row_ref"]),
    }
}

fn field(world: &Seen) -> domain::field::Field {
    let mut builder = FieldBuilder::new(Catalogue::shipped());
    for row in world.rows("units.csv") {
        let (name, parent_unit) = (some(&row["name"]), some(&row["parent_unit"]));
        let kind = word(&row["kind"]).unwrap();
        builder
            .unit(&Unit { unit: row["unit"].clone(), name, kind, parent_unit, contact_email: None })
            .unwrap();
    }
    for row in world.rows("parts.csv") {
        let part = PartRevision {
            part_no: row["part_no"].clone(),
            revision: row["revision"].clone(),
            name: row["name"].clone(),
            kind: row["kind"].clone(),
            released_on: Some(date(&row["released_on"])),
            replaces_revision: some(&row["replaces_revision"]),
            change_no: None,
            life_years: None,
        };
        builder.part(&part).unwrap();
    }
    for row in world.rows("structure.csv") {
        let component = Component {
            parent_part_no: row["parent_part_no"].clone(),
            parent_revision: row["parent_revision"].clone(),
            child_part_no: row["child_part_no"].clone(),
            child_revision: row["child_revision"].clone(),
            quantity: row["quantity"].parse().unwrap(),
            position: some(&row["position"]),
            size: some(&row["size"]),
            configuration: some(&row["configuration"]),
        };
        builder.component(&component).unwrap();
    }
    for row in world.rows("lots.csv") {
        let lot = Lot {
            lot_no: row["lot_no"].clone(),
            part_no: row["part_no"].clone(),
            revision: row["revision"].clone(),
            size: some(&row["size"]),
            made_on: Some(date(&row["made_on"])),
            quantity: Some(row["quantity"].parse().unwrap()),
            maker: some(&row["maker"]),
            contract_no: some(&row["contract_no"]),
            stock_no: some(&row["stock_no"]),
            purpose: word(&row["purpose"]).unwrap_or(LotPurpose::Production),
        };
        builder.lot(&lot).unwrap();
    }
    for row in world.rows("movements.csv") {
        let movement = movement(row);
        movement.check().unwrap();
        builder.movement(&movement).unwrap();
    }
    for row in world.rows("events.csv") {
        let event = Event {
            happened_on: date(&row["happened_on"]),
            unit: row["unit"].clone(),
            serial: None,
            lot_no: some(&row["lot_no"]),
            quantity: row["quantity"].parse().unwrap(),
            kind: word(&row["kind"]).unwrap(),
            part_no: some(&row["part_no"]),
            new_lot_no: some(&row["new_lot_no"]),
            outcome: None,
        };
        event.check().unwrap();
        builder.event(&event).unwrap();
    }
    builder.build()
}

#[test]
fn the_ledger_finds_no_discrepancy_but_what_counts_found_missing() {
    for seed in [110, 111] {
        let world = run(&small(seed));
        let field = field(&world);
        let end = date(world.truth["end"].as_str().unwrap());
        let ledger = fold(&field, Day::from(end), TakeOrder::OldestFirst);
        let stray: Vec<_> = ledger.discrepancies.iter().filter(|d| d.kind != MovementKind::Count).collect();
        assert!(stray.is_empty(), "seed {seed}: {stray:?}");
        let mut held: BTreeMap<(Option<String>, String), i64> = BTreeMap::new();
        for entry in &ledger.held {
            let domain::field::Stock::Lot(lot) = entry.stock else { panic!("every lot is known") };
            let unit = entry.unit.map(|unit| field.unit_names[unit].to_owned());
            *held.entry((unit, field.lots[lot].lot_no.to_string())).or_default() += i64::from(entry.quantity);
        }
        held.retain(|_, quantity| *quantity != 0);
        let truth = world.truth["holdings"].as_array().unwrap().iter().map(|entry| {
            let unit = entry[0].as_str().map(str::to_owned);
            ((unit, entry[1].as_str().unwrap().to_owned()), entry[3].as_i64().unwrap())
        });
        assert_eq!(held, truth.collect(), "seed {seed}");
    }
}
