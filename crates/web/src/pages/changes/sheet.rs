//! A change's page: the record by sections, before and after beside it.

use domain::caution::Caution as C;
use domain::permission::Actor;
use serde::Serialize;

use super::after::After;
use super::documents::Documents;
use super::gate::{self, MissingLine, Steps};
use super::load::Loaded;
use super::proof::ProofWords;
use super::sections::argued::ArguedRows;
use super::sections::failures::{self, BenchRow, FailureRows};
use super::sections::lists::{self, CriterionRow, DecisionRow, EffectivityColumn, RequirementRow};
use super::sections::options::{self, OptionRows, SuggestedRow};
use super::sections::weighed::WeighedRows;
use super::side::Side;
use super::view::RecordView;
use super::{sample, seam, since};
use crate::format::{self, MassUnit};
use crate::pages::status::words::nothing_awaited;
use crate::templates::Page;
use crate::tongue::Tongue;
use crate::view::{Caution, Figure, Place, Shell, Thread, TitleBlock};

/// The page.
#[derive(Serialize)]
pub struct ChangePage {
    shell: Shell,
    thread: Thread,
    after: After,
    title: String,
    lead: String,
    since: Vec<Caution>,
    steps: Steps,
    refused: Vec<MissingLine>,
    side: Side,
    has_record: bool,
    has_figures: bool,
    problem: Vec<String>,
    description: Vec<String>,
    failures: FailureRows,
    source: Option<String>,
    bench: Vec<BenchRow>,
    requirements: Vec<RequirementRow>,
    criteria: Vec<CriterionRow>,
    class: &'static str,
    class_open: bool,
    contradiction: Option<String>,
    effectivity: Vec<EffectivityColumn>,
    retrofit: Option<&'static str>,
    retrofit_note: Option<String>,
    handling: Vec<(&'static str, String)>,
    argued: ArguedRows,
    meaning: WeighedRows,
    suggested: Vec<SuggestedRow>,
    options: OptionRows,
    campaign: Option<String>,
    decisions: Vec<DecisionRow>,
    proof: Option<Figure>,
    proof_words: ProofWords,
    revisions: Option<String>,
    unread: Option<String>,
    to_weigh: String,
    can_take_back_weighed: bool,
    weighed: String,
    cautions: Vec<Caution>,
    documents: Documents,
    evidence: Option<String>,
    title_block: TitleBlock,
}

/// What the page says back to a step that was refused.
#[derive(Clone, Copy, Default)]
pub(super) struct Told {
    /// Whether the gate was asked and is shut.
    pub gate: bool,
}

impl ChangePage {
    pub(super) fn new(actor: &Actor, loaded: &Loaded, unit: MassUnit, told: Told) -> Self {
        let whole = loaded.whole();
        let view = whole.record;
        let steps = Steps::new(actor, loaded);
        let editing = steps.edit.is_some();
        let written = view.written.as_ref();
        Self {
            shell: Shell::inside(format!("{} {}", view.change_no, view.title), actor, Place::Changes),
            thread: seam::thread(actor, loaded),
            after: After::new(actor, loaded),
            title: view.title.clone(),
            lead: lead(loaded, &view),
            since: since::told(loaded),
            refused: if told.gate {
                gate::lines(&view.change_no, &view.missing, editing)
            } else {
                Vec::new()
            },
            side: Side::new(loaded, &view, unit, editing),
            has_record: written.is_some(),
            has_figures: view.has_figures,
            problem: written.map(|written| paragraphs(&written.problem)).unwrap_or_default(),
            description: written.map(|written| paragraphs(&written.description)).unwrap_or_default(),
            failures: failures::rows(&view, "record"),
            source: view.failures.prediction.as_ref().map(|prediction| prediction.source.clone()),
            bench: failures::bench(&view.bench),
            requirements: lists::requirements(&view),
            criteria: lists::criteria(&view),
            class: view.class,
            class_open: view.criteria.iter().any(|line| line.touched.is_none()),
            contradiction: view.contradiction.clone(),
            effectivity: lists::effectivity(&view, Tongue::ENGLISH),
            retrofit: written.and_then(|written| written.retrofit).map(lists::retrofit_words),
            retrofit_note: written.and_then(|written| written.retrofit_note.clone()),
            handling: handling(loaded, &view),
            argued: ArguedRows::new(actor, &view),
            meaning: WeighedRows::new(&whole.mass_meaning, unit),
            suggested: options::suggested(&whole.suggested, steps.edit.as_deref()),
            options: OptionRows::new(&view, &whole.retrofit_options, unit),
            campaign: campaign(loaded),
            decisions: lists::decisions(&view),
            proof: view.failures.proof.as_ref().map(failures::proof),
            proof_words: ProofWords::new(loaded),
            revisions: written
                .filter(|written| written.revision > 0)
                .map(|_| format!("{}/revisions", crate::address::change(&view.change_no))),
            unread: (view.failures.unread > 0).then(|| {
                let counted = format::counted(view.failures.unread, "failure", "failures");
                format!("{counted} on neither side, for no label or record tells which.")
            }),
            to_weigh: format!("{} {}", view.part_no, view.to_revision),
            weighed: weighed(loaded),
            can_take_back_weighed: loaded.after.has_weighed_here,
            cautions: Caution::list(C::ALL),
            documents: Documents::new(actor, loaded),
            evidence: (!view.decisions.is_empty() || written.is_some_and(|written| written.revision > 0))
                .then(|| format!("{}/evidence", crate::address::change(&view.change_no))),
            title_block: title_block(&view, loaded.after.holder.as_deref()),
            steps,
        }
    }
}

pub(super) fn paragraphs(text: &str) -> Vec<String> {
    text.lines().map(str::trim).filter(|line| !line.is_empty()).map(str::to_owned).collect()
}

pub(super) fn lead(loaded: &Loaded, view: &RecordView) -> String {
    let modes: Vec<String> = view.modes.iter().map(|(_, name)| name.to_lowercase()).collect();
    let against = if modes.is_empty() { String::new() } else { format!(", against {}", modes.join(" and ")) };
    let since = view.since.map(|at| format!(" since {}", format::date(at.date_naive()))).unwrap_or_default();
    let waits = match (loaded.wait(), &loaded.unsettled) {
        (Some(wait), Some(unsettled)) => format!("; it waits for {} to {}.", wait.whom(), unsettled.step()),
        (Some(wait), None) => format!("; it waits for {}.", wait.whom()),
        (None, _) => format!(". {}", nothing_awaited(loaded.state())),
    };
    format!(
        "{} {}, revision {} to {}{against}. {}{since}{waits}",
        view.part_no,
        view.part_name.to_lowercase(),
        view.from_revision,
        view.to_revision,
        format::titled(view.state),
    )
}

/// Where the retrofit is followed, once the board has approved it.
fn campaign(loaded: &Loaded) -> Option<String> {
    use domain::change::ChangeState as S;
    let runs = matches!(loaded.state(), S::Approved | S::CutIn | S::Proved | S::NotProved);
    runs.then(|| format!("{}/campaign", crate::address::change(&loaded.record.change.change_no)))
}

/// How many specimens of the revision after are on record, by size.
fn weighed(loaded: &Loaded) -> String {
    let (field, change) = (&loaded.picture.field, &loaded.record.change);
    let found = field.find_revision(&change.part_no, &change.to_revision);
    let weighings = found.map_or(&[][..], |id| &field.revisions[id].weighings);
    let mut sizes: Vec<(String, u64)> = Vec::new();
    for &(size, _) in weighings {
        let size = size.map_or("all sizes", |size| &field.sizes[size]);
        match sizes.iter_mut().find(|(known, _)| known == size) {
            Some((_, count)) => *count += 1,
            None => sizes.push((size.to_owned(), 1)),
        }
    }
    if sizes.is_empty() {
        return "no specimen was weighed yet.".to_owned();
    }
    let words = sizes
        .into_iter()
        .map(|(size, count)| format!("{} in {size}", format::counted(count, "specimen", "specimens")));
    format!("{} on record.", words.collect::<Vec<_>>().join(", "))
}

pub(super) fn handling(loaded: &Loaded, view: &RecordView) -> Vec<(&'static str, String)> {
    let not_yet = || "not stated yet".to_owned();
    let Some(written) = &view.written else { return Vec::new() };
    let priority = written.priority_words.zip(written.target_days).map(|(words, days)| {
        let time = format::counted(u64::from(days), "day", "days");
        format!("{words}: to be decided within {time} of submission (edition {})", written.priority_edition)
    });
    let mut rows = vec![("Priority", priority.unwrap_or_else(not_yet))];
    rows.extend(due(loaded).map(|due| ("Decision due", due)));
    rows.extend([
        ("Justification", written.justification_words.map_or_else(not_yet, str::to_owned)),
        ("Cost", written.cost_note.clone().unwrap_or_else(not_yet)),
    ]);
    rows
}

/// When the decision is due; how long it is over only while it is waited for.
fn due(loaded: &Loaded) -> Option<String> {
    let body = loaded.record.body.as_ref()?;
    let edition = super::view::edition_of(&loaded.record);
    let due = edition.due(body.priority?, body.submitted_at?, loaded.today);
    let on = format::date(due.on);
    Some(match due.days_over {
        over @ 1.. if loaded.state() == domain::change::ChangeState::Submitted => {
            format!("{on}: {} over", format::counted(u64::from(over), "day", "days"))
        }
        _ => on,
    })
}

pub(super) fn title_block(view: &RecordView, holder: Option<&str>) -> TitleBlock {
    title_block_in(Tongue::ENGLISH, view, holder)
}

/// The same for those who read the paper in their tongue.
pub(super) fn title_block_in(tongue: Tongue, view: &RecordView, holder: Option<&str>) -> TitleBlock {
    let written = view.written.as_ref();
    let mut dates = Vec::new();
    let mut dated = |word: &str, day: Option<chrono::NaiveDate>| {
        dates.extend(day.map(|day| (tongue.say(word), tongue.date(day))));
    };
    dated("sheet-drafted", written.map(|written| written.drafted_at.date_naive()));
    dated("sheet-submitted", written.and_then(|written| written.submitted_at).map(|at| at.date_naive()));
    dated("sheet-cut-in", view.cut_in_on);
    dated("sheet-figures", Some(view.books_of.date_naive()));
    TitleBlock {
        number: view.change_no.clone(),
        title: view.title.clone(),
        revision: written
            .map_or_else(|| tongue.say("sheet-unrevised"), |written| written.revision.to_string()),
        state: tongue.word("change", view.state),
        owner: holder
            .map(str::to_owned)
            .or_else(|| written.and_then(|written| written.drafted_by.clone()))
            .unwrap_or_else(|| tongue.say("sheet-nobody")),
        dates,
        sheet: "1 of 1".into(),
    }
}

impl Page for ChangePage {
    const TEMPLATE: &'static str = "pages/changes/sheet";

