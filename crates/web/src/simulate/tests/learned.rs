//! What can be told from the words and dates of an invented world's reports: doubles, and a mode nobody has named.

use std::collections::BTreeSet;

use domain::catalogue::Catalogue;
use domain::doubles::possible_doubles;
use domain::suggestion::{Example, Learned, Unsorted, starters, unnamed};

use super::super::{Request, simulate, truth_path};
use super::{Row, date, run};
use crate::pack::{Limits, PackSource, gather};

/// Pairs proposed as doubles that are, pairs proposed that aren't, and doubles that weren't proposed.
fn doubles(seed: u64) -> (usize, usize, usize) {
    let request = Request {
        seed,
        years: 4.0,
        items: 8000,
        reports: Some(2000),
        doubles: 0.03,
        varied: true,
        ..Request::default()
    };
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("pack");
    simulate(&request, &out).unwrap();
    let truth: serde_json::Value = serde_json::from_slice(&std::fs::read(truth_path(&out)).unwrap()).unwrap();
    let source = PackSource::open(&out, Limits::COMMAND_LINE).unwrap();
    let Ok(field) = gather(&source, 10) else { panic!("seed {seed}: the pack is refused") };
    let pair = |a: &str, b: &str| BTreeSet::from([a.to_owned(), b.to_owned()]);
    let injected: BTreeSet<_> = truth["doubles"]
        .as_array()
        .unwrap()
        .iter()
        .map(|two| pair(two[0].as_str().unwrap(), two[1].as_str().unwrap()))
        .collect();
    let proposed: BTreeSet<_> = possible_doubles(&field, date(truth["end"].as_str().unwrap()).into())
        .iter()
        .map(|double| pair(field.report_ref(double.first), field.report_ref(double.second)))
        .collect();
    let right = proposed.intersection(&injected).count();
    (right, proposed.len() - right, injected.len() - right)
}

#[test]
fn of_three_in_a_hundred_doubles_most_are_proposed_and_little_else() {
    let (mut right, mut wrong, mut missed) = (0, 0, 0);
    for seed in 300..308 {
        let (r, w, m) = doubles(seed);
        (right, wrong, missed) = (right + r, wrong + w, missed + m);
    }
    println!("{right} doubles proposed, {wrong} others proposed, {missed} doubles missed");
    assert!(right > 200, "enough to tell: {right}");
    assert!(right * 10 >= (right + wrong) * 9, "precision: {right} right, {wrong} wrong");
    assert!(right * 10 >= (right + missed) * 8, "recall: {right} found, {missed} missed");
}

/// The shipped catalogue without one mode.
fn without(code: &str) -> Catalogue {
    let mut rest = Catalogue::default();
    for mode in Catalogue::shipped().modes().iter().filter(|mode| mode.code != code) {
        rest.add(mode.clone()).unwrap();
    }
    rest
}

#[test]
fn a_mode_withheld_from_the_model_is_proposed_as_unnamed() {
    let (mut tries, mut found, mut false_groups) = (0, 0, 0);
    for seed in 400.. {
        let request =
            Request { seed, years: 3.0, items: 2000, reports: Some(500), varied: true, ..Request::default() };
        let world = run(&request);
        let example = |row: &Row| Example { narrative: row["narrative"].clone(), mode: row["mode"].clone() };
        let told: Vec<(String, Example)> = world
            .rows("reports.csv")
            .iter()
            .filter(|row| !row["mode"].is_empty() && !row["narrative"].is_empty())
            .map(|row| (row["unit"].clone(), example(row)))
            .collect();
        let names: Vec<&str> = world.rows("parts.csv").iter().map(|row| row["name"].as_str()).collect();
        let of = |code: &str| told.iter().filter(|one| one.1.mode == code).count();
        let modes: BTreeSet<&str> = told.iter().map(|one| one.1.mode.as_str()).collect();
        for withheld in modes.into_iter().filter(|code| of(code) >= 6).take(4) {
            if tries == 20 {
                break;
            }
            tries += 1;
            let (own, others): (Vec<_>, Vec<_>) = told.iter().partition(|one| one.1.mode == withheld);
            let (waiting, confirmed) = others.split_at(30);
            let mut known: Vec<Example> = confirmed.iter().map(|one| one.1.clone()).collect();
            let examples: Vec<Example> =
                starters().iter().filter(|one| one.mode != withheld).cloned().collect();
            let learned = Learned::train(&without(withheld), &examples, &known);
            known.extend(examples);
            let queue: Vec<&(String, Example)> = own.iter().take(12).chain(waiting).copied().collect();
            let reports: Vec<Unsorted<'_>> =
                queue.iter().map(|(unit, one)| Unsorted { unit, narrative: &one.narrative }).collect();
            let groups = unnamed(&learned, &known, &reports, &names);
            let is_it = |members: &[usize]| {
                let of_it = members.iter().filter(|&&member| queue[member].1.mode == withheld).count();
                of_it >= 3 && of_it * 3 >= members.len() * 2
            };
            let hits = groups.iter().filter(|group| is_it(&group.members)).count();
            println!("{withheld}: {hits} of {} groups", groups.len());
            found += usize::from(hits > 0);
            false_groups += groups.len() - hits;
        }
        if tries == 20 {
            break;
        }
    }
    println!("{found} of {tries} withheld modes proposed, {false_groups} groups of other reports");
    assert!(found >= 15, "{found} of {tries}");
    assert!(false_groups <= 5, "{false_groups}");
}
