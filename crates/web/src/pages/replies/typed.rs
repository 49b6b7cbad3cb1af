//! The counts a unit typed, lot by lot, and the replies they make.

use chrono::NaiveDate;
use domain::reply::Reply;

use crate::pages::records::Sent;
use crate::tongue::Tongue;
use crate::view::Faults;

/// The counts that are asked, in the order of the form.
pub(super) const COUNTS: [&str; 5] = ["held", "checked", "found", "not_located", "turned_in"];
/// Most lots of one form.
pub(super) const MOST_LOTS: usize = 40;

/// The name of a count of a lot's row.
pub(super) fn name(count: &str, row: usize) -> String {
    format!("{count}-{row}")
}

/// Whether any count was typed in a row.
pub(super) fn is_typed(sent: &Sent, row: usize) -> bool {
    COUNTS.iter().any(|count| !sent.get(&name(count, row)).is_empty())
}

/// The row in which counts were typed for a lot; no lot stands for all.
pub(super) fn row_of(sent: &Sent, lot: &str) -> Option<usize> {
    (0..MOST_LOTS).find(|row| is_typed(sent, *row) && sent.get(&name("lot", *row)) == lot)
}

/// The lot that a reply is about; empty for all that the unit holds.
pub(super) fn lot_of(reply: &Reply) -> &str {
    reply.lot_no.as_deref().unwrap_or_default()
}

/// Its counts as a form carries them unseen, in the order of the form.
pub(super) fn plain(reply: &Reply) -> String {
    let Reply { held, checked, found, not_located, turned_in, .. } = reply;
    format!("{held} {checked} {found} {not_located} {turned_in}")
}

/// Rows that would replace a reply of the unit which their form didn't show, so that nobody meant to. The same counts once
/// more replace nothing.
pub(super) fn overtaken(sent: &Sent, replies: &[Reply], own: &[&Reply]) -> Vec<usize> {
    let unseen = |reply: &Reply| {
        let stands = own.iter().copied().find(|said| said.lot_no == reply.lot_no).map(plain)?;
        let row = row_of(sent, lot_of(reply))?;
        (stands != plain(reply) && stands != sent.get(&name("said", row))).then_some(row)
    };
    replies.iter().filter_map(unseen).collect()
}

/// Replies for every row in which something was typed; a row left empty is not answered yet.
///
/// # Errors
/// What is wrong, each beside its field.
pub(super) fn replies(
    tongue: Tongue,
    sent: &Sent,
    (instruction_no, unit): (&str, &str),
    today: NaiveDate,
) -> Result<Vec<Reply>, Faults> {
    let (mut replies, mut faults) = (Vec::new(), Faults::default());
    for row in 0..MOST_LOTS {
        if !is_typed(sent, row) {
            continue;
        }
        let typed = COUNTS.map(|count| sent.get(&name(count, row)));
        let (mut counts, mut is_readable) = ([0; 5], true);
        for ((count, text), into) in COUNTS.iter().zip(typed).zip(&mut counts) {
            // What was left empty beside other counts is nought, but for how many are held and were checked.
            match text.parse::<u32>() {
                Ok(number) if number <= 1_000_000 => *into = number,
                _ if text.is_empty() && !["held", "checked"].contains(count) => {}
                _ => {
                    faults.add(name(count, row), tongue.say("wrong-count"));
                    is_readable = false;
                }
            }
        }
        let [held, checked, found, not_located, turned_in] = counts;
        let lot = sent.get(&name("lot", row));
        let reply = Reply {
            instruction_no: instruction_no.to_owned(),
            unit: unit.to_owned(),
            lot_no: (!lot.is_empty()).then(|| lot.to_owned()),
            replied_on: today,
            held,
            checked,
            found,
            not_located,
            turned_in,
        };
        match reply.check() {
            _ if !is_readable => {}
            Ok(()) => replies.push(reply),
            Err(problem) => faults.add(name(problem.field, row), wrong(tongue, problem.field, &reply)),
        }
    }
    if faults.is_empty() { Ok(replies) } else { Err(faults) }
}

/// What is wrong where counts were typed for a lot that the unit isn't asked about: a hidden field is no proof of what was
/// asked.
pub(super) fn not_asked(tongue: Tongue, sent: &Sent, is_asked: impl Fn(&str) -> bool) -> Option<Faults> {
    let lot_in = |row: usize| sent.get(&name("lot", row));
    let stray = |row: &usize| is_typed(sent, *row) && !lot_in(*row).is_empty() && !is_asked(lot_in(*row));
    let row = (0..MOST_LOTS).find(stray)?;
    Some(Faults::one(name("held", row), tongue.with("wrong-reply-lot", &[("lot", lot_in(row).into())])))
}

/// Which counts don't agree, in the unit's tongue.
fn wrong(tongue: Tongue, field: &str, reply: &Reply) -> String {
    let counts = [
        ("held", u64::from(reply.held)),
        ("checked", u64::from(reply.checked)),
        ("not_located", u64::from(reply.not_located)),
        ("together", u64::from(reply.checked) + u64::from(reply.not_located)),
    ];
    let filled = counts.map(|(name, count)| (name, tongue.count(count).into()));
    tongue.with(&format!("wrong-{field}"), &filled)
}
