//! A change record as one view: what the page shows, formatted, is what `/changes/{no}.json` gives as it is.

mod argued;
mod figures;
mod options;
mod weighed;
mod written;

use chrono::{DateTime, NaiveDate, Utc};
use domain::analysis::RATIO_WORTH_HAVING;
use domain::change_record::{Assessment, CriterionLine, RequirementCheck, Written, assess};
use domain::class::Criterion;
use domain::effectivity::Stage;
use domain::field::ChangeId;
use serde::Serialize;
use store::ChangeRecord;

pub(super) use argued::edition_of;
pub use argued::{
    ArguedView, AssemblyView, CostsView, DocumentView, DueView, EnclosureView, LevelView, RemarkView,
    StockView,
};
pub use figures::{BenchLine, BenchSideView, Failures, MassLine, ProofLine, RateLine, TariffLine};
pub use options::{BoundsView, GroundView, OptionView, OptionsView, SuggestedView};
pub use weighed::{BudgetView, EnergyView, FlagView, FleetView, WeighedView};
pub use written::{
    CriterionView, DecisionView, EffectivityView, MissingView, PredictionView, RequirementView, WrittenView,
};

use crate::analyse::SideEffectsView;
use crate::pages::recurrences::part_name;
use crate::picture::Picture;
use crate::tongue::Tongue;

/// The whole record. Masses are grams, rates per 1,000 item-years, both at full precision.
#[derive(Clone, Debug, Serialize)]
pub struct RecordView {
    /// Its number.
    pub change_no: String,
    /// Its title.
    pub title: String,
    /// The part that changes.
    pub part_no: String,
    /// ... by its plain name.
    pub part_name: String,
    /// The revision before.
    pub from_revision: String,
    /// The revision after.
    pub to_revision: String,
    /// Codes and names of the modes it is meant to cure; every mode where there is none.
    pub modes: Vec<(String, String)>,
    /// Where it stands.
    pub state: &'static str,
    /// Since when.
    pub since: Option<DateTime<Utc>>,
    /// When the books were read for its figures.
    pub books_of: DateTime<Utc>,
    /// Whether the figures know the change; a draft of a moment ago may be waited for.
    pub has_figures: bool,
    /// What was written; nothing for a change that came with a pack and has no record yet.
    pub written: Option<WrittenView>,
    /// Grams before and after.
    pub mass: Vec<MassLine>,
    /// Means over the tariff of sizes.
    pub mass_tariff_mean: Option<TariffLine>,
    /// Failures before and after.
    pub failures: Failures,
    /// What else changed; nothing until the change is built.
    pub side_effects: Option<SideEffectsView>,
    /// Both revisions on the bench.
    pub bench: Vec<BenchLine>,
    /// Every requirement of the items concerned.
    pub requirements: Vec<RequirementView>,
    /// The class check list.
    pub criteria: Vec<CriterionView>,
    /// Where two answers contradict each other: what each of them says.
    pub contradiction: Option<String>,
    /// The class it comes to so far: `I` or `II`.
    pub class: &'static str,
    /// Where it takes effect, as proposed, approved and accomplished.
    pub effectivity: Vec<EffectivityView>,
    /// The first lot built to it.
    pub cut_in_lot: Option<String>,
    /// When.
    pub cut_in_on: Option<NaiveDate>,
    /// What the board decided, oldest first.
    pub decisions: Vec<DecisionView>,
    /// Part numbers, assemblies, stock, documents, costs, remarks and enclosures.
    pub argued: ArguedView,
    /// What is still missing before the board can look at it.
    pub missing: Vec<MissingView>,
}

/// Where the check list says that old and new exchange, and the answers that decide the part numbers say that they don't.
fn contradiction(view: &RecordView) -> Option<String> {
    let exchange = |line: &CriterionView| {
        line.criterion == Criterion::Interchangeability.word() && line.touched == Some(false)
    };
    let denied = view.argued.part_numbers.iter().filter(|level| level.interchangeable == Some(false));
    let denied: Vec<&str> = denied.map(|level| level.part_no.as_str()).collect();
    (view.criteria.iter().any(exchange) && !denied.is_empty()).then(|| {
        let does = if denied.len() == 1 { "does" } else { "do" };
        format!(
            "the check list says that old and new still exchange; under part numbers {} {does} not exchange with the \
             previous version. If they don't, the class is I.",
            Tongue::ENGLISH.listed(&denied)
        )
    })
}

