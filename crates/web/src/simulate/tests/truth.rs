//! The truth agrees with the pack, and what happens agrees with the laws it states.

use std::collections::{BTreeMap, BTreeSet};

use super::{Request, Row, keys, run, small, texts};

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
