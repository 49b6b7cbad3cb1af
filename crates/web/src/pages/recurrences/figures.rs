//! Words and figures of a recurrence that list and sheet share.

use domain::analysis::{Rate, Recurrence};
use domain::field::{Field, PartId};
use stats::Interval;

use crate::format;
use crate::view::{Figure, How, Input};

/// The plain name of a part, from its latest revision.
pub fn part_name(field: &Field, part: PartId) -> &str {
    field.parts[part].revisions.last().map_or("", |&revision| &field.revisions[revision].name)
}

/// The two limits.
pub(super) fn interval_of(rate: &Rate) -> Interval {
    Interval { low: rate.low, high: rate.high }
}

/// The rate with all that belongs to it, or what there is without exposure.
pub(super) fn rate_figure(r: &Recurrence) -> Figure {
    match r.rate {
        Some(rate) => Figure::rate(rate.estimate, interval_of(&rate), rate.occasions, rate.item_years),
        None => Figure::new(
            format::count(u64::from(r.reports)),
            format!(
                "{}; no rate, for no issue of it is on record",
                if r.reports == 1 { "report" } else { "reports" }
            ),
        ),
    }
}

/// The rate, opening to how it is made.
pub(super) fn rate_opened(r: &Recurrence) -> Figure {
    let input = |name: &str, value: String| Input { name: name.into(), value, address: None };
    let years = |n: f64| format::decimals(n, 0);
    let mut inputs = vec![
        input("Relevant reports, on unpacking or for a notice too", format::count(u64::from(r.reports))),
        input("Items they tell of", format::count(r.items)),
        input("Chargeable, found in service", format::count(r.rate.map_or(0, |rate| rate.occasions))),
        input(
            "Exposure",
            format!(
                "{} item-years ({} to {} by how the books are read)",
                years(r.item_years.best),
                years(r.item_years.low),
                years(r.item_years.high)
            ),
        ),
    ];
    if r.prompted > 0 {
        inputs.push(input(
            "Called for by a notice, not compared between lots",
            format::count(u64::from(r.prompted)),
        ));
    }
    if let Some(unpacked) = &r.on_receipt {
        let issued = format::counted(unpacked.issued, "new item issued", "new items issued");
        let found = format::counted(unpacked.reports, "report", "reports");
        inputs.push(input("Found on unpacking, counted apart", format!("{found}, {issued}")));
    }
    // The other figures of the page are of fewer reports, each of those that say something of it.
    let compared = r.concentrations.iter().flatten().next().map(|c| c.of);
    let aged = r.life.as_ref().ok().map(|life| life.failures);
    let forecast = r.forecast.as_ref().ok().map(|forecast| forecast.reports);
    let elsewhere = [
        ("Compared between lots and other factors, for their lot is known", compared),
        ("In the age at failure, for their age is known", aged),
        ("In the forecast", forecast),
    ];
    inputs.extend(
        elsewhere.into_iter().filter_map(|(name, n)| Some(input(name, format::count(u64::from(n?))))),
    );
    rate_figure(r).made_by(How {
        method: "Chargeable occasions divided by the item-years of every item that contains the part, per \
                 1,000; a report of several items is one occasion. Two-sided 95 % limits, exact for a Poisson \
                 count. Exposure is folded from issues, returns, transfers and losses."
            .into(),
        source: "F. Garwood, Biometrika 28, 1936".into(),
        inputs,
    })
}

/// `1 injury, 2 near misses`; nothing where nobody was or could be hurt.
pub fn harm_words(r: &Recurrence) -> Option<String> {
    let injuries = (r.injuries > 0).then(|| format::counted(u64::from(r.injuries), "injury", "injuries"));
    let near =
        (r.near_misses > 0).then(|| format::counted(u64::from(r.near_misses), "near miss", "near misses"));
    let words: Vec<String> = injuries.into_iter().chain(near).collect();
    (!words.is_empty()).then(|| words.join(", "))
}
