//! One meeting: each change in a few lines, what members advise, and where the chair decides.

use domain::change::ChangeState;
use domain::change_record::Disposition;
use domain::permission::{Act, Actor, may};
use serde::Serialize;
use store::{Advice, Docket, DocketLine};

use super::{Advised, address};
use crate::format;
use crate::pages::changes::load::Loaded;
use crate::pages::changes::view::RecordView;
use crate::pages::changes::{sample, since};
use crate::templates::Page;
use crate::view::{Ask, Caution, Choice, Choices, Faults, Place, Problem, Select, Shell};

/// The page.
#[derive(Serialize)]
pub struct DocketPage {
    shell: Shell,
    title: String,
    day: String,
    here: String,
    keeps: bool,
    not_kept: Option<NotKept>,
    lines: Vec<Line>,
    add: Option<Select>,
}

/// Advice that was refused, where its change has no form on the page any more: it was decided while it was written.
#[derive(Serialize)]
struct NotKept {
    change_no: String,
    says: Vec<String>,
    /// What was recommended; empty where nothing was chosen.
    recommends: Option<&'static str>,
    words: String,
}

#[derive(Serialize)]
struct Line {
    place: usize,
    change_no: String,
    title: String,
    address: String,
    evidence: String,
    first: bool,
    waiting: bool,
    since: Vec<Caution>,
    facts: Vec<(&'static str, String)>,
    advice: Vec<AdviceRow>,
    ask: Option<AskAdvice>,
    decide: Option<String>,
    own: bool,
    decided: Option<String>,
}

#[derive(Serialize)]
struct AdviceRow {
    by: String,
    recommends: String,
    words: String,
    at: String,
}

#[derive(Serialize)]
struct AskAdvice {
    recommends: Choices,
    words: Ask,
    again: bool,
}

/// A recommendation as a reader says it.
const fn recommends(disposition: Disposition) -> &'static str {
    match disposition {
        Disposition::Approve => "approve",
        Disposition::ApproveWithConditions => "approve with conditions",
        Disposition::Disapprove => "disapprove",
        Disposition::Defer => "defer",
    }
}

impl DocketPage {
    pub(super) fn new(
        actor: &Actor,
        docket: &Docket,
        loaded: &[Loaded],
        waiting: &[(String, String)],
        typed: (&Advised, &Faults),
    ) -> Self {
        let keeps = may(actor, &Act::KeepDocket).is_ok();
        let lines = docket.lines.iter().zip(loaded).enumerate();
        let lines: Vec<Line> =
            lines.map(|(at, (line, loaded))| Line::new(actor, at, line, loaded, typed)).collect();
        let options = waiting.iter().map(|(no, title)| Choice::new(no, format!("{no} {title}"), false));
        let add = Select::new(
            "change",
            "A change that is before the board",
            "Choose one",
            vec![(String::new(), options.collect())],
        );
        Self {
            shell: Shell::inside(docket.meeting.title.clone(), actor, Place::Docket),
            title: docket.meeting.title.clone(),
            day: format::date(docket.meeting.held_on),
            here: address(docket.id),
            keeps,
            not_kept: NotKept::beside(&lines, typed),
            lines,
            add: (keeps && !waiting.is_empty()).then_some(add),
        }
    }
}

impl NotKept {
    /// What no line says, with what was typed.
    fn beside(lines: &[Line], (typed, faults): (&Advised, &Faults)) -> Option<Self> {
        let is_said = |problem: &Problem| {
            let mut asks = lines.iter().filter_map(|line| line.ask.as_ref());
            asks.any(|ask| problem.is_of(ask.recommends.id()) || problem.is_of(ask.words.id()))
        };
        let unsaid = faults.all().iter().filter(|problem| !is_said(problem));
        let says: Vec<String> = unsaid.map(|problem| problem.says().to_owned()).collect();
        (!says.is_empty()).then(|| Self {
            change_no: typed.change.clone(),
            says,
            recommends: typed.recommends.parse::<Disposition>().ok().map(recommends),
            words: typed.words.clone(),
        })
    }
}

impl Line {
    fn new(
        actor: &Actor,
        at: usize,
        line: &DocketLine,
        loaded: &Loaded,
        (typed, faults): (&Advised, &Faults),
    ) -> Self {
        let view = loaded.view();
        let base = crate::address::change(&line.change_no);
        // What was advised before a decision stays with it, though the change may be before the board again.
        let waiting = loaded.state() == ChangeState::Submitted && line.decided.is_none();
        let drafted_by = loaded.drafted_by();
        let advises = may(actor, &Act::Advise { drafted_by });
        let mine = match actor {
            Actor::Person { id, .. } => line.advice.iter().find(|one| one.user_id == *id),
            _ => None,
        };
        let decides = waiting && may(actor, &Act::DecideChange { drafted_by }).is_ok();
        Self {
            place: at + 1,
            change_no: line.change_no.clone(),
            title: view.title.clone(),
            evidence: format!("{base}/evidence"),
            first: at == 0,
            waiting,
            since: since::told(loaded),
            facts: facts(loaded, &view),
            advice: line.advice.iter().map(advice).collect(),
            ask: (waiting && advises.is_ok()).then(|| {
                let nothing = Advised::default();
                let typed = if typed.change == line.change_no { typed } else { &nothing };
                ask(&line.change_no, typed, faults, mine.is_some())
            }),
            decide: decides.then(|| format!("{base}/decide")),
            own: waiting && advises == Err(domain::permission::Refusal::OwnRecord),
            decided: line.decided.as_ref().map(|one| {
                format!("{}, {}", format::titled(one.decided.disposition.word()), format::moment(one.at))
            }),
            address: base,
        }
    }
}

