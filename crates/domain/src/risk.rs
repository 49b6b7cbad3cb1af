//! Risk after MIL-STD-882E: severity, probability over the life of an item, and the matrix of the two.

use crate::words::words;

words! {
    /// Severity categories (MIL-STD-882E, 11 May 2012, Table I).
    pub enum Severity {
        /// Category 1.
        Catastrophic = "Catastrophic",
        /// Category 2.
        Critical = "Critical",
        /// Category 3.
        Marginal = "Marginal",
        /// Category 4.
        Negligible = "Negligible",
    }
}

impl Severity {
    /// The category's number, 1 to 4.
    pub const fn number(self) -> u8 {
        self as u8 + 1
    }

    /// The severity of a category number, 1 to 4.
    pub fn from_number(number: u8) -> Option<Self> {
        Self::ALL.get(usize::from(number).checked_sub(1)?).copied()
    }

    /// What a mishap of this category does to people (Table I, the injury limb; the money limbs are beyond any
    /// soft good).
    pub const fn harm(self) -> &'static str {
        match self {
            Self::Catastrophic => "death or permanent total disability",
            Self::Critical => "permanent partial disability, or three or more people in hospital",
            Self::Marginal => "injury or illness with one or more lost work days",
            Self::Negligible => "injury or illness without a lost work day",
        }
    }
}

words! {
    /// Probability levels (Table II).
    pub enum Level {
        /// 1 in 10 lives or more.
        A = "A",
        /// From 1 in 100 to below 1 in 10.
        B = "B",
        /// From 1 in 1,000 to below 1 in 100.
        C = "C",
        /// From 1 in a million to below 1 in 1,000.
        D = "D",
        /// Below 1 in a million.
        E = "E",
        /// Incapable of occurrence: only by design, and only by a person's word.
        F = "F",
    }
}

impl Level {
    /// The level's name in Table II.
    pub const fn name(self) -> &'static str {
        match self {
            Self::A => "Frequent",
            Self::B => "Probable",
            Self::C => "Occasional",
            Self::D => "Remote",
            Self::E => "Improbable",
            Self::F => "Eliminated",
        }
    }

    /// The level of a probability per life of one item, 0 to 1 (Appendix A, Table A-II: an example in the
    /// standard, taken as it stands). Never F: that takes a person.
    pub fn of_probability(per_life: f64) -> Self {
        match per_life {
            p if p >= 1e-1 => Self::A,
            p if p >= 1e-2 => Self::B,
            p if p >= 1e-3 => Self::C,
            p if p >= 1e-6 => Self::D,
            _ => Self::E,
        }
    }
}

words! {
    /// Risk levels (Table III).
    pub enum RiskLevel {
        /// Accepted at the highest authority only.
        High = "High",
        /// One below.
        Serious = "Serious",
        /// Accepted by the program manager.
        Medium = "Medium",
        /// Accepted by the program manager.
        Low = "Low",
        /// Designed out.
        Eliminated = "Eliminated",
    }
}

/// The risk level of a severity and a probability level (MIL-STD-882E, Table III).
pub const fn risk_level(severity: Severity, level: Level) -> RiskLevel {
    use RiskLevel as R;
    let row = match level {
        Level::A | Level::B => [R::High, R::High, R::Serious, R::Medium],
        Level::C => [R::High, R::Serious, R::Medium, R::Low],
        Level::D => [R::Serious, R::Medium, R::Medium, R::Low],
        Level::E => [R::Medium, R::Medium, R::Medium, R::Low],
        Level::F => [R::Eliminated; 4],
    };
    row[severity as usize]
}

/// What the probability of a mishap is made from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MishapInputs {
    /// Failures per item-year, the estimate, 0 or more; chargeable or not, for a mishap is rated, not a contract.
    pub rate_per_item_year: f64,
    /// Its upper limit.
    pub rate_high: f64,
    /// Years an item serves, above 0.
    pub life_years: f64,
    /// Reports of the failures that the rate counts.
    pub reports: u64,
    /// Those of them with harm: a near miss or an injury.
    pub with_harm: u64,
    /// Upper limit of the share of reports with harm, 0 to 1, counting no more than [`FEW_WITH_HARM`] of them.
    pub harm_share_high: f64,
}

/// Probability that one item brings a mishap in its life, with the words that say how it was found.
#[derive(Clone, Debug, PartialEq)]
pub struct MishapProbability {
    /// Per life of one item, 0 to 1.
    pub per_life: f64,
    /// How it was found.
    pub basis: String,
}

/// Up to this many reports with harm it is rare, and its share is taken at the upper limit.
pub const FEW_WITH_HARM: u64 = 2;

