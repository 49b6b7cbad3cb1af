//! The requirements of an item under a change: those the program can judge, and those a person must.

use std::cmp::Ordering;

use super::AfterRate;
use super::requirement_check::{RequirementCheck, Verdict, verdict};

use crate::field::{Field, RequirementFacts};
use crate::mass::MassChange;
use crate::requirement::{LimitKind, Measure, Requirement};

/// Checks one requirement against the masses and the rate after the change.
///
/// `None` where no figure of the program answers it: a person must.
pub fn check(
    field: &Field,
    facts: &RequirementFacts,
    masses: &[MassChange],
    rate_after: Option<AfterRate>,
) -> Option<RequirementCheck> {
    let requirement = &facts.requirement;
    match (requirement.measure?, requirement.limit_kind, requirement.limit) {
        (Measure::MassG, Some(_), Some(_)) => Some(of_mass(field, facts, masses)),
        (Measure::RatePer1000ItemYears, Some(kind), Some(limit)) => {
            let rate = rate_after?;
            Some(RequirementCheck {
                requirement_no: requirement.requirement_no.clone(),
                verdict: verdict(kind, limit, rate.low, rate.high),
                figure: format!(
                    "{:.1} per 1,000 item-years ({:.1} to {:.1}) against {limit}",
                    rate.estimate, rate.low, rate.high
                ),
            })
        }
        _ => None,
    }
}

/// The tightest upper limit that a requirement sets on the mass of an item in a size and configuration.
pub fn mass_limit<'a>(field: &'a Field, mass: &MassChange) -> Option<&'a Requirement> {
    let limits = |facts: &&RequirementFacts| {
        let requirement = &facts.requirement;
        facts.item == mass.item
            && requirement.measure == Some(Measure::MassG)
            && requirement.limit_kind == Some(LimitKind::AtMost)
            && concerns(field, requirement, mass)
    };
    let found = field.requirements.iter().filter(limits).map(|facts| &facts.requirement);
    found
        .filter(|r| r.limit.is_some())
        .min_by(|a, b| a.limit.partial_cmp(&b.limit).unwrap_or(Ordering::Equal))
}

/// The worst of all sizes and configurations that the requirement speaks of.
fn of_mass(field: &Field, facts: &RequirementFacts, masses: &[MassChange]) -> RequirementCheck {
    let requirement = &facts.requirement;
    let concerned = masses.iter().filter(|m| m.item == facts.item && concerns(field, requirement, m));
    let judged: Vec<(Verdict, String)> = concerned.map(|mass| judge(field, requirement, mass)).collect();
    let worst = [Verdict::NotMet, Verdict::CantTell, Verdict::Met]
        .into_iter()
        .find_map(|wanted| judged.iter().find(|(v, _)| *v == wanted));
    let (verdict, figure) = worst
        .cloned()
        .unwrap_or((Verdict::CantTell, "no size or configuration of this kind is known".into()));
    RequirementCheck { requirement_no: requirement.requirement_no.clone(), verdict, figure }
}

fn concerns(field: &Field, requirement: &Requirement, mass: &MassChange) -> bool {
    let same = |wanted: &Option<String>, found: Option<&str>| match wanted {
        Some(wanted) => found == Some(wanted),
        None => true,
    };
    same(&requirement.size, mass.size.map(|s| &field.sizes[s]))
        && same(&requirement.configuration, mass.configuration.map(|c| &field.configurations[c]))
}

fn judge(field: &Field, requirement: &Requirement, mass: &MassChange) -> (Verdict, String) {
    let (Some(kind), Some(limit)) = (requirement.limit_kind, requirement.limit) else {
        return (Verdict::CantTell, "no limit is set".into());
    };
    let named = [mass.size.map(|s| &field.sizes[s]), mass.configuration.map(|c| &field.configurations[c])]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join(", ");
    let Some(after) = mass.after else {
        return (Verdict::CantTell, format!("{named} was never weighed"));
    };
    match after.reach_g() {
        None => (
            Verdict::CantTell,
            format!("{:.0} g {named}, uncertainty not known (weighed once), against {limit} g", after.grams),
        ),
        Some(reach) => {
            let verdict = verdict(kind, limit, after.grams - reach, after.grams + reach);
            (verdict, format!("{:.0} g +- {reach:.0} g {named}, against {limit} g", after.grams))
        }
    }
}