fn advice(one: &Advice) -> AdviceRow {
    AdviceRow {
        by: one.by.clone(),
        recommends: recommends(one.recommends).to_owned(),
        words: one.words.clone(),
        at: format::moment(one.at),
    }
}

fn ask(no: &str, typed: &Advised, faults: &Faults, again: bool) -> AskAdvice {
    let options = Disposition::ALL
        .iter()
        .map(|&one| Choice::new(one.word(), format::titled(recommends(one)), typed.recommends == one.word()));
    let recommends = Choices::one(super::recommends(no), "You recommend", options.collect());
    let words = Ask::lines(super::words(no), "Why", &typed.words).required();
    AskAdvice {
        recommends: recommends.problem(faults.of(&super::recommends(no))),
        words: words.problem(faults.of(&super::words(no))),
        again,
    }
}

/// A change in a few lines.
fn facts(loaded: &Loaded, view: &RecordView) -> Vec<(&'static str, String)> {
    let mut facts = vec![(
        "Change",
        format!(
            "{} {}, revision {} to {}; class {}",
            view.part_no,
            view.part_name.to_lowercase(),
            view.from_revision,
            view.to_revision,
            view.class
        ),
    )];
    let submitted = view.written.as_ref().and_then(|written| written.submitted_at);
    if let Some(at) = submitted {
        let (day, today) = (at.date_naive(), loaded.today);
        facts
            .push(("Before the board", format!("since {}, {}", format::date(day), format::span(day, today))));
    }
    if let Some(mean) = view.mass_tariff_mean {
        let percent = format::percent(mean.delta_percent / 100.0, 1);
        facts.push((
            "Grams",
            format!(
                "{} to {} g over the tariff ({percent})",
                format::decimals(mean.before_g, 0),
                format::decimals(mean.after_g, 0)
            ),
        ));
    }
    let ends = |low, high| format::interval(stats::Interval { low, high });
    if let Some(before) = view.failures.before {
        let rate = format::rate(
            before.estimate,
            stats::Interval { low: before.low, high: before.high },
            before.occasions,
            before.item_years,
        );
        facts.push(("Failures before", rate));
    }
    if let Some(after) = view.failures.predicted {
        let rate = format::significant(after.estimate, 2);
        facts.push((
            "Predicted after",
            format!("{rate} per 1,000 item-years ({})", ends(after.low, after.high)),
        ));
    }
    if let Some(cost) = loaded.result().and_then(|result| result.while_waiting) {
        let a_year = format::significant(cost.failures_a_year, 2);
        facts.push((
            "While it waits",
            format!("{a_year} failures a year ({}) at the rate so far", ends(cost.low, cost.high)),
        ));
    }
    let not_met = view.requirements.iter().filter(|line| line.verdict == Some("not met")).count() as u64;
    let cant_tell = view.requirements.iter().filter(|line| line.verdict == Some("can't tell")).count() as u64;
    let all = format::counted(view.requirements.len() as u64, "requirement", "requirements");
    facts.push(("Requirements", format!("{all}: {not_met} not met, {cant_tell} can't be told")));
    facts
}

impl Page for DocketPage {
    const TEMPLATE: &'static str = "pages/changes/docket";

    fn samples() -> Vec<Self> {
        use domain::docket::Meeting;
        let loaded = sample::loaded();
        let chosen: Vec<Loaded> = loaded
            .into_iter()
            .filter(|one| one.state() == ChangeState::Submitted || !one.record.decisions.is_empty())
            .collect();
        let given = Advice {
            user_id: 2,
            by: "Jon Skerry".into(),
            recommends: Disposition::ApproveWithConditions,
            words: "Weigh <XL> first.".into(),
            at: chosen.first().map(|one| one.picture.books_of).unwrap_or_default(),
        };
        let lines = chosen.iter().map(|one| DocketLine {
            change_no: one.record.change.change_no.clone(),
            advice: if one.state() == ChangeState::Submitted { vec![given.clone()] } else { Vec::new() },
            decided: one.record.decisions.last().filter(|_| one.state() != ChangeState::Submitted).cloned(),
        });
        let meeting = Meeting { held_on: sample::today(), title: "March board".into() };
        let docket = Docket { id: 1, meeting: meeting.clone(), lines: lines.collect() };
        let waiting = [("2026-015".to_owned(), "Wider tube".to_owned())];
        let typed = Advised { change: "2026-014".into(), ..Advised::default() };
        let mut wrong = Faults::one(super::recommends("2026-014"), "Choose.");
        wrong.add(super::words("2026-014"), "Say why.");
        let late = Advised {
            change: "2026-013".into(),
            recommends: Disposition::Approve.word().into(),
            words: "Weigh <XL> first.".into(),
        };
        let decided = Faults::one(super::words("2026-013"), "This change is approved.");
        let unread = Advised { change: "2026-013".into(), ..Advised::default() };
        let engineer = crate::pages::recurrences::sample::engineer();
        let none = (&Advised::default(), &Faults::default());
        vec![
            Self::new(&sample::board(), &docket, &chosen, &waiting, (&typed, &wrong)),
            Self::new(&sample::board(), &docket, &chosen, &[], (&late, &decided)),
            Self::new(&sample::board(), &docket, &chosen, &[], (&unread, &decided)),
            Self::new(&engineer, &docket, &chosen, &[], none),
            Self::new(&Actor::Anybody, &Docket { id: 2, meeting, lines: Vec::new() }, &[], &[], none),
        ]
    }
}
