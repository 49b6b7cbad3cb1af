//! `bartack simulate`: writes the data pack of an invented service, and its truth beside it.

use std::path::PathBuf;

use chrono::NaiveDate;
use clap::Args;

use crate::cli::Outcome;
use crate::simulate::{Request, simulate};

/// What `simulate` takes.
#[derive(Args)]
pub struct Simulate {
    /// The folder to write; the truth goes to this name with `.truth.json` added.
    out: PathBuf,
    /// The same seed and figures give the same bytes.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// How many years the records run.
    #[arg(long, default_value_t = 5.0)]
    years: f64,
    /// About how many end items are made.
    #[arg(long, default_value_t = 6000)]
    items: u32,
    /// About how many reports should come.
    #[arg(long)]
    reports: Option<u32>,
    /// About how many movements should be booked; fewer than the items ask for are booked in batches.
    #[arg(long)]
    movements: Option<u32>,
    /// About how many lots there should be, those of components and materials included.
    #[arg(long)]
    lots: Option<u32>,
    /// How many units wear the items.
    #[arg(long)]
    units: Option<u16>,
    /// How many component lots are bad, 0 to 2.
    #[arg(long)]
    bad_lots: Option<u8>,
    /// How many times worse a bad lot fails.
    #[arg(long)]
    bad_factor: Option<f64>,
    /// What the change makes of the rate of its mode; 1 for a change that does nothing.
    #[arg(long)]
    change_ratio: Option<f64>,
    /// Share of reports whose lot label can't be used as it stands.
    #[arg(long, default_value_t = 0.10)]
    bad_labels: f64,
    /// Share of reports sent twice.
    #[arg(long, default_value_t = 0.03)]
    doubles: f64,
    /// Years at the start of which no record was kept.
    #[arg(long, default_value_t = 0.0)]
    unrecorded_years: f64,
    /// The last day of the records.
    #[arg(long, default_value = "2026-10-31")]
    end_date: NaiveDate,
    /// Draw what is left open from the seed instead of telling the demonstration's story.
    #[arg(long)]
    varied: bool,
}

impl Simulate {
    /// Writes the world and says what was written.
    pub fn run(self) -> Outcome {
        let request = Request {
            seed: self.seed,
            years: self.years,
            items: self.items,
            reports: self.reports,
            movements: self.movements,
            lots: self.lots,
            units: self.units,
            bad_lots: self.bad_lots,
            bad_factor: self.bad_factor,
            change_ratio: self.change_ratio,
            bad_labels: self.bad_labels,
            doubles: self.doubles,
            unrecorded_years: self.unrecorded_years,
            end_date: self.end_date,
            varied: self.varied,
        };
        let summary = simulate(&request, &self.out)?;
        for (file, rows) in &summary.files {
            println!("{rows:>9} {file}");
        }
        println!("          {}", summary.truth.display());
        Ok(())
    }
}
