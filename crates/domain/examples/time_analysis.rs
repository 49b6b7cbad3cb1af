//! Times the analysis of an invented field: `cargo run --release -p domain --example time_analysis -- 1000000`.

#[expect(dead_code, reason = "only the invented world and its draws are used here")]
#[path = "../tests/common/mod.rs"]
mod common;

/// Processor time of this process so far, in seconds: a busy machine does not change it.
fn processor_s() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let ticks = stat.rsplit(')').next().unwrap_or("").split_whitespace().skip(11).take(2);
    ticks.filter_map(|t| t.parse::<f64>().ok()).sum::<f64>() / 100.0
}

use domain::field::Day;
use domain::label::Labels;
use domain::ledger::{TakeOrder, fold};

fn main() {
    let reports = std::env::args().nth(1).and_then(|n| n.parse().ok()).unwrap_or(100_000);
    let size = common::world::Size { reports, lots: reports / 50, movements: reports / 5, units: 200 };
    let as_of = common::date("2026-01-01");
    let start = processor_s();
    let (field, ..) = common::world::world(size, 0, common::draws(1));
    println!("build {:.2} s of {size:?}", processor_s() - start);
    let start = processor_s();
    let ledger = fold(&field, Day::from(as_of), TakeOrder::OldestFirst);
    println!("ledger {:.2} s: {} spells", processor_s() - start, ledger.spells.len());
    let start = processor_s();
    let resolved = Labels::new(&field, Day::from(as_of)).resolve_all(&field);
    println!(
        "labels {:.2} s: {} found",
        processor_s() - start,
        resolved.iter().filter(|r| r.lot.is_some()).count()
    );
    let start = processor_s();
    let analysis = domain::analysis::analyse(&field, as_of);
    let lines: usize = analysis.recurrences.iter().map(|r| r.lots.len()).sum();
    let flagged: usize = analysis.recurrences.iter().flat_map(|r| &r.lots).filter(|l| l.flagged).count();
    println!(
        "analyse {:.2} s: {:?}, {} recurrences, {lines} lots with reports, {flagged} flagged",
        processor_s() - start,
        analysis.counts,
        analysis.recurrences.len()
    );
    let memory = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    println!("{}", memory.lines().find(|line| line.starts_with("VmHWM")).unwrap_or(""));
}
