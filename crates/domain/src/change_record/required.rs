//! The requirements of an item under a change: those the program can judge, and those a person must.

use std::cmp::Ordering;

use super::AfterRate;
use super::fit_and_release::{accommodated, release};
use super::requirement_check::{RequirementCheck, Verdict, verdict};

use crate::analysis::Holders;
use crate::field::{Field, RequirementFacts, RevisionId};
use crate::mass::MassChange;
use crate::requirement::{LimitKind, Measure, Requirement};

/// Checks one requirement against the masses and the rate after the change, the people whom the item fits, and release
/// times of the revision after; `change` is that revision, with the codes of the modes that it is to cure.
///
/// `None` where no figure of the program answers it: a person must.
pub fn check(
    field: &Field,
    facts: &RequirementFacts,
    masses: &[MassChange],
    rate_after: Option<AfterRate>,
    change: Option<(RevisionId, &[String])>,
) -> Option<RequirementCheck> {
    let requirement = &facts.requirement;
    match (requirement.measure?, requirement.limit_kind, requirement.limit) {
        (Measure::MassG, Some(_), Some(_)) => Some(of_mass(field, facts, masses)),
        (Measure::RatePer1000ItemYears, Some(_), Some(_)) => {
            let change = change?;
            let speaks = covers_item(field, facts, change) && apart(field, facts, masses, change.0).is_none();
            let check = of_rate(field, facts, masses, (rate_after?, change));
            check.filter(|check| check.verdict != Verdict::CantTell || speaks)
        }
        (Measure::AccommodatedPercent, Some(kind), Some(limit)) => accommodated(field, facts, kind, limit),
        (Measure::ReleaseSeconds, Some(kind), Some(limit)) => release(field, facts, change?.0, kind, limit),
        _ => None,
    }
}

/// What the rate after a change says of a limit on the failures of its item. The change may be about a part of them alone:
/// all of them are at least as many, so that only its lower limit speaks. A rate over more than the limit is about can't
/// tell at all.
pub(super) fn of_rate(
    field: &Field,
    facts: &RequirementFacts,
    masses: &[MassChange],
    (rate, change): (AfterRate, (RevisionId, &[String])),
) -> Option<RequirementCheck> {
    let requirement = &facts.requirement;
    let is_rate = requirement.measure == Some(Measure::RatePer1000ItemYears);
    let (kind, limit) = requirement.limit_kind.zip(requirement.limit).filter(|_| is_rate)?;
    let covers = covers_item(field, facts, change);
    let apart = apart(field, facts, masses, change.0);
    let verdict = match &apart {
        Some(_) => Verdict::CantTell,
        None => verdict(kind, limit, rate.low, if covers { rate.high } else { f64::INFINITY }),
    };
    let (to, modes) = change;
    let part = &field.part_names[field.revisions[to].part];
    let modes = if modes.is_empty() { "every mode".to_owned() } else { modes.join(", ") };
    let why = match apart {
        Some(whole) => format!("; the rate is that of {whole}, so that it can't tell"),
        None if covers || verdict != Verdict::CantTell => String::new(),
        None => {
            let item = &field.part_names[facts.item];
            format!("; other failures of {item} are not in it, so that it can't tell alone")
        }
    };
    let figure = format!(
        "{modes} of {part}: {:.1} per 1,000 item-years ({:.1} to {:.1}) against {limit}{why}",
        rate.estimate, rate.low, rate.high
    );
    Some(RequirementCheck { requirement_no: requirement.requirement_no.clone(), verdict, figure })
}

/// Whether what a change is to cure is everything that can fail in the item: the item itself changes, in every mode, and is
/// made of nothing else.
fn covers_item(field: &Field, facts: &RequirementFacts, (to, modes): (RevisionId, &[String])) -> bool {
    let after = &field.revisions[to];
    modes.is_empty() && after.part == facts.item && after.components.is_empty()
}

/// What a rate is taken over where that is more than the requirement is about: the other items that had the part or have it
/// now, or other sizes and configurations of this one.
fn apart(field: &Field, facts: &RequirementFacts, masses: &[MassChange], to: RevisionId) -> Option<String> {
    let mut items = Holders::of_revision(field, to).items(field);
    items.extend(masses.iter().map(|mass| mass.item).chain([facts.item]));
    if items.len() > 1 {
        let names: Vec<&str> = items.into_iter().map(|item| &field.part_names[item]).collect();
        return Some(format!("{} together", names.join(", ")));
    }
    let others = masses.iter().any(|mass| !concerns(field, &facts.requirement, mass));
    others.then(|| "all sizes and configurations together".to_owned())
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
            (verdict, format!("{:.0} g \u{b1} {reach:.0} g {named}, against {limit} g", after.grams))
        }
    }
}

