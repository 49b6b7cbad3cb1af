//! What was decided about a report while its sheet was open, and how it stands now.

use store::{Decided, Meanwhile, ReportFile};

use crate::view::Overtaken;

/// The notice above the sheet that comes back; nothing where nothing was decided.
pub(super) fn told(since: Vec<Meanwhile>, file: &ReportFile) -> Option<Overtaken> {
    if since.is_empty() {
        return None;
    }
    let done = since.into_iter().map(|one| (one.by, words(&one.what), one.at));
    Some(Overtaken::new("report", done, standing(file)))
}

fn words(what: &Decided) -> String {
    match what {
        Decided::Sorted { part_no, mode } => format!("sorted this report as {part_no} / {mode}"),
        Decided::SetAside { reason } => format!("set this report aside ({reason})"),
        Decided::TakenBack => "took the last decision on this report back".to_owned(),
        Decided::Answered => "answered the unit".to_owned(),
        Decided::Heard => "answered a question".to_owned(),
    }
}

/// The decision that stands, in the words of the form.
fn standing(file: &ReportFile) -> Vec<(&'static str, String)> {
    let (report, handling) = (&file.report, &file.handling);
    let flag = |flag: Option<bool>, reason: &Option<String>| {
        let word = if flag? { "yes" } else { "no" };
        Some(reason.as_ref().map_or_else(|| word.to_owned(), |reason| format!("{word}, {reason}")))
    };
    let mut now = vec![("stands", handling.state.to_string())];
    let listed = [
        ("part", report.part_no.clone()),
        ("mode", report.mode.clone()),
        ("lot", report.lot_text.clone()),
        ("counts as a failure", flag(report.relevant, &handling.relevant_reason)),
        ("counts against the design", flag(report.chargeable, &handling.chargeable_reason)),
        ("induced by", handling.cause.clone()),
        ("set aside for", handling.set_aside_reason.clone()),
    ];
    now.extend(listed.into_iter().filter_map(|(name, value)| Some((name, value?))));
    now
}
