//! Foretells the modes of narratives by a model that learned without them: one line of probabilities a narrative.
//!
//! Reads CSV from standard input: narrative, mode, and one column a repeat that says in which fold a narrative is left out.
//! Writes CSV: repeat, row, and the probability of each mode of the catalogue in its order.

use std::io::Write as _;

use domain::catalogue::Catalogue;
use domain::suggestion::{Example, Learned};

fn main() {
    let mut reader = csv::Reader::from_reader(std::io::stdin().lock());
    let rows: Vec<csv::StringRecord> = reader.records().map(|row| row.expect("a row")).collect();
    let repeats = rows[0].len() - 2;
    let mut out = std::io::BufWriter::new(std::io::stdout().lock());
    for repeat in 0..repeats {
        let fold_of = |row: &csv::StringRecord| row[2 + repeat].to_owned();
        let folds: std::collections::BTreeSet<String> = rows.iter().map(fold_of).collect();
        for fold in folds {
            let kept = rows.iter().filter(|row| fold_of(row) != fold);
            let examples: Vec<Example> =
                kept.map(|row| Example { narrative: row[0].to_owned(), mode: row[1].to_owned() }).collect();
            let model = Learned::train(Catalogue::shipped(), &examples, &[]);
            for (index, row) in rows.iter().enumerate().filter(|(_, row)| fold_of(row) == fold) {
                write!(out, "{repeat},{index}").expect("written");
                for chance in model.probabilities(&row[0]) {
                    write!(out, ",{chance:e}").expect("written");
                }
                writeln!(out).expect("written");
            }
        }
    }
}