#[cfg(test)]
mod tests {
    use stats::uncertainty::Combined;

    use super::*;
    use crate::field::FieldBuilder;
    use crate::mass::{Bill, Mass};
    use crate::nouns::{builder, part};
    use crate::size_share::SizeShare;

    fn requirement(number: &str, measure: Measure, limit: f64, size: Option<&str>) -> Requirement {
        Requirement {
            item_part_no: "RC-100".into(),
            requirement_no: number.into(),
            text: number.into(),
            measure: Some(measure),
            limit_kind: Some(LimitKind::AtMost),
            limit: Some(limit),
            configuration: None,
            size: size.map(Into::into),
        }
    }

    fn field(requirements: &[Requirement]) -> Field {
        let mut b = builder();
        b.part(&part("RC-100", "A", "ITEM")).expect("new");
        for size in ["M", "L"] {
            let share = SizeShare { part_no: "RC-100".into(), size: size.into(), share_per_1000: 500.0 };
            b.size_share(&share).expect("known");
        }
        for requirement in requirements {
            b.requirement(requirement).expect("known");
        }
        b.build()
    }

    /// A size that weighs so much after, with a standard uncertainty of 5 g on a normal factor: 9.8 g at 95 %.
    fn mass(field: &Field, size: &str, after: Option<f64>, standard: Option<f64>) -> MassChange {
        let uncertainty = standard.map(|standard| Combined { standard, freedom: f64::INFINITY });
        MassChange {
            item: field.part_names.find("RC-100").expect("known"),
            size: field.sizes.find(size),
            configuration: None,
            before: None,
            after: after.map(|grams| Mass { grams, uncertainty }),
            difference: None,
            differs: Bill::default(),
            unweighed: Vec::new(),
        }
    }

    fn verdict_of(field: &Field, masses: &[MassChange]) -> Verdict {
        check(field, &field.requirements[0], masses, None, None).expect("masses answer it").verdict
    }

    #[test]
    fn the_worst_size_decides_and_a_limit_of_one_size_leaves_the_others_out() {
        let all = field(&[requirement("3.2", Measure::MassG, 3000.0, None)]);
        let masses = |field: &Field| {
            vec![mass(field, "M", Some(2900.0), Some(5.0)), mass(field, "L", Some(3100.0), Some(5.0))]
        };
        assert_eq!(verdict_of(&all, &masses(&all)), Verdict::NotMet);
        let medium = field(&[requirement("3.2", Measure::MassG, 3000.0, Some("M"))]);
        assert_eq!(verdict_of(&medium, &masses(&medium)), Verdict::Met);
    }

    #[test]
    fn what_was_never_weighed_or_weighed_once_cant_be_told() {
        let field = field(&[requirement("3.2", Measure::MassG, 3000.0, None)]);
        for unsure in [
            mass(&field, "M", None, None),
            mass(&field, "M", Some(2900.0), None),
            mass(&field, "M", Some(2995.0), Some(5.0)),
        ] {
            assert_eq!(verdict_of(&field, &[unsure]), Verdict::CantTell);
        }
        assert_eq!(verdict_of(&field, &[mass(&field, "M", Some(2990.0), Some(5.0))]), Verdict::Met);
    }

    /// The carrier itself changes and is made of nothing else on record.
    #[test]
    fn a_rate_of_the_whole_item_is_judged_by_its_interval_and_without_a_rate_a_person_is_asked() {
        let field = field(&[requirement("3.5", Measure::RatePer1000ItemYears, 4.0, None)]);
        let whole = field.find_revision("RC-100", "A").map(|revision| (revision, &[][..]));
        let of = |low, high| {
            let rate = Some(AfterRate { estimate: 3.0, low, high });
            check(&field, &field.requirements[0], &[], rate, whole)
        };
        assert_eq!(of(1.0, 3.9).map(|check| check.verdict), Some(Verdict::Met));
        let unclear = of(1.0, 5.0).expect("a rate");
        assert_eq!(unclear.verdict, Verdict::CantTell);
        assert_eq!(unclear.figure, "every mode of RC-100: 3.0 per 1,000 item-years (1.0 to 5.0) against 4");
        assert_eq!(of(4.1, 6.0).map(|check| check.verdict), Some(Verdict::NotMet));
        assert_eq!(check(&field, &field.requirements[0], &[], None, whole), None);
    }