impl RecordView {
    /// The view of a record against the picture of the field.
    pub fn new(record: &ChangeRecord, picture: &Picture) -> Self {
        let (change, field) = (&record.change, &picture.field);
        let id = field.find_change(&change.change_no);
        let result = id.and_then(|id| picture.analysis.changes.iter().find(|r| r.change == id));
        let assessed = assessment(record, picture, id);
        let name_of = |code: &String| {
            let mode = field.find_mode(code).map(|mode| field.modes[mode].name.to_string());
            (code.clone(), mode.unwrap_or_default())
        };
        let part = field.part_names.find(&change.part_no);
        let worth = record.plan.map_or(RATIO_WORTH_HAVING, |plan| plan.plan.ratio_worth_having);
        let mut view = Self {
            change_no: change.change_no.clone(),
            title: change.title.clone(),
            part_no: change.part_no.clone(),
            part_name: part.map(|part| part_name(field, part).to_owned()).unwrap_or_default(),
            from_revision: change.from_revision.clone(),
            to_revision: change.to_revision.clone(),
            modes: change.modes.iter().map(name_of).collect(),
            state: change.state.map_or("state not said", domain::change::ChangeState::word),
            since: record.since,
            books_of: picture.books_of,
            has_figures: id.is_some(),
            written: record.body.as_ref().map(|body| WrittenView::new(body, edition_of(record))),
            mass: result.map(|result| figures::masses(field, result)).unwrap_or_default(),
            mass_tariff_mean: result.and_then(|result| result.mass_tariff_mean).map(TariffLine::from),
            failures: Failures::new(result, &assessed, record.body.as_ref(), worth),
            side_effects: result.and_then(|result| SideEffectsView::new(field, result)),
            bench: id.map(|id| figures::bench(field, &field.changes[id])).unwrap_or_default(),
            requirements: written::requirements(field, &assessed),
            criteria: assessed.criteria.iter().map(CriterionView::from).collect(),
            contradiction: None,
            class: assessed.class.word(),
            effectivity: record.effectivity.iter().map(EffectivityView::from).collect(),
            cut_in_lot: change.cut_in_lot.clone(),
            cut_in_on: change.cut_in_on,
            decisions: record.decisions.iter().map(DecisionView::from).collect(),
            argued: ArguedView::new(record, picture, id.map(|id| &field.changes[id])),
            missing: assessed.missing.into_iter().map(MissingView::from).collect(),
        };
        view.contradiction = contradiction(&view);
        view
    }
}

/// The record with what its figures mean: what takes too long to be worked out where only the record is asked for.
#[derive(Clone, Debug, Serialize)]
pub struct WholeView {
    /// The record.
    #[serde(flatten)]
    pub record: RecordView,
    /// What the grams mean.
    pub mass_meaning: WeighedView,
    /// What the evidence comes to as a share of failures left.
    pub suggested: Vec<SuggestedView>,
    /// How the options of retrofit compare.
    pub retrofit_options: OptionsView,
}

impl WholeView {
    /// The whole of a record against the picture of the field.
    pub fn new(record: &ChangeRecord, picture: &Picture) -> Self {
        let (field, analysis) = (&picture.field, &picture.analysis);
        let id = field.find_change(&record.change.change_no);
        let result = id.and_then(|id| analysis.changes.iter().find(|r| r.change == id));
        let prediction = record.body.as_ref().and_then(|body| body.prediction.as_ref());
        let weighed = result.map(|result| WeighedView::new(field, &analysis.ledger, result));
        Self {
            record: RecordView::new(record, picture),
            mass_meaning: weighed.unwrap_or_default(),
            suggested: options::suggested(field, analysis, result),
            retrofit_options: OptionsView::new(field, analysis, result, prediction, &record.argued.costs),
        }
    }
}

/// What the domain says of a record.
pub fn assessment<'a>(record: &ChangeRecord, picture: &'a Picture, id: Option<ChangeId>) -> Assessment<'a> {
    let result = id.and_then(|id| picture.analysis.changes.iter().find(|r| r.change == id));
    let answers: Vec<RequirementCheck> = record.answers.iter().map(written::answered).collect();
    let criteria: Vec<CriterionLine> = record.criteria.iter().map(written::ticked).collect();
    let body = record.body.as_ref();
    let proposes = |line: &domain::effectivity::Effectivity| {
        line.stage == Stage::Proposed && (line.from_lot.is_some() || line.from_date.is_some())
    };
    let written = Written {
        problem: body.map_or("", |body| &body.problem),
        description: body.map_or("", |body| &body.description),
        modes: &record.change.modes,
        prediction: body.and_then(|body| body.prediction.as_ref()),
        answers: &answers,
        criteria: &criteria,
        has_effectivity: record.effectivity.iter().any(proposes),
        retrofit: body.and_then(|body| body.retrofit),
        has_handling: body.is_some_and(|body| body.priority.is_some() && body.justification.is_some()),
    };
    assess(&picture.field, result, written)
}
