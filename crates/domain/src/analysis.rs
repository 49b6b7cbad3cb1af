//! The analysis: what the field says on a date, from counts to proofs. `analyse` prints it and pages show it.
//!
//! Exact: exposure from the ledger, Poisson limits of rates, conditional limits of ratios in one age band. Said to
//! be approximate where it is: expected counts by indirect standardisation, over-dispersion by moments, and large
//! proofs by Mantel-Haenszel. A field for a method that does not apply is `None`, never invented.

mod activities;
mod age_profile;
mod ageing;
mod at_risk;
mod benefit;
mod campaign;
mod compared;
mod concentration;
mod counts;
mod dispersion;
mod drawn;
mod explain;
mod factor;
mod failed_ages;
mod fit_prior;
mod flags;
mod fleet_ground;
mod forecast;
mod ground;
mod held;
mod holders;
mod levels;
mod life;
mod looked;
mod lot_lines;
mod mixture;
mod not_shown;
mod order_check;
mod outlook;
mod part_exposure;
mod pilots;
mod placed;
mod proof;
mod rate;
mod reach;
mod recurrences;
mod reporting;
mod rounds;
mod scanned;
mod seen;
mod service;
mod side;
mod side_effects;
mod spread;
mod standard;
mod study;
mod tally;
mod telling;
mod to_come;
mod two_sides;
mod unit_ratios;
mod units;
mod upstream;
mod usual;
mod warnings;
mod watch;
mod wear;
mod window;

pub use benefit::{ChangeResult, MixedLots};
pub use campaign::{Progress, campaign};
pub use concentration::Concentration;
pub use counts::{ChangeCounts, MixedShare, Occasions};
pub use drawn::{Drawn, Sight};
pub use factor::FactorLevel;
pub use fleet_ground::{FleetGround, fleet_ground};
pub use forecast::{Ahead, Forecast, MONTHS_AHEAD, NoForecast, Portion};
pub use holders::Holders;
pub use life::{Life, LifePoint, NoLife, Pattern};
pub use looked::{Looked, Prevalence};
pub use lot_lines::{FALSE_FLAGS, LotLine, RATIO_WORTH_A_FLAG, REPORTS_WORTH_A_FLAG, UnreadLabels};
pub use not_shown::NotShown;
pub use pilots::Pilots;
pub use proof::{Proof, ProofVerdict, RATIO_WORTH_HAVING};
pub use rate::{OnReceipt, Rate};
pub use reach::{Reach, ReachBy, WhileWaiting, reach_by, share_of_lot};
pub use recurrences::{Recurrence, Recurrences, Risk};
pub use reporting::{CorrectedRate, Reporting, ReportingFraction};
pub(crate) use side::{Side, Sides};
pub use side_effects::{FALSE_RISES, OtherMode, StillTold};
pub use spread::{Issued, Spread};
pub use study::Study;
pub use telling::{Stopped, Telling, ToldSince};
pub use to_come::ToCome;
pub use watch::{FALSE_SIGNALS_PER_YEAR, Otherwise, Signal, Watch, Watched};
pub use wear::{UnitWear, Wear};

use std::sync::Arc;

use chrono::NaiveDate;

use crate::field::{Day, Field};
use crate::ledger::Ledger;

/// How recurrences are sorted, to be said where they are listed.
pub const ORDER: &str = "Sorted by harm (injuries, then near misses), then by evidence (the lower limit of the rate), then by reports.";

/// Confidence of rates and ratios.
pub const CONFIDENCE: stats::Confidence = stats::Confidence::NINETY_FIVE;

/// What there was to look at.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Reports received.
    pub reports: usize,
    /// Of these, relevant.
    pub relevant: usize,
    /// Without part or mode, and not set aside.
    pub unsorted: usize,
    /// With a label that leads to no lot.
    pub lot_unresolved: usize,
    /// Lots.
    pub lots: usize,
    /// Movements.
    pub movements: usize,
    /// Lines of the books that do not agree with what was on record.
    pub discrepancies: usize,
}

/// What the field says on a date.
#[derive(Clone, Debug)]
pub struct Analysis {
    /// The date; only what was received by then counts.
    pub as_of: NaiveDate,
    /// Where reports begin late: the first day of which any tells. Service before it says nothing of failures.
    pub reports_begin: Option<Day>,
    /// What there was to look at.
    pub counts: Counts,
    /// False signals a year the watch may raise, over everything it watches together.
    pub false_signals_per_year: f64,
    /// Recurrences, sorted as [`ORDER`] says.
    pub recurrences: Recurrences,
    /// Changes, in the order of the field.
    pub changes: Vec<ChangeResult>,
    /// What inspections say of how many failures get reported.
    pub reporting: Reporting,
    /// What a reader must know beside the figures.
    pub warnings: Vec<String>,
    /// The ledger it rests on.
    pub ledger: Arc<Ledger>,
}

/// Analyses the field as known on a date, with [`FALSE_SIGNALS_PER_YEAR`].
pub fn analyse(field: &Field, as_of: NaiveDate) -> Analysis {
    analyse_watching(field, as_of, FALSE_SIGNALS_PER_YEAR)
}

/// Analyses the field with a watch that may raise so many false signals a year, over everything watched together.
pub fn analyse_watching(field: &Field, as_of: NaiveDate, false_signals_per_year: f64) -> Analysis {
    let study = Study::new(field.clone(), as_of, false_signals_per_year);
    Arc::unwrap_or_clone(study.into_analysis())
}
