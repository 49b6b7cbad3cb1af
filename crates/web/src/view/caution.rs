//! A caution as pages show it.

use serde::Serialize;

/// One caution; the alarm colour is for harm only.
#[derive(Clone, Debug, Serialize)]
pub struct Caution {
    pub(crate) words: &'static str,
    pub(crate) harm: bool,
}

impl From<domain::caution::Caution> for Caution {
    fn from(caution: domain::caution::Caution) -> Self {
        use domain::caution::Caution as C;
        let harm = matches!(caution, C::OutOfUse | C::NoFieldRepair | C::TestRelease | C::ReportHarm);
        Self { words: caution.words(), harm }
    }
}

impl Caution {
    /// A list of cautions for a page.
    pub fn list(cautions: impl IntoIterator<Item = domain::caution::Caution>) -> Vec<Self> {
        cautions.into_iter().map(Self::from).collect()
    }
}
