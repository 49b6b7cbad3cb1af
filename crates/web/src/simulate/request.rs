//! What a world is asked to be.

use chrono::NaiveDate;

/// The size and the troubles of an invented world; every figure left `None` has a sensible default.
#[derive(Clone, Debug, PartialEq)]
pub struct Request {
    /// The same seed and figures give the same bytes.
    pub seed: u64,
    /// How long the records run.
    pub years: f64,
    /// About how many end items are made.
    pub items: u32,
    /// About how many reports should come.
    pub reports: Option<u32>,
    /// About how many movements should be booked.
    pub movements: Option<u32>,
    /// About how many lots there should be, components and materials included.
    pub lots: Option<u32>,
    /// How many units wear the items.
    pub units: Option<u16>,
    /// How many component lots are bad, 0 to 2.
    pub bad_lots: Option<u8>,
    /// How many times worse a bad lot fails, 2.5 to 6.
    pub bad_factor: Option<f64>,
    /// What the change makes of the rate of its mode; 1 for a change that does nothing.
    pub change_ratio: Option<f64>,
    /// Share of reports whose lot label can't be used as it stands.
    pub bad_labels: f64,
    /// Share of reports sent twice.
    pub doubles: f64,
    /// Years at the start of which no record was kept; the records then open with what units hold.
    pub unrecorded_years: f64,
    /// The last day of the records.
    pub end_date: NaiveDate,
    /// Draw what is left open from the seed instead of telling the demonstration's story.
    pub varied: bool,
}

impl Default for Request {
    fn default() -> Self {
        Self {
            seed: 1,
            years: 5.0,
            items: 6000,
            reports: None,
            movements: None,
            lots: None,
            units: None,
            bad_lots: None,
            bad_factor: None,
            change_ratio: None,
            bad_labels: 0.10,
            doubles: 0.03,
            unrecorded_years: 0.0,
            end_date: NaiveDate::from_ymd_opt(2026, 10, 31).unwrap_or_default(),
            varied: false,
        }
    }
}

impl Request {
    /// Refuses what no world can be made from, in words for the person who asked.
    pub fn check(&self) -> Result<(), String> {
        let within = |name: &str, value: f64, low: f64, high: f64| {
            if value >= low && value <= high {
                Ok(())
            } else {
                Err(format!("{name}: expected {low} to {high}, got {value}"))
            }
        };
        within("--years", self.years, 1.0, 30.0)?;
        within("--items", f64::from(self.items), 50.0, 20_000_000.0)?;
        within("--reports", f64::from(self.reports.unwrap_or(1)), 1.0, 20_000_000.0)?;
        within("--movements", f64::from(self.movements.unwrap_or(1000)), 100.0, 20_000_000.0)?;
        within("--lots", f64::from(self.lots.unwrap_or(100)), 20.0, 200_000.0)?;
        within("--units", f64::from(self.units.unwrap_or(10)), 4.0, 2000.0)?;
        within("--bad-lots", f64::from(self.bad_lots.unwrap_or(0)), 0.0, 2.0)?;
        within("--bad-factor", self.bad_factor.unwrap_or(3.0), 1.0, 20.0)?;
        within("--change-ratio", self.change_ratio.unwrap_or(0.5), 0.0, 5.0)?;
        within("--bad-labels", self.bad_labels, 0.0, 0.9)?;
        within("--doubles", self.doubles, 0.0, 0.5)?;
        within("--unrecorded-years", self.unrecorded_years, 0.0, self.years * 0.6)
    }
}
