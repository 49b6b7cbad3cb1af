//! Requirements on whom an item fits, and on how long its release takes.

use stats::Confidence;
use stats::special::{Tails, student};

use super::requirement_check::{RequirementCheck, Verdict, verdict};
use crate::accommodation::{Coverage, of_item};
use crate::field::{Field, RequirementFacts, RevisionId};
use crate::requirement::LimitKind;

/// What a bench measure of release time is called, whatever stands around it.
const RELEASE: &str = "release";

/// Whom the item's sizes fit, everybody and each sex by itself; the group that fares worst decides.
pub(super) fn accommodated(
    field: &Field,
    facts: &RequirementFacts,
    kind: LimitKind,
    limit: f64,
) -> Option<RequirementCheck> {
    let found = of_item(field, facts.item);
    let judged: Vec<(Verdict, &Coverage)> = found
        .iter()
        .map(|group| (verdict(kind, limit, 100.0 * group.limits.low, 100.0 * group.limits.high), group))
        .collect();
    let worst = [Verdict::NotMet, Verdict::CantTell, Verdict::Met]
        .into_iter()
        .find(|wanted| judged.iter().any(|(verdict, _)| verdict == wanted))?;
    let said: Vec<String> = found.iter().map(said).collect();
    Some(RequirementCheck {
        requirement_no: facts.requirement.requirement_no.clone(),
        verdict: worst,
        figure: format!("{} against {limit} %, jointly over all dimensions", said.join("; ")),
    })
}

fn said(group: &Coverage) -> String {
    let who = group.group.as_deref().unwrap_or("all");
    format!(
        "{who} {:.1} % ({:.1} to {:.1} %), {} of {}",
        group.percent(),
        100.0 * group.limits.low,
        100.0 * group.limits.high,
        group.accommodated,
        group.people
    )
}

/// Release times of the revision after: not met when one specimen took too long; met when the limits for one more
/// specimen, `mean -+ t s sqrt(1 + 1/n)`, lie on the right side.
///
/// `None` where the part has no release to test, or none was tested.
pub(super) fn release(
    field: &Field,
    facts: &RequirementFacts,
    after: RevisionId,
    kind: LimitKind,
    limit: f64,
) -> Option<RequirementCheck> {
    let tests = field.bench_tests.iter().filter(|facts| facts.revision == after);
    let seconds: Vec<f64> = tests
        .filter(|facts| facts.test.measure.to_lowercase().contains(RELEASE) && facts.test.measure_unit == "s")
        .map(|facts| facts.test.value)
        .collect();
    if seconds.is_empty() {
        return None;
    }
    let n = seconds.len() as f64;
    let mean = seconds.iter().sum::<f64>() / n;
    let worst = match kind {
        LimitKind::AtMost => seconds.iter().copied().fold(f64::NEG_INFINITY, f64::max),
        LimitKind::AtLeast => seconds.iter().copied().fold(f64::INFINITY, f64::min),
    };
    let one_beyond = verdict(kind, limit, worst, worst) == Verdict::NotMet;
    let judged = if one_beyond {
        Verdict::NotMet
    } else if seconds.len() < 2 {
        Verdict::CantTell
    } else {
        let squares: f64 = seconds.iter().map(|s| (s - mean).powi(2)).sum();
        let t = student::quantile(Tails::from_upper(Confidence::NINETY_FIVE.half_risk()), n - 1.0);
        let reach = t * (squares / (n - 1.0) * (1.0 + n.recip())).sqrt();
        match verdict(kind, limit, mean - reach, mean + reach) {
            Verdict::Met => Verdict::Met,
            _ => Verdict::CantTell,
        }
    };
    Some(RequirementCheck {
        requirement_no: facts.requirement.requirement_no.clone(),
        verdict: judged,
        figure: format!(
            "{} specimens: mean {mean:.2} s, worst {worst:.2} s, against {limit} s",
            seconds.len()
        ),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench_test::{BenchTest, TestOutcome};
    use crate::field::FieldBuilder;
    use crate::fit::FitRange;
    use crate::nouns::{builder, part};
    use crate::person::Person;
    use crate::requirement::{Measure, Requirement};

    fn required(measure: Measure, kind: LimitKind, limit: f64) -> FieldBuilder {
        let mut b = builder();
        b.part(&part("RC-100", "A", "ITEM")).expect("new");
        b.requirement(&Requirement {
            item_part_no: "RC-100".into(),
            requirement_no: "3.6".into(),
            text: "fits".into(),
            measure: Some(measure),
            limit_kind: Some(kind),
            limit: Some(limit),
            configuration: None,
            size: None,
        })
        .expect("known");
        b
    }

    fn timed(seconds: &[f64]) -> Option<Verdict> {
        let mut b = required(Measure::ReleaseSeconds, LimitKind::AtMost, 3.0);
        for (at, &value) in seconds.iter().enumerate() {
            b.bench_test(&BenchTest {
                part_no: "RC-100".into(),
                revision: "A".into(),
                lot_no: None,
                purpose: None,
                method: "drop".into(),
                measure: "release_seconds".into(),
                specimen: at.to_string(),
                specimen_source: None,
                value,
                measure_unit: "s".into(),
                outcome: TestOutcome::Measured,
                conditioning: None,
                limit: None,
                limit_source: None,
                laboratory: None,
                tested_on: None,
            })
            .expect("known");
        }
        let field = b.build();
        let after = field.find_revision("RC-100", "A").expect("known");
        release(&field, &field.requirements[0], after, LimitKind::AtMost, 3.0).map(|check| check.verdict)
    }

    #[test]
    fn one_release_that_took_too_long_is_enough_and_two_quick_ones_show_little() {
        assert_eq!(timed(&[]), None);
        assert_eq!(timed(&[1.0, 1.1, 3.2]), Some(Verdict::NotMet));
        // By hand: mean 1.5, s 0.707, t(1) 12.71: one more may take 12.5 s.
        assert_eq!(timed(&[1.0, 2.0]), Some(Verdict::CantTell));
        assert_eq!(timed(&[1.0, 1.1, 0.9, 1.0, 1.05]), Some(Verdict::Met));
    }

    /// A size that fits every man and no woman meets nothing, though half of all people are fitted.
    #[test]
    fn the_sex_that_fares_worst_decides() {
        let mut b = required(Measure::AccommodatedPercent, LimitKind::AtLeast, 40.0);
        b.fit_range(&FitRange {
            item_part_no: "RC-100".into(),
            size: "M".into(),
            dimension: "chest".into(),
            low_mm: 1000.0,
            high_mm: 1100.0,
        })
        .expect("known");
        for at in 0..200 {
            let (sex, chest) = if at % 2 == 0 { ("M", 1050.0) } else { ("F", 900.0) };
            b.person(&Person {
                person: at.to_string(),
                sex: Some(sex.into()),
                mass_kg: None,
                dimensions_mm: vec![("chest".into(), Some(chest))],
            })
            .expect("new");
        }
        let field = b.build();
        let found = accommodated(&field, &field.requirements[0], LimitKind::AtLeast, 40.0).expect("people");
        assert_eq!(found.verdict, Verdict::NotMet);
        assert!(found.figure.contains("all 50.0 %") && found.figure.contains("F 0.0 %"), "{}", found.figure);
    }
}
