//! The change record: what the engineer argues and the board decides.

mod affected;
mod after_rate;
mod assessment;
mod bench_evidence;
mod built_to;
mod conclusion;
mod cut_in;
mod field_evidence;
mod fit_and_release;
mod gate;
mod known;
mod required;
mod requirement_check;
mod revision;
mod state;
mod suggested;

pub use affected::{AffectedStock, Assembly, affected_stock, assemblies};
pub use after_rate::{AfterRate, predicted_after};
pub use assessment::{Assessment, CriterionLine, RequirementLine, Written, assess};
pub use bench_evidence::{BenchComparison, BenchSide, bench_comparisons};
pub use built_to::lots_built_to;
pub use conclusion::conclusion;
pub use cut_in::CutInGround;
pub use field_evidence::suggestions;
pub use gate::{Draft, Missing, missing_before_submission};
pub use required::{check as check_requirement, mass_limit};
pub use requirement_check::{RequirementCheck, Verdict, verdict};
pub use revision::{next_revision, suggested_revisions};
pub use state::{Disposition, NotAllowed, after_decision, may_become};
pub use suggested::{LOAD_SCATTER, Suggested, by_cycles, by_pilot, by_strength};

use crate::words::words;

words! {
    /// What a predicted failure rate rests on.
    pub enum PredictionBasis {
        /// A comparison on the bench.
        Bench = "bench",
        /// Strength on the bench against loads in use.
        Strength = "strength",
        /// Cycles to failure on the bench.
        Cycles = "cycles",
        /// Strength retained after wear, on the bench.
        Retained = "retained",
        /// Pilot lots in the field.
        Pilot = "pilot",
        /// A judged range, marked as judgement.
        Judged = "judged",
    }
}

words! {
    /// What kind of document a change alters.
    pub enum DocumentKind {
        /// A drawing or pattern.
        Drawing = "drawing",
        /// A specification or purchase description.
        Specification = "specification",
        /// A manual or care label.
        Manual = "manual",
        /// A contract or order.
        Contract = "contract",
        /// A kit, spares or training document.
        Support = "support",
        /// Any other.
        Other = "other",
    }
}

words! {
    /// What happens to the items already issued.
    pub enum Retrofit {
        /// Only new lots change, and unissued old stock is set aside.
        NextLot = "next_lot",
        /// Only new lots change; what is issued and in store runs out.
        RunOut = "run_out",
        /// Items change when they come back anyway.
        OnReturn = "on_return",
        /// All are called back.
        RecallAll = "recall_all",
    }
}

/// How many failures are left after the change, as a share of before: low, best, high.
#[derive(Clone, Debug, PartialEq)]
pub struct Prediction {
    /// What it rests on.
    pub basis: PredictionBasis,
    /// Low end of the ratio after/before, above 0.
    pub ratio_low: f64,
    /// Best guess.
    pub ratio_best: f64,
    /// High end.
    pub ratio_high: f64,
    /// The evidence in words: test numbers, laboratory, who judged.
    pub source: String,
}

impl Prediction {
    /// Refuses ratios out of order or not above zero, and evidence left blank.
    pub fn check(&self) -> Result<(), crate::words::Problem> {
        use crate::words::Problem;
        let ordered =
            0.0 < self.ratio_low && self.ratio_low <= self.ratio_best && self.ratio_best <= self.ratio_high;
        if !(ordered && self.ratio_high.is_finite()) {
            return Err(Problem::new("ratio_best", "expected 0 < low <= best <= high"));
        }
        if self.source.trim().is_empty() {
            return Err(Problem::new(
                "prediction_source",
                "expected the evidence: tests, laboratory, or who judged",
            ));
        }
        Ok(())
    }
}
