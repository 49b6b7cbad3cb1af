//! Warnings: what a reader must know beside the figures.

use std::fmt::Display;

use super::ground::Ground;
use super::seen::Seen;
use super::window::{Window, WithoutRecords};
use super::{ChangeResult, Holders, Looked, Recurrence, Recurrences, UnreadLabels};
use crate::event::EventKind;
use crate::field::{Day, EventFacts, Field, ReportId};
use crate::ledger::Discrepancy;
use crate::mass::MassChange;

/// Lines of the books that a warning names; the others are counted.
const NAMED: usize = 5;
/// How many times as heavy as its parts an item is that was weighed whole where some of them are not on record: specimens of
/// soft goods scatter by a few in a hundred.
const WHOLE_IS_HEAVIER: f64 = 1.25;

/// Warnings of what there was to look at.
pub(super) fn general(field: &Field, ground: &Ground, seen: &Seen, window: Window) -> Vec<String> {
    let counts = &seen.counts;
    let mut warnings = Vec::new();
    if let Some(WithoutRecords { item_years, of, reports }) = window.without_records {
        let told = several(reports, "report found earlier and told", "reports found earlier and told");
        let left_out =
            if reports > 0 { format!(" Left out of them: {told} long after.") } else { String::new() };
        warnings.push(format!(
            "Reports begin on {}, when {item_years} of {of} item-years had passed: if nobody reported until then, rates and risks over all service are too low. Lots and units, the watch, life, forecast and proof count from that day.{left_out}",
            window.from.date()
        ));
    }
    if counts.discrepancies > 0 {
        warnings.push(format!(
            "{}, and exposure has a low and a high. {}",
            several(
                counts.discrepancies,
                "line of the books doesn't agree with what was on record; it was taken as it stands",
                "lines of the books don't agree with what was on record; they were taken as they stand",
            ),
            named(field, &ground.ledger.discrepancies),
        ));
    }
    if ground.issues.spares > 0 {
        let parts = several(ground.issues.spares, "spare part was", "spare parts were");
        warnings
            .push(format!("{parts} issued by themselves: what is in no item counts as in service nowhere."));
    }
    if !seen.too_early.is_empty() {
        let reports = several(seen.too_early.len(), "report was", "reports were");
        let first = seen.too_early.iter().take(NAMED).map(|&id| field.report_ref(id).to_owned());
        warnings.push(format!(
            "{reports} found before the lot was made that its label leads to: {}. The day, the label or the lot's own day is \
             wrong, and the report counts as it stands.",
            listed(first.collect(), seen.too_early.len()),
        ));
    }
    warnings.extend(ground.lots_of_other_parts.clone());
    if counts.lot_unresolved > 0 {
        let labels = several(counts.lot_unresolved, "lot label leads", "lot labels lead");
        warnings.push(format!("{labels} to no lot or to several."));
    }
    if counts.unsorted > 0 {
        let reports = several(counts.unsorted, "report is", "reports are");
        warnings.push(format!("{reports} not sorted yet and in no recurrence."));
    }
    warnings
}

/// Replacements that name as the new part's lot one that is of another part.
pub(super) fn lots_of_other_parts(field: &Field, as_of: Day) -> Option<String> {
    let names = |event: &EventFacts| -> Option<String> {
        let (part, new_lot) = (event.part?, event.new_lot?);
        let of = field.part_of_lot(new_lot);
        let is_other = event.day <= as_of && event.kind == EventKind::PartReplaced && of != part;
        let (lot_no, part_names) = (&field.lots[new_lot].lot_no, &field.part_names);
        is_other
            .then(|| format!("{}, lot {lot_no} of {} for {}", event.day, &part_names[of], &part_names[part]))
    };
    let mut named: Vec<String> = field.events.iter().filter_map(names).collect();
    named.sort_unstable();
    let of = named.len();
    named.truncate(NAMED);
    (of > 0).then(|| {
        format!(
            "{} of another part as that of the new one, and what the new part is made from counts as not known: {}.",
            several(of, "replacement names a lot", "replacements name lots"),
            listed(named, of),
        )
    })
}

