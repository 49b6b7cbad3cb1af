//! Cautions: short, plain, shown where they matter.

use crate::danger::{self, Category, QUICK_RELEASE};
use crate::part::{ASSEMBLY, ITEM};
use crate::report::Report;

/// One caution. The words are fixed; pages and documents choose which ones fit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Caution {
    /// Take it out of use.
    OutOfUse,
    /// No field repair.
    NoFieldRepair,
    /// Test the release.
    TestRelease,
    /// Tell your chain.
    ReportHarm,
    /// What rates rest on.
    RatesFromReports,
    /// Who judges.
    JudgementStays,
}

impl Caution {
    /// All of them, as every change document carries them.
    pub const ALL: [Self; 6] = [
        Self::OutOfUse,
        Self::NoFieldRepair,
        Self::TestRelease,
        Self::ReportHarm,
        Self::RatesFromReports,
        Self::JudgementStays,
    ];

    /// The sentence a reader sees.
    pub const fn words(self) -> &'static str {
        match self {
            Self::OutOfUse => {
                "Take a damaged protective or load-bearing item out of use and tag it until it has been inspected."
            }
            Self::NoFieldRepair => {
                "Don't repair protective parts, load paths or releases in the field unless the technical manual says so."
            }
            Self::TestRelease => {
                "A quick release must be function-tested after any repair, wash or re-assembly."
            }
            Self::ReportHarm => {
                "If someone was hurt or could have been, report through your chain at once; this tool doesn't replace it."
            }
            Self::RatesFromReports => {
                "Rates here come from reports and issue records; few reports isn't proof of safety."
            }
            Self::JudgementStays => {
                "Figures support, and don't replace, the judgement of the responsible engineer, the governing specification and the local safety authority."
            }
        }
    }
}

/// The cautions a reporter must read on the receipt of a report.
///
/// `failed_kind` is the kind code of the part, where the reporter named it. Somebody who was hurt, or could
/// have been, comes first; so it is where a release failed that somebody depended on.
pub fn for_report(report: &Report, failed_kind: Option<&str>) -> Vec<Caution> {
    let mut cautions = Vec::new();
    if danger::of(report, failed_kind, None).is_some_and(|danger| danger.category == Category::One) {
        cautions.push(Caution::ReportHarm);
    }
    cautions.push(Caution::OutOfUse);
    cautions.push(Caution::NoFieldRepair);
    // An item or an assembly may hold a release.
    if failed_kind.is_none_or(|kind| [QUICK_RELEASE, ASSEMBLY, ITEM].contains(&kind)) {
        cautions.push(Caution::TestRelease);
    }
    cautions
}

/// The cautions beside a recurrence: rates always, the rest where it has a safety consequence.
///
/// `severity` is the category, 1 to 4, as judged or as the catalogue has it; `harm` says whether somebody was hurt or could
/// have been, which no severity outweighs; `kind` is the kind code of the part.
pub fn for_recurrence(severity: u8, harm: bool, kind: &str) -> Vec<Caution> {
    let mut cautions = Vec::new();
    if severity <= 2 || harm {
        cautions.extend([Caution::OutOfUse, Caution::ReportHarm]);
    }
    if kind == QUICK_RELEASE {
        cautions.push(Caution::TestRelease);
    }
    cautions.extend([Caution::RatesFromReports, Caution::JudgementStays]);
    cautions
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::{FoundWhen, Harm};

    fn report(harm: Option<Harm>) -> Report {
        let day = chrono::NaiveDate::from_ymd_opt(2026, 5, 4).expect("a date");
        Report { harm, ..Report::bare("R1", day, "COVE-2", "RC-100") }
    }

    #[test]
    fn somebody_hurt_is_told_to_tell_their_chain_first() {
        assert_eq!(for_report(&report(Some(Harm::Injury)), Some("ZIP"))[0], Caution::ReportHarm);
        assert!(!for_report(&report(Some(Harm::None)), Some("ZIP")).contains(&Caution::ReportHarm));
    }

    #[test]
    fn a_near_miss_and_a_release_that_failed_at_work_are_told_up_the_chain() {
        assert_eq!(for_report(&report(Some(Harm::NearMiss)), Some("ZIP"))[0], Caution::ReportHarm);
        assert_eq!(for_report(&report(Some(Harm::None)), Some("QRC"))[0], Caution::ReportHarm);
        let unpacked = Report { found_when: Some(FoundWhen::OnReceipt), ..report(Some(Harm::None)) };
        let told = for_report(&unpacked, Some("QRC"));
        assert!(!told.contains(&Caution::ReportHarm) && told.contains(&Caution::TestRelease));
    }

    #[test]
    fn a_release_or_an_unknown_part_must_be_function_tested() {
        for kind in [Some("QRC"), Some("ASM"), Some("ITEM"), None] {
            assert!(for_report(&report(None), kind).contains(&Caution::TestRelease), "{kind:?}");
        }
        assert!(!for_report(&report(None), Some("ZIP")).contains(&Caution::TestRelease));
    }

    #[test]
    fn a_recurrence_with_harm_or_of_a_release_is_cautioned_of_whatever_its_severity() {
        let always = [Caution::RatesFromReports, Caution::JudgementStays];
        let told = |severity, harm, kind| {
            let cautions = for_recurrence(severity, harm, kind);
            let (first, last) = cautions.split_at(cautions.len() - always.len());
            assert_eq!(last, always);
            first.to_vec()
        };
        assert!(told(3, false, "ZIP").is_empty());
        assert_eq!(told(4, true, "ZIP"), [Caution::OutOfUse, Caution::ReportHarm]);
        assert_eq!(told(2, false, "ZIP"), [Caution::OutOfUse, Caution::ReportHarm]);
        assert_eq!(told(3, false, "QRC"), [Caution::TestRelease]);
        assert_eq!(told(1, true, "QRC"), [Caution::OutOfUse, Caution::ReportHarm, Caution::TestRelease]);
    }
}