    /// The carrier may fail 20 times per 1,000 item-years, and fails 40 times in all; its fastener splits 3.1 times after the
    /// change (6 in 1,935: Garwood's limits of 6, 2.202 and 13.059, over 1.935). That alone shows nothing of the other 37. A
    /// part that fails more than 20 times by itself puts the carrier above it, though; and at least 1 of a part is at
    /// least 1 of the whole.
    #[test]
    fn failures_of_a_part_show_that_a_limit_on_the_whole_is_passed_and_never_that_it_is_kept() {
        let mut limits = [
            requirement("3.5", Measure::RatePer1000ItemYears, 20.0, None),
            requirement("3.6", Measure::RatePer1000ItemYears, 1.0, None),
        ];
        limits[1].limit_kind = Some(LimitKind::AtLeast);
        let mut b = FieldBuilder::resume(field(&limits));
        b.part(&part("RC-131", "B", "ZIP")).expect("new");
        let field = b.build();
        let modes = ["ZIP-1".to_owned(), "ZIP-2".to_owned()];
        let fastener = field.find_revision("RC-131", "B").expect("known");
        let rate = |estimate, low, high| Some(AfterRate { estimate, low, high });
        let of = |at: usize, rate| {
            let (facts, change) = (&field.requirements[at], Some((fastener, &modes[..])));
            let check = check(&field, facts, &[], rate, change).map(|check| check.verdict);
            let said = rate.zip(change).and_then(|rate| of_rate(&field, facts, &[], rate));
            (check, said.expect("a rate"))
        };
        let (by_figures, said) = of(0, rate(3.1, 1.14, 6.75));
        assert_eq!((by_figures, said.verdict), (None, Verdict::CantTell), "a person is asked");
        let figure = "ZIP-1, ZIP-2 of RC-131: 3.1 per 1,000 item-years (1.1 to 6.8) against 20; other failures of RC-100 are \
                      not in it, so that it can't tell alone";
        assert_eq!(said.figure, figure);
        let (by_figures, said) = of(0, rate(28.0, 21.0, 37.0));
        assert_eq!(by_figures, Some(Verdict::NotMet));
        assert_eq!(
            said.figure,
            "ZIP-1, ZIP-2 of RC-131: 28.0 per 1,000 item-years (21.0 to 37.0) against 20"
        );
        assert_eq!(of(1, rate(3.1, 1.14, 6.75)).0, Some(Verdict::Met));
        assert_eq!(of(1, rate(0.5, 0.1, 0.9)).0, None);
    }

    /// A fastener of two carriers fails more often than one of them may; which of the two it fails in no rate over both tells.
    #[test]
    fn a_rate_over_several_items_or_sizes_judges_none_of_them() {
        let limits = [
            requirement("3.5", Measure::RatePer1000ItemYears, 4.0, None),
            requirement("3.6", Measure::RatePer1000ItemYears, 4.0, Some("M")),
        ];
        let mut b = FieldBuilder::resume(field(&limits));
        b.part(&part("RC-200", "A", "ITEM")).expect("new");
        let field = b.build();
        let whole = field.find_revision("RC-100", "A").map(|revision| (revision, &[][..]));
        let here = mass(&field, "M", None, None);
        let there = MassChange { item: field.part_names.find("RC-200").expect("known"), ..here.clone() };
        let rate = AfterRate { estimate: 6.0, low: 5.0, high: 7.0 };
        let of = |at: usize, masses: &[MassChange]| {
            let facts = &field.requirements[at];
            let said =
                whole.and_then(|change| of_rate(&field, facts, masses, (rate, change))).expect("a rate");
            (check(&field, facts, masses, Some(rate), whole).map(|check| check.verdict), said.figure)
        };
        assert_eq!(of(0, std::slice::from_ref(&here)).0, Some(Verdict::NotMet));
        let figure =
            "every mode of RC-100: 6.0 per 1,000 item-years (5.0 to 7.0) against 4; the rate is that of ";
        let both = [here.clone(), there];
        assert_eq!(of(0, &both), (None, format!("{figure}RC-100, RC-200 together, so that it can't tell")));
        let large = mass(&field, "L", None, None);
        let told = format!("{figure}all sizes and configurations together, so that it can't tell");
        assert_eq!(of(1, &[here.clone(), large]), (None, told));
        assert_eq!(of(1, &[here]).0, Some(Verdict::NotMet), "it is made in that size alone");
    }

    #[test]
    fn the_tightest_upper_limit_of_a_size_is_drawn() {
        let field = field(&[
            requirement("3.2", Measure::MassG, 3000.0, None),
            requirement("3.3", Measure::MassG, 2950.0, Some("M")),
        ]);
        let limit = |size| mass_limit(&field, &mass(&field, size, None, None)).and_then(|r| r.limit);
        assert_eq!((limit("M"), limit("L")), (Some(2950.0), Some(3000.0)));
    }
}
