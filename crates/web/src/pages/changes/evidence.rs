//! `/changes/{no}/evidence`: what a decision rests on, whether its figures can still be worked out from it, and what has
//! changed in the books since.

use axum::extract::{Path, Query, State};
use axum::http::header;
use axum::response::{IntoResponse as _, Response};
use domain::evidence::{Evidence, FigureLine, Value, compare};
use domain::permission::{Act, Actor};
use serde::{Deserialize, Serialize};
use store::{FrozenEvidence, JournalEntry, JournalFilter, Page as Part, digest_of};

use super::load::Loaded;
use super::sample;
use crate::address;
use crate::error::AppError;
use crate::evidence;
use crate::format;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Empty, Place, Shell};

/// The page.
#[derive(Serialize)]
pub struct EvidencePage {
    shell: Shell,
    about: String,
    back: String,
    empty: Option<Empty>,
    kept: Vec<KeptRow>,
    chosen: Option<Chosen>,
    attempts: Vec<[String; 3]>,
}

#[derive(Serialize)]
struct KeptRow {
    address: String,
    file: String,
    occasion: String,
    revision: String,
    frozen: String,
    digest: String,
    here: bool,
}

/// The evidence that is looked at.
#[derive(Serialize)]
struct Chosen {
    title: String,
    digest: String,
    whole: bool,
    /// Why it can't be read, or its inputs don't go together.
    broken: Option<String>,
    agreeing: String,
    differing: Vec<Row>,
    since: Vec<Row>,
    /// Whether the books know the change, so that there is something to compare with.
    compared: bool,
    figures: Vec<Row>,
    weighings: Vec<[String; 4]>,
    by_age: Vec<[String; 5]>,
    others: Vec<(String, String)>,
    methods: Vec<[String; 3]>,
    methods_changed: Vec<String>,
    text: Vec<[String; 3]>,
}

/// One figure in two states.
#[derive(Serialize)]
struct Row {
    group: String,
    name: String,
    first: String,
    second: String,
}

fn said(value: Option<&Value>, unit: &str) -> String {
    let with_unit = |number: String| if unit.is_empty() { number } else { format!("{number} {unit}") };
    match value {
        Some(Value::Number(number)) => with_unit(format::significant(*number, 4)),
        Some(Value::Count(count)) => with_unit(format::count(*count)),
        Some(Value::Words(words)) if words.is_empty() => "nothing stated".to_owned(),
        Some(Value::Words(words)) => words.clone(),
        Some(Value::Unknown) => "not known".to_owned(),
        None => "no such figure".to_owned(),
    }
}

fn row(line: &FigureLine) -> Row {
    Row {
        group: line.group.clone(),
        name: line.name.clone(),
        first: said(line.first.as_ref(), &line.unit),
        second: said(line.second.as_ref(), &line.unit),
    }
}

impl EvidencePage {
    fn new(
        actor: &Actor,
        loaded: &Loaded,
        kept: &[FrozenEvidence],
        chosen: Option<i64>,
        attempts: &[JournalEntry],
    ) -> Self {
        let change = &loaded.record.change;
        let base = address::change(&change.change_no);
        let looked_at = kept.iter().find(|one| Some(one.id) == chosen).or(kept.first());
        let kept_row = |one: &FrozenEvidence| KeptRow {
            address: format!("{base}/evidence?id={}", one.id),
            file: format!("{base}/evidence/{}/json", one.id),
            occasion: format::titled(&one.occasion),
            revision: one.revision.to_string(),
            frozen: format::moment(one.frozen_at),
            digest: one.digest.clone(),
            here: looked_at.is_some_and(|looked_at| looked_at.id == one.id),
        };
        let says = "Nothing is frozen yet. Evidence is frozen when the record is put before the board, and when the \
                    board decides.";
        let attempt = |entry: &JournalEntry| {
            let what = entry.act.trim_start_matches(REFUSED).to_owned();
            [format::moment(entry.at), entry.actor.clone(), what]
        };
        Self {
            shell: Shell::inside(format!("Evidence for {}", change.change_no), actor, Place::Changes),
            about: format!("{} {}", change.change_no, change.title),
            empty: kept.is_empty().then(|| Empty::first(says, "To the record", base.clone())),
            back: base.clone(),
            kept: kept.iter().map(kept_row).collect(),
            chosen: looked_at.map(|one| Chosen::new(loaded, one)),
            attempts: attempts.iter().map(attempt).collect(),
        }
    }
}

impl Chosen {
    fn new(loaded: &Loaded, one: &FrozenEvidence) -> Self {
        let mut chosen = Self {
            title: format!(
                "{}, revision {}, {}",
                format::titled(&one.occasion),
                one.revision,
                format::moment(one.frozen_at)
            ),
            digest: digest_of(&one.document),
            whole: one.is_whole(),
            broken: None,
            agreeing: String::new(),
            differing: Vec::new(),
            since: Vec::new(),
            compared: false,
            figures: Vec::new(),
            weighings: Vec::new(),
            by_age: Vec::new(),
            others: Vec::new(),
            methods: Vec::new(),
            methods_changed: Vec::new(),
            text: Vec::new(),
        };
        match evidence::read(&one.document) {
            Ok(read) => chosen.fill(loaded, &read),
            Err(why) => chosen.broken = Some(format::sentence(&why.to_string())),
        }
        chosen
    }

