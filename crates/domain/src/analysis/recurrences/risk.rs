//! The risk of a recurrence by the tables of MIL-STD-882E, as the figures have it.

use std::collections::BTreeSet;

use stats::binomial::clopper_pearson_upper;

use super::Recurrence;
use crate::analysis::CONFIDENCE;
use crate::analysis::holders::Holders;
use crate::analysis::rate::Rate;
use crate::field::{Field, PartId};
use crate::part::DEFAULT_LIFE_YEARS;
use crate::risk::{FEW_WITH_HARM, Level, MishapInputs, RiskLevel, Severity, mishap_probability, risk_level};

/// Risk by the tables of MIL-STD-882E, as the figures have it.
#[derive(Clone, Debug, PartialEq)]
pub struct Risk {
    /// The catalogue's severity, until a person decides.
    pub severity: Severity,
    /// From the probability of harm in the life of one item.
    pub probability: Level,
    /// What the two make.
    pub level: RiskLevel,
    /// The probability itself.
    pub per_life: f64,
    /// How it was found.
    pub basis: String,
}

/// The risk of what happens in service, over so many item-years of it; nothing without exposure, or where the catalogue gives no severity.
///
/// Its rate counts every relevant report, chargeable or not: the mishap is rated, and who is to answer for it is a matter of
/// the contract.
pub(super) fn risk(field: &Field, recurrence: &Recurrence, item_years: f64) -> Option<Risk> {
    let severity = Severity::from_number(field.modes[recurrence.mode].severity)?;
    let unpacked = recurrence.on_receipt.map_or(0, |found| found.reports);
    let in_service = u64::from(recurrence.reports).saturating_sub(unpacked);
    let rate = Rate::new(in_service, item_years)?;
    // The rate is of service, so the share of harm is too: what is found on unpacking doesn't dilute it. Where nothing else
    // is known, unpacking alone tells of it.
    let (reports, with_harm) = if in_service > 0 {
        (in_service, recurrence.harmed_in_service)
    } else {
        (unpacked, recurrence.injuries + recurrence.near_misses)
    };
    let with_harm = u64::from(with_harm);
    let (life_years, known) = life_years(field, recurrence.part);
    let found = mishap_probability(MishapInputs {
        rate_per_item_year: rate.estimate / 1000.0,
        rate_high: rate.high / 1000.0,
        life_years,
        reports,
        with_harm,
        harm_share_high: clopper_pearson_upper(with_harm.min(FEW_WITH_HARM), reports, CONFIDENCE).ok()?,
    });
    let probability = Level::of_probability(found.per_life);
    let mut basis = found.basis;
    if in_service == 0 {
        basis.push_str(" (all of them on unpacking, none in service)");
    } else if recurrence.rate.is_some_and(|rate| rate.occasions < in_service) {
        basis.push_str(" (the rate is of all of them, chargeable or not)");
    }
    if !known {
        basis.push_str(" (life assumed: nobody has stated it)");
    }
    let level = risk_level(severity, probability);
    Some(Risk { severity, probability, level, per_life: found.per_life, basis })
}

impl Recurrence {
    /// The risk over the service since reports begin, where that makes it another level.
    pub(in crate::analysis) fn otherwise_rated(&self, field: &Field) -> Option<Risk> {
        let recorded = risk(field, self, self.recorded_years)?;
        self.risk.as_ref().is_some_and(|risk| risk.level != recorded.level).then_some(recorded)
    }
}

/// The longest stated life of an item that contains the part; the usual figure where nobody has stated one.
fn life_years(field: &Field, part: PartId) -> (f64, bool) {
    let items: BTreeSet<PartId> = Holders::of_part(field, part).items(field);
    let stated = items
        .iter()
        .flat_map(|&item| &field.parts[item].revisions)
        .filter_map(|&revision| field.revisions[revision].life_years)
        .filter(|years| *years > 0.0)
        .max_by(f64::total_cmp);
    (stated.unwrap_or(DEFAULT_LIFE_YEARS), stated.is_some())
}
