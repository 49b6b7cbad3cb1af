//! Warnings: what a reader must know beside the figures.

use super::window::Window;
use super::{ChangeResult, Counts, Looked, Recurrence, Recurrences};
use crate::field::Field;

/// Warnings of what there was to look at.
pub(super) fn general(counts: &Counts, window: Window) -> Vec<String> {
    let mut warnings = Vec::new();
    if let Some((before, all)) = window.without_records {
        warnings.push(format!(
            "The first report was found on {}, when {before} of {all} item-years had passed: if nobody reported until then, rates over all service are too low. Life, forecast and proof count from that day.",
            window.from.date()
        ));
    }
    if counts.discrepancies > 0 {
        warnings.push(format!(
            "{} lines of the books don't agree with what was on record; they were taken as they stand, and exposure has a low and a high.",
            counts.discrepancies
        ));
    }
    if counts.lot_unresolved > 0 {
        warnings.push(format!("{} lot labels lead to no lot or to several.", counts.lot_unresolved));
    }
    if counts.unsorted > 0 {
        warnings.push(format!("{} reports are not sorted yet and are in no recurrence.", counts.unsorted));
    }
    warnings
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
    for line in recurrence.lots.iter().filter(|line| line.holds_newest_first == Some(false)) {
        warnings.push(format!(
            "{}: lot {} stands out when movements take the oldest items first, but not when they take the newest.",
            name(),
            field.lots[line.lot].lot_no,
        ));
    }
    for line in recurrence.lots.iter().filter(|line| line.rests_on_unread()) {
        let Some(unread) = line.unread else { continue };
        let most = unread.ratio_most.map_or("any number".to_owned(), |most| format!("{most:.1}"));
        warnings.push(format!(
            "{}: lot {} not shown: rests on {} unread labels; ratio anywhere from {:.2} to {most}.",
            name(),
            field.lots[line.lot].lot_no,
            unread.reports,
            unread.ratio_least,
        ));
    }
    let ratio = |looked: &Looked| looked.ratio.map_or(0.0, |ratio| ratio.0);
    let worst = recurrence.looked.iter().max_by(|a, b| ratio(a).total_cmp(&ratio(b)));
    warnings.extend(worst.and_then(|looked| of_lot_looked_at(field, &name(), looked)));
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
    if result.holds_newest_first == Some(false) {
        warnings.push(format!(
            "{change_no}: the verdict is another when movements take the newest items first instead of the oldest."
        ));
    }
    if result.unread > 0 {
        warnings.push(format!(
            "{change_no}: {} failures with unread labels can't be told to be from before or after, and are in neither rate.",
            result.unread
        ));
    }
    if let Some(mixed) = &result.mixed {
        let expected = mixed.expected.map_or(String::new(), |expected| format!(", {expected:.1} expected"));
        warnings.push(format!(
            "{change_no}: {} lots built partly to the change are on neither side: {} failures seen{expected}.",
            mixed.lots.len(),
            mixed.failures
        ));
    }
    warnings.extend(super::side::undated(field, &field.changes[result.change]));
}
