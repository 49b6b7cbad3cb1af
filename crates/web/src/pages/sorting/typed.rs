//! What an engineer typed to sort a report, and the decision it makes.

use domain::handling::Sorting;
use domain::words::Problem;
use serde::Deserialize;
use store::ReportFile;

/// The sorting form.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    pub(super) part: String,
    pub(super) mode: String,
    pub(super) lot: String,
    pub(super) relevant: String,
    pub(super) relevant_reason: String,
    pub(super) chargeable: String,
    pub(super) chargeable_reason: String,
    pub(super) cause: String,
    /// Whether a part, a mode and a lot that don't fit are meant.
    pub(super) sure: String,
    /// The latest decision in the journal that the sheet showed.
    pub(super) shown: i64,
}

/// What a form without fields sends: the latest decision in the journal that the sheet showed.
#[derive(Clone, Copy, Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Seen {
    pub(super) shown: i64,
}

/// A choice taken from a suggestion, in the address: it fills the form and keeps nothing.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Prefill {
    part: String,
    mode: String,
    lot: String,
    /// The report decided before this one.
    pub(super) done: String,
    /// The number of that decision in the journal.
    pub(super) shown: i64,
}

fn filled(text: &str) -> Option<String> {
    Some(text.trim().to_owned()).filter(|text| !text.is_empty())
}

fn yes_no(flag: Option<bool>) -> String {
    if flag == Some(false) { "no" } else { "yes" }.to_owned()
}

impl Typed {
    /// The form as the report stands.
    pub(super) fn of(file: &ReportFile) -> Self {
        Self {
            part: file.report.part_no.clone().unwrap_or_default(),
            mode: file.report.mode.clone().unwrap_or_default(),
            lot: file.report.lot_text.clone().unwrap_or_default(),
            relevant: yes_no(file.report.relevant),
            relevant_reason: file.handling.relevant_reason.clone().unwrap_or_default(),
            chargeable: yes_no(file.report.chargeable),
            chargeable_reason: file.handling.chargeable_reason.clone().unwrap_or_default(),
            cause: file.handling.cause.clone().unwrap_or_default(),
            sure: String::new(),
            shown: file.shown,
        }
    }

    /// With what a suggestion says put in.
    pub(super) fn with(mut self, prefill: &Prefill) -> Self {
        for (field, said) in
            [(&mut self.part, &prefill.part), (&mut self.mode, &prefill.mode), (&mut self.lot, &prefill.lot)]
        {
            if !said.is_empty() {
                field.clone_from(said);
            }
        }
        self
    }

    /// The decision.
    ///
    /// # Errors
    /// What is missing, beside its field.
    pub(super) fn sorting(&self) -> Result<Sorting, Problem> {
        let relevant = self.relevant != "no";
        let chargeable = relevant && self.chargeable != "no";
        let sorting = Sorting {
            part_no: filled(&self.part)
                .ok_or_else(|| Problem::new("part", "Choose the part that failed."))?,
            mode: filled(&self.mode).ok_or_else(|| Problem::new("mode", "Choose how it failed."))?,
            lot_no: filled(&self.lot),
            relevant,
            relevant_reason: filled(&self.relevant_reason).filter(|_| !relevant),
            chargeable,
            chargeable_reason: filled(&self.chargeable_reason).filter(|_| !chargeable),
            cause: filled(&self.cause),
        };
        sorting.check()?;
        Ok(sorting)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn typed() -> Typed {
        Typed { part: "ZIP-9".into(), mode: "ZIP-1".into(), ..Typed::default() }
    }

    #[test]
    fn part_and_mode_are_enough_for_a_failure_that_counts() {
        let sorting = typed().sorting().expect("enough");
        assert!(sorting.relevant && sorting.chargeable && sorting.lot_no.is_none());
    }

    #[test]
    fn what_does_not_count_needs_its_reason() {
        let set = Typed { relevant: "no".into(), ..typed() };
        assert_eq!(set.sorting().unwrap_err().field, "relevant_reason");
        let with = Typed { relevant_reason: "accident".into(), ..set };
        assert!(!with.sorting().expect("a reason").chargeable);
    }

    #[test]
    fn a_missing_mode_is_named() {
        assert_eq!(Typed { mode: String::new(), ..typed() }.sorting().unwrap_err().field, "mode");
    }
}