/// Probability of a mishap, not of a failure: `1 - exp(-rate x life x share of reports with harm)`.
///
/// Where harm is rare or unseen both the rate and the share are taken at their upper limits, since few reports aren't proof
/// of safety. Where it is not, estimates are used as soon as they come to more: nothing gets safer by one more who was hurt.
pub fn mishap_probability(inputs: MishapInputs) -> MishapProbability {
    let MishapInputs { rate_per_item_year, rate_high, life_years, reports, with_harm, harm_share_high } =
        inputs;
    let at_limits = rate_high * harm_share_high;
    let estimated = rate_per_item_year * with_harm as f64 / reports.max(1) as f64;
    let (mishaps_per_year, said) = if with_harm <= FEW_WITH_HARM {
        (at_limits, "harm is rare or unseen, so upper limits are used".to_owned())
    } else if estimated < at_limits {
        let few = format!(
            "upper limits with {FEW_WITH_HARM} of them come to more than the estimates, so they are used"
        );
        (at_limits, few)
    } else {
        (estimated, "estimates are used".to_owned())
    };
    let per_life = -(-mishaps_per_year * life_years).exp_m1();
    MishapProbability {
        per_life,
        basis: format!(
            "1 - exp(-rate x life x share with harm) over {life_years} years, {with_harm} of {reports} reports with harm; {said}"
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// MIL-STD-882E, 11 May 2012, Table III, all 24 cells.
    #[test]
    fn every_cell_of_the_matrix_is_that_of_the_standard() {
        let table = [
            (Level::A, ["High", "High", "Serious", "Medium"]),
            (Level::B, ["High", "High", "Serious", "Medium"]),
            (Level::C, ["High", "Serious", "Medium", "Low"]),
            (Level::D, ["Serious", "Medium", "Medium", "Low"]),
            (Level::E, ["Medium", "Medium", "Medium", "Low"]),
            (Level::F, ["Eliminated", "Eliminated", "Eliminated", "Eliminated"]),
        ];
        let mut count = std::collections::BTreeMap::new();
        for (level, row) in table {
            for (severity, expected) in Severity::ALL.iter().zip(row) {
                assert_eq!(risk_level(*severity, level).word(), expected, "{}{level}", severity.number());
                *count.entry(expected).or_insert(0) += 1;
            }
        }
        let counts: Vec<_> = ["High", "Serious", "Medium", "Low", "Eliminated"].map(|l| count[l]).into();
        assert_eq!(counts, [5, 4, 8, 3, 4]);
    }

    /// MIL-STD-882E, Table A-II: the boundary belongs to the higher level.
    #[test]
    fn a_probability_on_the_boundary_belongs_to_the_higher_level() {
        let levels = [0.1, 0.099, 0.01, 0.001, 1e-6, 9.99e-7, 0.0].map(Level::of_probability);
        assert_eq!(levels, [Level::A, Level::B, Level::B, Level::C, Level::D, Level::E, Level::E]);
    }

    #[test]
    fn severity_numbers_read_back() {
        for severity in Severity::ALL {
            assert_eq!(Severity::from_number(severity.number()), Some(*severity));
        }
        assert_eq!((Severity::from_number(0), Severity::from_number(5)), (None, None));
    }

    #[test]
    fn unseen_harm_takes_the_upper_limits() {
        let inputs = MishapInputs {
            rate_per_item_year: 0.01,
            rate_high: 0.02,
            life_years: 5.0,
            reports: 20,
            with_harm: 0,
            harm_share_high: 0.14,
        };
        let unseen = mishap_probability(inputs);
        assert!((unseen.per_life - (1.0 - (-0.02_f64 * 5.0 * 0.14).exp())).abs() < 1e-15);
        assert!(unseen.basis.contains("0 of 20 reports with harm; harm is rare or unseen"));
        let seen = mishap_probability(MishapInputs { with_harm: 10, ..inputs });
        assert!((seen.per_life - (1.0 - (-0.01_f64 * 5.0 * 0.5).exp())).abs() < 1e-15);
    }

    /// By hand: 10 reports in 1,000 item-years, 0.01839 at the upper limit (Garwood); 2 of 10 are a share of up to 0.507
    /// (Clopper and Pearson): 0.0093 mishaps a year. Five of ten come to 0.005, all ten to 0.01.
    #[test]
    fn harm_is_called_rare_only_where_it_is() {
        let of = |with_harm| {
            mishap_probability(MishapInputs {
                rate_per_item_year: 0.01,
                rate_high: 0.018_39,
                life_years: 5.0,
                reports: 10,
                with_harm,
                harm_share_high: 0.507,
            })
        };
        let rare = "2 of 10 reports with harm; harm is rare or unseen, so upper limits are used";
        assert!(of(FEW_WITH_HARM).basis.ends_with(rare));
        let half = of(5);
        assert!(
            half.basis.contains("5 of 10 reports with harm; upper limits with 2 of them come to more"),
            "{}",
            half.basis
        );
        assert_eq!(half.per_life, of(FEW_WITH_HARM).per_life);
        assert!(of(10).basis.ends_with("10 of 10 reports with harm; estimates are used"));
    }

    /// By hand: 20 reports in 4,000 item-years and a life of 5 years. Two with harm, at their limits, give more than three
    /// would by estimates.
    #[test]
    fn one_more_with_harm_never_lowers_the_risk() {
        let of = |with_harm: u64| {
            let share = stats::binomial::clopper_pearson_upper(
                with_harm.min(FEW_WITH_HARM),
                20,
                crate::analysis::CONFIDENCE,
            );
            mishap_probability(MishapInputs {
                rate_per_item_year: 0.005,
                rate_high: 0.007_72,
                life_years: 5.0,
                reports: 20,
                with_harm,
                harm_share_high: share.expect("in range"),
            })
        };
        let per_life: Vec<f64> = (0..=20).map(|with_harm| of(with_harm).per_life).collect();
        assert!(per_life.is_sorted(), "{per_life:?}");
        assert_eq!(Level::of_probability(per_life[3]), Level::B);
        assert!(of(20).basis.contains("estimates are used"));
    }
}
