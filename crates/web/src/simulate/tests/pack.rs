//! Packs repeat by seed, name only what exists, keep dates in order and balance.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use domain::catalogue::Catalogue;

use super::{Request, Seen, bytes, date, keys, run, small};

#[test]
fn the_same_seed_gives_the_same_bytes_and_another_seed_does_not() {
    let request = Request { items: 300, years: 2.0, ..small(3) };
    let first = bytes(&request);
    assert_eq!(first, bytes(&request));
    assert_ne!(first, bytes(&Request { seed: 4, ..request }));
}

#[test]
fn every_name_in_a_pack_resolves() {
    for seed in 0..6 {
        let world = run(&small(seed));
        let units = keys(world.rows("units.csv"), "unit");
        let lots = keys(world.rows("lots.csv"), "lot_no");
        let parts: BTreeSet<(String, String)> = world
            .rows("parts.csv")
            .iter()
            .map(|row| (row["part_no"].clone(), row["revision"].clone()))
            .collect();
        let changes = keys(world.rows("changes.csv"), "change_no");
        let kinds: BTreeMap<String, String> =
            world.rows("parts.csv").iter().map(|row| (row["part_no"].clone(), row["kind"].clone())).collect();
        assert_eq!(lots.len(), world.rows("lots.csv").len(), "lot numbers are unique");
        let known = |set: &BTreeSet<String>, value: &String| value.is_empty() || set.contains(value);
        for (file, rows) in &world.files {
            for row in rows {
                for (column, value) in row {
                    let is_known = match column.as_str() {
                        "unit" | "parent_unit" | "to_unit" => known(&units, value),
                        "lot_no" | "used_lot_no" | "to_lot_no" | "new_lot_no" | "from_lot" | "to_lot"
                        | "cut_in_lot" => known(&lots, value),
                        "change_no" => known(&changes, value),
                        "part_no" | "item_part_no" | "parent_part_no" | "child_part_no" => {
                            value.is_empty() || kinds.contains_key(value)
                        }
                        "mode" | "modes" => value.is_empty() || Catalogue::shipped().mode(value).is_some(),
                        _ => true,
                    };
                    assert!(is_known, "seed {seed}: {file}: {column} `{value}`");
                }
                for (part, revision) in [
                    ("part_no", "revision"),
                    ("parent_part_no", "parent_revision"),
                    ("child_part_no", "child_revision"),
                    ("part_no", "from_revision"),
                    ("part_no", "to_revision"),
                ] {
                    if let (Some(part), Some(revision)) = (row.get(part), row.get(revision)) {
                        assert!(
                            parts.contains(&(part.clone(), revision.clone())),
                            "{file}: {part} {revision}"
                        );
                    }
                }
                if let (Some(part), Some(mode)) = (row.get("part_no"), row.get("mode"))
                    && !mode.is_empty()
                {
                    assert!(mode.starts_with(&kinds[part]), "{file}: {part} can't fail by {mode}");
                }
            }
        }
    }
}

#[test]
fn dates_are_in_order_and_inside_the_records() {
    for seed in 10..13 {
        let world = run(&small(seed));
        let (start, end) =
            (date(world.truth["start"].as_str().unwrap()), date(world.truth["end"].as_str().unwrap()));
        let made: BTreeMap<&str, NaiveDate> = world
            .rows("lots.csv")
            .iter()
            .map(|row| (row["lot_no"].as_str(), date(&row["made_on"])))
            .collect();
        for row in world.rows("movements.csv") {
            let moved = date(&row["moved_on"]);
            assert!((start..=end).contains(&moved) && made[row["lot_no"].as_str()] <= moved, "{row:?}");
        }
        for row in world.rows("lot_uses.csv") {
            assert!(made[row["used_lot_no"].as_str()] <= made[row["lot_no"].as_str()], "{row:?}");
        }
        for row in world.rows("reports.csv") {
            let found = date(&row["found_on"]);
            let received = if row["received_on"].is_empty() { found } else { date(&row["received_on"]) };
            assert!(start <= found && found <= received && received <= end, "{row:?}");
        }
        for row in world.rows("serials.csv").iter().filter(|row| !row["to"].is_empty()) {
            assert!(date(&row["from"]) <= date(&row["to"]), "{row:?}");
        }
    }
}

