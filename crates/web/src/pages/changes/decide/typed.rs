//! What was typed into the form of a decision, and what is wrong with it.

use domain::change_record::Disposition;
use domain::proof_plan::ProofPlan;
use serde::Deserialize;
use store::{NewDecision, Shown};

use crate::view::Faults;

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub(in crate::pages::changes) struct Typed {
    version: i64,
    evidence: String,
    pub(super) disposition: String,
    pub(super) reason: String,
    pub(super) conditions: String,
    pub(super) ratio_worth_having: String,
    pub(super) power: String,
    pub(super) signature: String,
    pub(super) password: String,
}

/// What was typed, else what is usual.
pub(super) fn or<'a>(typed: &'a str, usual: &'a str) -> &'a str {
    if typed.trim().is_empty() { usual } else { typed }
}

impl Typed {
    /// The record that the form was shown with.
    pub(super) fn shown(&self) -> Shown {
        let evidence = (!self.evidence.is_empty()).then(|| self.evidence.clone());
        Shown { version: self.version, evidence }
    }

    /// Without what is given anew for another record: what was chosen, and the name under it.
    pub(super) fn unsigned(self) -> Self {
        Self { disposition: String::new(), signature: String::new(), ..self }
    }

    /// The plan of the proof; what was left empty is as usual.
    pub(super) fn plan(&self) -> Result<ProofPlan, Faults> {
        let number = |text: &str| text.trim().parse::<f64>().unwrap_or(f64::NAN);
        let plan = ProofPlan {
            ratio_worth_having: number(or(&self.ratio_worth_having, "0.5")),
            power: number(or(&self.power, "80").trim_end_matches('%')) / 100.0,
        };
        plan.check().map(|()| plan).map_err(|problem| match problem.field {
            "power" => Faults::one("power", "Write a percentage from 50 to 99."),
            _ => Faults::one("ratio_worth_having", "Write a ratio from 0.01 to 0.95, such as 0.5."),
        })
    }

    pub(super) fn read(&self, full_name: &str) -> Result<(NewDecision, ProofPlan), Faults> {
        let plan = self.plan();
        let mut faults = plan.as_ref().err().cloned().unwrap_or_default();
        let disposition = self.disposition.parse::<Disposition>().ok();
        if disposition.is_none() {
            faults.add("disposition", "Choose how the board disposes of it.");
        }
        if self.reason.trim().is_empty() {
            faults.add("reason", "Say why: the record keeps it for good.");
        }
        let conditions = self.conditions.trim();
        let on_conditions = disposition == Some(Disposition::ApproveWithConditions);
        if on_conditions && conditions.is_empty() {
            faults.add("conditions", "Write the conditions of the approval.");
        }
        if !on_conditions && !conditions.is_empty() {
            faults.add(
                "conditions",
                "Conditions belong to an approval on conditions. Choose it, or clear this.",
            );
        }
        if words(&self.signature) != words(full_name) {
            faults.add("signature", "Write your full name as it stands above this field.");
        }
        match (disposition, plan) {
            (Some(disposition), Ok(plan)) if faults.is_empty() => {
                let decision = NewDecision {
                    disposition,
                    reason: self.reason.trim().to_owned(),
                    conditions: (!conditions.is_empty()).then(|| conditions.to_owned()),
                    signature: self.signature.trim().to_owned(),
                };
                Ok((decision, plan))
            }
            _ => Err(faults),
        }
    }
}

/// A name without regard to case and blanks.
fn words(name: &str) -> Vec<String> {
    name.split_whitespace().map(str::to_lowercase).collect()
}