    fn samples() -> Vec<Self> {
        let (engineer, board) = (crate::pages::recurrences::sample::engineer(), sample::board());
        let told = Told { gate: true };
        let mut pages = Vec::new();
        for loaded in sample::loaded() {
            pages.push(Self::new(&engineer, &loaded, MassUnit::Gram, told));
            pages.push(Self::new(&board, &loaded, MassUnit::Ounce, Told::default()));
        }
        pages
    }
}

#[cfg(test)]
mod tests {
    use domain::distribution::Marking;

    use super::*;
    use crate::templates::Templates;

    #[test]
    fn whoever_decides_reads_that_two_answers_differ() {
        let templates = Templates::load(&Marking::default()).expect("templates");
        let pages = ChangePage::samples();
        let differ = |page: &&ChangePage| page.contradiction.is_some();
        assert!(pages.iter().any(|page| differ(&page)) && pages.iter().any(|page| !differ(&page)));
        for page in &pages {
            let shown = templates.render(page).expect("a page");
            let says = shown.contains("Two answers differ:") && shown.contains("the class is I.");
            assert_eq!(says, page.contradiction.is_some(), "{shown}");
        }
    }

    #[test]
    fn the_lead_says_who_is_waited_for_or_that_nothing_is_awaited() {
        let leads: Vec<String> = sample::loaded().iter().map(|one| lead(one, &one.view())).collect();
        for (loaded, lead) in sample::loaded().iter().zip(&leads) {
            assert_eq!(loaded.wait().is_some(), lead.contains("; it waits for the "), "{lead}");
        }
        let mut proved = sample::loaded().pop().expect("the proved one");
        let step = "; it waits for the owner of the recurrence to settle the recurrence of ";
        assert!(lead(&proved, &proved.view()).contains(step), "{leads:?}");
        proved.unsettled = None;
        assert!(lead(&proved, &proved.view()).ends_with(". Nothing is awaited: it is proved."), "{leads:?}");
    }

    #[test]
    fn a_state_on_paper_is_the_records_word_and_has_one_in_every_language() {
        use domain::change::ChangeState;
        for state in ChangeState::ALL {
            assert_eq!(Tongue::ENGLISH.word("change", state), state.word());
        }
        for loaded in sample::loaded() {
            let view = loaded.view();
            let german = title_block_in(Tongue::of(domain::language::Language::German), &view, None);
            assert_ne!(german.state, view.state, "{german:?}");
            assert!(german.dates.iter().any(|(word, day)| word == "Zahlen vom" && day == "3. März 2026"));
        }
    }
}
