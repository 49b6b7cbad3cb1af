//! A caution as pages show it.

use domain::caution::Caution as C;
use serde::Serialize;

use crate::tongue::Tongue;

/// One caution; the alarm colour is for harm only.
#[derive(Clone, Debug, Serialize)]
pub struct Caution {
    pub(crate) words: String,
    pub(crate) harm: bool,
}

impl Caution {
    /// A list of cautions for an engineer's page.
    pub fn list(cautions: impl IntoIterator<Item = C>) -> Vec<Self> {
        cautions.into_iter().map(|caution| Self::new(caution, caution.words().to_owned())).collect()
    }

    /// ... for a unit's, in its tongue.
    pub fn told(tongue: Tongue, cautions: impl IntoIterator<Item = C>) -> Vec<Self> {
        cautions.into_iter().map(|caution| Self::new(caution, tongue.say(key(caution)))).collect()
    }

    const fn new(caution: C, words: String) -> Self {
        let harm = matches!(caution, C::OutOfUse | C::NoFieldRepair | C::TestRelease | C::ReportHarm);
        Self { words, harm }
    }
}

/// The text of a caution.
pub(crate) const fn key(caution: C) -> &'static str {
    match caution {
        C::OutOfUse => "caution-out-of-use",
        C::NoFieldRepair => "caution-no-field-repair",
        C::TestRelease => "caution-test-release",
        C::ReportHarm => "caution-report-harm",
        C::RatesFromReports => "caution-rates-from-reports",
        C::JudgementStays => "caution-judgement-stays",
    }
}