    fn fill(&mut self, loaded: &Loaded, read: &Evidence) {
        match read.verify() {
            Ok(lines) => {
                let agree = lines.iter().filter(|line| line.agrees()).count() as u64;
                self.agreeing = format::counted(agree, "figure", "figures");
                self.differing = lines.iter().filter(|line| !line.agrees()).map(row).collect();
                self.figures = lines.iter().map(row).collect();
            }
            Err(problem) => self.broken = Some(format!("The frozen inputs don't go together: {problem}.")),
        }
        if let Some(now) = evidence::shown_now(&loaded.record, &loaded.picture, read.inputs.plan) {
            self.compared = true;
            self.since = compare(&read.results, &now).iter().filter(|line| !line.agrees()).map(row).collect();
        }
        let inputs = &read.inputs;
        let weighing = |one: &domain::weighing::Weighing| {
            let size = one.size.clone().unwrap_or_else(|| "all sizes".into());
            [one.part_no.clone(), one.revision.clone(), size, format::decimals(one.mass_g, 2)]
        };
        self.weighings = inputs.weighings.iter().map(weighing).collect();
        self.by_age = by_age(&inputs.counts.by_age);
        let counted = |number: usize, one, many| format::counted(number as u64, one, many);
        self.others = vec![
            ("Day of the figures".into(), format::date(inputs.as_of)),
            (
                "Parts and structure".into(),
                format!(
                    "{}, {}",
                    counted(inputs.parts.len(), "revision", "revisions"),
                    counted(inputs.structure.len(), "line", "lines"),
                ),
            ),
            ("Bench".into(), counted(inputs.bench_tests.len(), "specimen", "specimens")),
            ("Requirements".into(), counted(inputs.requirements.len(), "requirement", "requirements")),
            ("On no side".into(), counted(inputs.counts.unread as usize, "failure", "failures")),
            (
                "Scatter between units".into(),
                inputs.counts.scatter.map_or("none beyond chance".into(), |scatter| {
                    format!(
                        "{} times the variance that chance gives the ratio",
                        format::significant(scatter, 2)
                    )
                }),
            ),
        ];
        self.methods = read
            .methods
            .iter()
            .map(|method| [format::titled(&method.name), method.how.clone(), method.version.to_string()])
            .collect();
        self.methods_changed =
            read.methods_changed().into_iter().map(|(then, _)| format::titled(&then.name)).collect();
        self.text = read
            .text
            .iter()
            .map(|line| [line.section.clone(), line.field.clone(), line.text.clone()])
            .collect();
    }
}

/// Failures and item-years of both sides at each age that either reached.
fn by_age(strata: &[stats::stratified::Stratum]) -> Vec<[String; 5]> {
    let bands = domain::ledger::AGE_BANDS.iter().zip(strata).enumerate();
    let reached = bands.filter(|(_, (_, s))| s.before_exposure > 0.0 || s.after_exposure > 0.0);
    let row = |(at, (to, s)): (usize, (&f64, &stats::stratified::Stratum))| {
        let from = if at == 0 { 0.0 } else { domain::ledger::AGE_BANDS[at - 1] };
        let years = |years: f64| format::significant(years, 2);
        let age = if to.is_finite() {
            format!("{} to {} years", years(from), years(*to))
        } else {
            format!("over {} years", years(from))
        };
        [
            age,
            format::count(s.before_count),
            format::decimals(s.before_exposure, 1),
            format::count(s.after_count),
            format::decimals(s.after_exposure, 1),
        ]
    };
    reached.map(row).collect()
}

/// How the journal names acts that were refused.
const REFUSED: &str = "refused: ";

/// Entries looked at for attempts.
const LOOKED_AT: u64 = 200;

#[derive(Deserialize)]
pub(super) struct Which {
    id: Option<i64>,
}

pub(super) async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
    Query(which): Query<Which>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    let loaded = Loaded::find(&state, &no).await?;
    let kept = state.store().list_evidence(&no).await?;
    let filter = JournalFilter { noun: Some("change".into()), key: Some(no), ..JournalFilter::default() };
    let mut attempts = state.store().journal(&filter, Part::first(LOOKED_AT)).await?;
    attempts.retain(|entry| entry.act.starts_with(REFUSED));
    state.page(&EvidencePage::new(&signed_in.0, &loaded, &kept, which.id, &attempts))
}

/// The document as it was frozen, byte for byte: its SHA-256 digest is the one shown.
pub(super) async fn download(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path((no, id)): Path<(String, i64)>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    let kept = state.store().list_evidence(&no).await?;
    let one = kept.into_iter().find(|one| one.id == id);
    let one = one.ok_or_else(|| AppError::NotFound("There is no such evidence of this change.".into()))?;
    let name = format!("attachment; filename=\"evidence-{}-{}.json\"", one.revision, &one.digest[..12]);
    let headers =
        [(header::CONTENT_TYPE, "application/json".to_owned()), (header::CONTENT_DISPOSITION, name)];
    Ok((headers, one.document).into_response())
}

impl Page for EvidencePage {
    const TEMPLATE: &'static str = "pages/changes/evidence";

    fn samples() -> Vec<Self> {
        let board = sample::board();
        let loaded = sample::loaded();
        let Some(decided) = loaded.iter().find(|one| !one.record.decisions.is_empty()) else {
            return Vec::new();
        };
        let kept = sample::evidence(decided);
        vec![
            Self::new(&board, decided, &[], None, &[]),
            Self::new(&board, decided, &kept, None, &[sample::attempt()]),
            Self::new(&board, decided, &kept[1..], None, &[]),
            Self::new(&board, decided, &kept[2..], None, &[]),
        ]
    }
}
