//! Times learning from confirmed reports and one suggestion: reads CSV lines of narrative and mode from standard input.

use std::time::Instant;

use domain::catalogue::Catalogue;
use domain::suggestion::{Example, Learned, starters};

fn main() {
    let mut reader = csv::Reader::from_reader(std::io::stdin().lock());
    let rows = reader.records().map(|row| row.expect("a row"));
    let confirmed: Vec<Example> =
        rows.map(|row| Example { narrative: row[0].to_owned(), mode: row[1].to_owned() }).collect();
    let began = Instant::now();
    let learned = Learned::train(Catalogue::shipped(), starters(), &confirmed);
    println!("learned from {} reports in {:.2} s", learned.basis().confirmed, began.elapsed().as_secs_f64());
    let began = Instant::now();
    let told: Vec<&Example> = confirmed.iter().take(1000).collect();
    for one in &told {
        std::hint::black_box(learned.suggest(&one.narrative, |_| 1.0, 5));
    }
    println!("{:.3} ms a suggestion", began.elapsed().as_secs_f64() * 1000.0 / told.len().max(1) as f64);
}
