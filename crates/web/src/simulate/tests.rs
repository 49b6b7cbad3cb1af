//! Worlds obey the pack's rules, repeat by seed, and agree with their truth.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use chrono::NaiveDate;
use domain::catalogue::Catalogue;
use serde_json::Value;

use super::dice::{Dice, deviation_of, mean_of, spread};
use super::{Request, Summary, design, phrases, simulate, truth_path};

type Row = BTreeMap<String, String>;

/// A world read back from disk.
struct Seen {
    summary: Summary,
    files: BTreeMap<String, Vec<Row>>,
    truth: Value,
}

impl Seen {
    fn rows(&self, file: &str) -> &[Row] {
        &self.files[file]
    }
}

fn small(seed: u64) -> Request {
    Request { seed, years: 3.0, items: 900, varied: true, ..Request::default() }
}

fn run(request: &Request) -> Seen {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("pack");
    let summary = simulate(request, &out).unwrap();
    let files = summary.files.iter().map(|(name, _)| (name.clone(), read(&out.join(name)))).collect();
    let truth = serde_json::from_slice(&std::fs::read(truth_path(&out)).unwrap()).unwrap();
    Seen { summary, files, truth }
}

fn read(path: &Path) -> Vec<Row> {
    csv::Reader::from_path(path).unwrap().deserialize().map(|row| row.unwrap()).collect()
}

fn bytes(request: &Request) -> Vec<(String, Vec<u8>)> {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("pack");
    let summary = simulate(request, &out).unwrap();
    let mut all: Vec<_> = summary
        .files
        .iter()
        .map(|(name, _)| (name.clone(), std::fs::read(out.join(name)).unwrap()))
        .collect();
    all.push(("truth".to_owned(), std::fs::read(truth_path(&out)).unwrap()));
    all
}

fn keys(rows: &[Row], column: &str) -> BTreeSet<String> {
    rows.iter().map(|row| row[column].clone()).collect()
}

fn date(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn texts<'a>(list: &'a Value, key: &str) -> Vec<&'a str> {
    list.as_array().unwrap().iter().map(|entry| entry[key].as_str().unwrap()).collect()
}

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

#[test]
fn the_truth_agrees_with_the_pack() {
    for seed in 40..44 {
        let world = run(&small(seed));
        let reports: BTreeMap<&str, &Row> =
            world.rows("reports.csv").iter().map(|row| (row["report_ref"].as_str(), row)).collect();
        assert_eq!(world.truth["reports"], reports.len());
        let modes = world.truth["modes"].as_array().unwrap();
        assert_eq!(
            modes.iter().map(|mode| mode["reports"].as_u64().unwrap()).sum::<u64>(),
            reports.len() as u64
        );
        for mode in modes {
            let sorted = reports
                .values()
                .filter(|r| r["part_no"] == mode["part_no"] && r["mode"] == mode["mode"])
                .count();
            assert!(sorted as u64 <= mode["reports"].as_u64().unwrap(), "{mode}");
            assert!(mode["failures_reported"].as_u64() <= mode["failures"].as_u64(), "{mode}");
        }
        for pair in world.truth["doubles"].as_array().unwrap() {
            let [first, second] = [0, 1].map(|n| reports[pair[n].as_str().unwrap()]);
            assert!(["unit", "item_part_no"].iter().all(|column| first[*column] == second[*column]));
        }
        let labels: BTreeMap<&str, &str> = world.truth["labels"]
            .as_array()
            .unwrap()
            .iter()
            .map(|label| (label[0].as_str().unwrap(), label[1].as_str().unwrap()))
            .collect();
        let lots = keys(world.rows("lots.csv"), "lot_no");
        let squeeze = |text: &str| text.replace([' ', '-'], "").to_uppercase();
        let plain: BTreeSet<String> = lots.iter().map(|lot| squeeze(lot)).collect();
        for (number, row) in &reports {
            match labels.get(number) {
                Some(lot) => assert!(lots.contains(*lot) && row["lot_text"] != *lot, "{row:?}"),
                None => assert!(
                    row["lot_known"] == "read" && plain.contains(&squeeze(&row["lot_text"])),
                    "{row:?}"
                ),
            }
        }
        for unsorted in world.truth["unsorted"].as_array().unwrap() {
            let row = reports[unsorted[0].as_str().unwrap()];
            assert!(row["part_no"].is_empty() && row["mode"].is_empty());
        }
    }
}

#[test]
fn a_bad_lot_is_in_the_lineage_of_its_item_lots() {
    let mut seen = 0;
    for seed in 50..56 {
        let world = run(&Request { bad_lots: Some(2), ..small(seed) });
        let mut parents: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
        for row in world.rows("lot_uses.csv") {
            parents.entry(&row["lot_no"]).or_default().push(&row["used_lot_no"]);
        }
        for bad in world.truth["bad_lots"].as_array().unwrap() {
            seen += 1;
            let lot = bad["lot_no"].as_str().unwrap();
            let into = texts(&bad["item_lots"], "lot_no");
            assert!((1..=6).contains(&into.len()), "{bad}");
            for item_lot in into {
                let direct = &parents[item_lot];
                let further = direct.iter().flat_map(|used| parents.get(used).into_iter().flatten());
                assert!(
                    direct.iter().chain(further).any(|used| *used == lot),
                    "{item_lot} does not come from {lot}"
                );
            }
            assert!((2.5..=6.0).contains(&bad["factor"].as_f64().unwrap()));
        }
    }
    assert!(seen >= 10, "most worlds have two bad lots when asked for two");
}

#[test]
fn bad_lots_bring_the_reports_that_are_expected_of_them() {
    // Over many worlds the reports of bad lots are a Poisson count about the sum of what the lives and reporting say.
    let (mut expected, mut reports) = (0.0, 0.0);
    for seed in 60..72 {
        let request = Request { bad_lots: Some(1), reports: Some(160), doubles: 0.0, ..small(seed) };
        for bad in run(&request).truth["bad_lots"].as_array().unwrap() {
            expected += bad["expected_reports_if_good"].as_f64().unwrap()
                + bad["expected_excess_reports"].as_f64().unwrap();
            reports += bad["reports"].as_f64().unwrap();
        }
    }
    assert!(expected > 20.0, "too little to tell: {expected}");
    // Reports still in the post at the end are in the expectation, a few per cent.
    assert!(
        (reports - expected).abs() < 4.0 * expected.sqrt() + 0.05 * expected,
        "{reports} reports, {expected} expected"
    );
}

#[test]
fn a_change_that_cures_lowers_the_rate_of_its_mode_in_new_lots() {
    let mut counts = [0.0, 0.0];
    for seed in 80..84 {
        let request = Request {
            items: 2500,
            reports: Some(900),
            change_ratio: Some(0.0),
            bad_lots: Some(0),
            ..small(seed)
        };
        let world = run(&request);
        let change = &world.truth["change"];
        let new: BTreeSet<&str> =
            change["new_lots"].as_array().unwrap().iter().map(|lot| lot.as_str().unwrap()).collect();
        for row in world
            .rows("reports.csv")
            .iter()
            .filter(|row| row["part_no"] == change["part_no"] && row["mode"] == change["mode"])
        {
            counts[usize::from(new.contains(row["lot_text"].as_str()))] += 1.0;
        }
    }
    assert!(counts[0] > 50.0, "{counts:?}");
    // A mistyped label can name a new lot.
    assert!(counts[1] <= 0.01 * counts[0], "a change of ratio 0 leaves no failures on new lots: {counts:?}");
}

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
    for part in design::COMPONENTS {
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