#[test]
fn components_are_not_used_beyond_what_was_made() {
    let world = run(&small(20));
    let quantity: BTreeMap<&str, u64> = world
        .rows("lots.csv")
        .iter()
        .map(|row| (row["lot_no"].as_str(), row["quantity"].parse().unwrap()))
        .collect();
    let mut used: BTreeMap<&str, u64> = BTreeMap::new();
    for row in world.rows("lot_uses.csv") {
        let pieces: u64 = row["quantity"].parse().unwrap();
        assert!(pieces > 0, "{row:?}");
        *used.entry(row["used_lot_no"].as_str()).or_default() += pieces;
    }
    for (lot, pieces) in used {
        assert!(pieces <= quantity[lot], "{lot}: {pieces} used of {}", quantity[lot]);
    }
}

/// Folds the books by hand: items in service by unit and lot, and what lies returned by lot.
fn fold(world: &Seen) -> (BTreeMap<(String, String), i64>, BTreeMap<String, i64>) {
    let kinds: BTreeMap<&str, &str> =
        world.rows("units.csv").iter().map(|row| (row["unit"].as_str(), row["kind"].as_str())).collect();
    let mut at: BTreeMap<(String, String), i64> = BTreeMap::new();
    let mut returned: BTreeMap<String, i64> = BTreeMap::new();
    let stores: Vec<&str> =
        kinds.iter().filter(|(_, kind)| **kind == "store").map(|(unit, _)| *unit).collect();
    for row in world.rows("movements.csv") {
        let (lot, unit) = (row["lot_no"].clone(), row["unit"].clone());
        let quantity: i64 = row["quantity"].parse().unwrap();
        let here = (unit.clone(), lot.clone());
        match row["kind"].as_str() {
            "opening" | "receive" | "found" => *at.entry(here).or_default() += quantity,
            "issue" => {
                *at.entry(here).or_default() += quantity;
                if row["condition"] == "used" {
                    *returned.entry(lot).or_default() -= quantity;
                } else {
                    let store =
                        stores.iter().find(|store| at.contains_key(&((**store).to_owned(), lot.clone())));
                    *at.get_mut(&((*store.unwrap()).to_owned(), lot)).unwrap() -= quantity;
                }
            }
            "return" => {
                *at.get_mut(&here).unwrap() -= quantity;
                *returned.entry(lot).or_default() += quantity;
            }
            "transfer" => {
                *at.get_mut(&here).unwrap() -= quantity;
                *at.entry((row["to_unit"].clone(), lot)).or_default() += quantity;
            }
            "convert" => {
                *at.get_mut(&here).unwrap() -= quantity;
                *at.entry((unit, row["to_lot_no"].clone())).or_default() += quantity;
            }
            "retire" if kinds[unit.as_str()] == "depot" => *returned.get_mut(&lot).unwrap() -= quantity,
            "loss" | "retire" => *at.get_mut(&here).unwrap() -= quantity,
            "count" => {
                let booked = at.get_mut(&here).unwrap();
                assert!(quantity <= *booked, "a count finds at most what is booked: {row:?}");
                *booked = quantity;
            }
            other => panic!("unknown kind {other}"),
        }
        assert!(
            at.values().all(|&quantity| quantity >= 0) && returned.values().all(|&quantity| quantity >= 0),
            "{row:?}"
        );
    }
    at.retain(|_, quantity| *quantity != 0);
    returned.retain(|_, quantity| *quantity != 0);
    (at, returned)
}

#[test]
fn the_books_fold_to_the_true_holdings() {
    for (seed, unrecorded_years) in [(30, 0.0), (31, 0.0), (32, 1.2)] {
        let world = run(&Request { unrecorded_years, ..small(seed) });
        let (at, returned) = fold(&world);
        let (mut true_at, mut true_returned) = (BTreeMap::new(), BTreeMap::new());
        let mut gone = 0;
        for held in world.truth["holdings"].as_array().unwrap() {
            let (real, booked) = (held[2].as_i64().unwrap(), held[3].as_i64().unwrap());
            let lot = held[1].as_str().unwrap().to_owned();
            gone += booked - real;
            match held[0].as_str() {
                Some(unit) => true_at.insert((unit.to_owned(), lot), booked),
                None => true_returned.insert(lot, booked),
            };
        }
        assert_eq!(at, true_at, "seed {seed}");
        assert_eq!(returned, true_returned, "seed {seed}");
        assert!((0..20).contains(&gone), "{gone} items gone unnoticed since the last counts");
    }
}