/// The first discrepancies in words, and how many there are beside them.
fn named(field: &Field, discrepancies: &[Discrepancy]) -> String {
    let words = discrepancies.iter().take(NAMED).map(|one| one.in_words(field)).collect();
    format!("{}.", listed(words, discrepancies.len()))
}

/// The first of some things, and how many there are beside them.
fn listed(mut first: Vec<String>, of: usize) -> String {
    let more = of - first.len();
    first.extend((more > 0).then(|| format!("and {more} more")));
    first.join("; ")
}

/// A number with what it is of, one or several.
fn several(number: impl Display + PartialEq + From<u8>, one: &str, many: &str) -> String {
    format!("{number} {}", if number == 1.into() { one } else { many })
}

/// Warnings of recurrences and changes.
pub(super) fn particular(field: &Field, recurrences: &Recurrences, changes: &[ChangeResult]) -> Vec<String> {
    let mut warnings = Vec::new();
    for recurrence in recurrences {
        of_recurrence(field, recurrence, &mut warnings);
    }
    for change in changes {
        of_change(field, change, &mut warnings);
    }
    warnings
}

fn of_recurrence(field: &Field, recurrence: &Recurrence, warnings: &mut Vec<String>) {
    let name = || format!("{} {}", &field.part_names[recurrence.part], field.modes[recurrence.mode].code);
    if recurrence.rate.is_none() {
        warnings.push(format!(
            "{}: no item that contains it has exposure on record, so there is no rate.",
            name()
        ));
    }
    if field.is_of_another_kind(recurrence.mode, recurrence.part) {
        warnings.push(format!(
            "{}: the mode is of another kind of part than {}; the reports count as they are sorted.",
            name(),
            field.kind_of(recurrence.part),
        ));
    }
    warnings.extend(on_items_without_it(field, &name(), recurrence));
    if let Some(risk) = recurrence.otherwise_rated(field) {
        warnings.push(format!(
            "{}: its risk over the service since reports begin is {}.",
            name(),
            risk.level
        ));
    }
    for line in recurrence.lots.iter().filter(|line| line.holds_newest_first == Some(false)) {
        warnings.push(format!(
            "{}: lot {} stands out when movements take the oldest items first, but not when they take the newest.",
            name(),
            field.lots[line.lot].lot_no,
        ));
    }
    for line in recurrence.lots.iter().filter(|line| line.rests_on_labels()) {
        let Some(unread) = line.unread else { continue };
        let most = unread.ratio_most.map_or("any number".to_owned(), |most| format!("{most:.1}"));
        warnings.push(format!(
            "{}: lot {} not shown: rests on {}; ratio anywhere from {:.2} to {most}.",
            name(),
            field.lots[line.lot].lot_no,
            doubtful(unread),
            unread.ratio_least,
        ));
    }
    let ratio = |looked: &Looked| looked.ratio.map_or(0.0, |ratio| ratio.0);
    let worst = recurrence.looked.iter().max_by(|a, b| ratio(a).total_cmp(&ratio(b)));
    warnings.extend(worst.and_then(|looked| of_lot_looked_at(field, &name(), looked)));
}

/// Reports on items that don't contain the part, as their structure has it.
fn on_items_without_it(field: &Field, name: &str, recurrence: &Recurrence) -> Option<String> {
    let items = Holders::of_part(field, recurrence.part).items(field);
    let strays: Vec<ReportId> = recurrence
        .report_ids
        .iter()
        .copied()
        .filter(|&id| !items.contains(&field.reports[id].item))
        .collect();
    let first = strays.iter().take(NAMED).map(|&id| field.report_ref(id).to_owned());
    (!strays.is_empty()).then(|| {
        format!(
            "{name}: {} on items that don't contain the part: {}. Their failures count, and their service doesn't.",
            several(strays.len(), "report is", "reports are"),
            listed(first.collect(), strays.len()),
        )
    })
}

/// Labels that were not read or whose lot was guessed, each kind that there is.
fn doubtful(labels: UnreadLabels) -> String {
    let unread = (labels.reports > 0).then(|| several(labels.reports, "unread label", "unread labels"));
    let guessed = (labels.guessed > 0).then(|| several(labels.guessed, "guessed label", "guessed labels"));
    unread.into_iter().chain(guessed).collect::<Vec<_>>().join(" and ")
}

/// What a look that a notice called for says of the lot that comes out worst.
fn of_lot_looked_at(field: &Field, name: &str, looked: &Looked) -> Option<String> {
    if looked.notices.is_empty() || looked.own.found == 0 {
        return None;
    }
    let (lot, others, (share, low, high)) = (looked.lot?, looked.others?, looked.own.share()?);
    Some(format!(
        "{name}: lot {} shows it in {} of {} items looked at, {:.1} % ({:.1} to {:.1}), the others in {} of {}: {}.",
        field.lots[lot].lot_no,
        looked.own.found,
        looked.own.inspected,
        100.0 * share,
        100.0 * low,
        100.0 * high,
        others.found,
        others.inspected,
        looked.verdict(),
    ))
}

fn of_change(field: &Field, result: &ChangeResult, warnings: &mut Vec<String>) {
    let change_no = &field.changes[result.change].change_no;
    let mut unweighed: Vec<String> = result
        .mass
        .iter()
        .flat_map(|line| &line.unweighed)
        .map(|u| {
            let revision = &field.revisions[u.revision];
            let size = u.size.map_or(String::new(), |size| format!(" in size {}", &field.sizes[size]));
            format!("{} {}{size}", &field.part_names[revision.part], revision.revision)
        })
        .collect();
    unweighed.sort_unstable();
    unweighed.dedup();
    if !unweighed.is_empty() {
        warnings.push(format!("{change_no}: never weighed, and not filled in: {}.", unweighed.join(", ")));
    }
    warnings.extend(result.mass.iter().find_map(|line| heavier_whole(field, change_no, line)));
    if result.holds_newest_first == Some(false) {
        warnings.push(format!(
            "{change_no}: the verdict is another when movements take the newest items first instead of the oldest."
        ));
    }
    if result.unread > 0 {
        warnings.push(format!(
            "{change_no}: {} in neither rate, for no label or record tells whether from before or after.",
            several(result.unread, "failure is", "failures are"),
        ));
    }
    if let Some(mixed) = &result.mixed {
        let expected = mixed.expected.map_or(String::new(), |expected| format!(", {expected:.1} expected"));
        warnings.push(format!(
            "{change_no}: {} on neither side: {} seen{expected}.",
            several(
                mixed.lots.len(),
                "lot built partly to the change is",
                "lots built partly to the change are",
            ),
            several(mixed.failures, "failure", "failures"),
        ));
    }
    warnings.extend(super::side::undated(field, &field.changes[result.change]));
}

/// What is said where an item was weighed whole and its parts on record come to much less: its structure is not all there.
fn heavier_whole(field: &Field, change_no: &str, line: &MassChange) -> Option<String> {
    let parts = line.before?.grams.max(line.after?.grams);
    let of_item = field.parts[line.item].revisions.iter().flat_map(|&one| &field.revisions[one].weighings);
    let whole: Vec<f64> = of_item.filter(|one| one.0 == line.size).map(|one| one.1).collect();
    let mean = whole.iter().sum::<f64>() / whole.len() as f64;
    let size = line.size.map_or(String::new(), |size| format!(" in size {}", &field.sizes[size]));
    // No item without specimens passes: the mean of nothing is no number.
    (mean > WHOLE_IS_HEAVIER * parts).then(|| {
        format!(
            "{change_no}: {}{size} was weighed whole at {mean:.0} g, and its parts on record come to {parts:.0} g: grams before and \
             after are of these parts alone, and so is the change in percent.",
            &field.part_names[line.item],
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analysis::Counts;

    #[test]
    fn one_is_told_as_one() {
        let (field, day) = (Field::default(), crate::field::Day(0));
        let ground = Ground::new(&field, day);
        let mut seen = Seen::new(&field, &ground);
        seen.counts = Counts { unsorted: 1, lot_unresolved: 2, discrepancies: 1, ..Counts::default() };
        let said = general(&field, &ground, &seen, Window::until(day));
        assert!(said[0].starts_with("1 line of the books doesn't agree"), "{said:?}");
        assert_eq!(
            said[1..],
            [
                "2 lot labels lead to no lot or to several.",
                "1 report is not sorted yet and in no recurrence."
            ]
        );
    }
}
