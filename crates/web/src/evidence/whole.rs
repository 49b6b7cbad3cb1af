//! Counts, statements, methods and figures, and the document as a whole.

use chrono::NaiveDate;
use domain::analysis::{ChangeCounts, MixedShare, Occasions, Reach};
use domain::change_record::{CriterionLine, Prediction, RequirementCheck};
use domain::evidence::{Evidence, Figure, Inputs, Method, Stated, TextLine, Value};
use domain::proof_plan::ProofPlan;
use serde_json::Value as Json;
use stats::stratified::Stratum;

use super::mirror::{Mirror, Word, mirror};
use super::nouns::{
    BenchForm, ChangeForm, ComponentForm, EffectivityForm, FitForm, LotForm, PartForm, PersonForm,
    RequirementForm, ShareForm, WeighingForm,
};

mirror! {
    OccasionsForm of Occasions {
        occasions: u64,
        item_years: f64,
    }
    StratumForm of Stratum {
        before_count: u64,
        before_exposure: f64,
        after_count: u64,
        after_exposure: f64,
    }
    MixedForm of MixedShare {
        lot_no: String,
        share: f64,
        item_years: f64,
    }
    ReachForm of Reach {
        in_service: u64,
        without: u64,
        built: u64,
        retrofitted: u64,
    }
    CountsForm of ChangeCounts {
        before: OccasionsForm,
        after: OccasionsForm,
        by_age: Vec<StratumForm>,
        scatter: Option<f64>,
        mixed: Vec<MixedForm>,
        mixed_failures: u64,
        unread: u64,
        reach: ReachForm,
        issued_last_year: u64,
    }
    PredictionForm of Prediction {
        basis: Word,
        ratio_low: f64,
        ratio_best: f64,
        ratio_high: f64,
        source: String,
    }
    AnswerForm of RequirementCheck {
        requirement_no: String,
        verdict: Word,
        figure: String,
    }
    CriterionForm of CriterionLine {
        criterion: Word,
        touched: Option<bool>,
        by_program: bool,
        reason: Option<String>,
    }
    StatedForm of Stated {
        prediction: Option<PredictionForm>,
        answers: Vec<AnswerForm>,
        criteria: Vec<CriterionForm>,
        effectivity: Vec<EffectivityForm>,
        retrofit: Option<Word>,
    }
    PlanForm of ProofPlan {
        ratio_worth_having: f64,
        power: f64,
    }
    InputsForm of Inputs {
        as_of: NaiveDate,
        change: ChangeForm,
        parts: Vec<PartForm>,
        structure: Vec<ComponentForm>,
        shares: Vec<ShareForm>,
        lots: Vec<LotForm>,
        weighings: Vec<WeighingForm>,
        bench_tests: Vec<BenchForm>,
        requirements: Vec<RequirementForm>,
        fit_ranges: Vec<FitForm>,
        people: Vec<PersonForm>,
        counts: CountsForm,
        stated: StatedForm,
        plan: Option<PlanForm>,
    }
    MethodForm of Method {
        name: String,
        how: String,
        version: u32,
    }
    TextForm of TextLine {
        section: String,
        field: String,
        text: String,
    }
    FigureForm of Figure {
        group: String,
        name: String,
        unit: String,
        value: Json,
    }
    EvidenceForm of Evidence {
        occasion: String,
        text: Vec<TextForm>,
        inputs: InputsForm,
        methods: Vec<MethodForm>,
        results: Vec<FigureForm>,
    }
}

impl Mirror<Value> for Json {
    fn of(value: &Value) -> Self {
        match value {
            Value::Number(number) => Self::from(*number),
            Value::Count(count) => Self::from(*count),
            Value::Words(words) => Self::from(words.as_str()),
            Value::Unknown => Self::Null,
        }
    }

    fn back(self) -> Result<Value, String> {
        match &self {
            Self::Null => Ok(Value::Unknown),
            Self::String(words) => Ok(Value::Words(words.clone())),
            Self::Number(number) => match (number.as_u64(), number.as_f64()) {
                (Some(count), _) => Ok(Value::Count(count)),
                (None, Some(number)) => Ok(Value::Number(number)),
                (None, None) => Err(format!("`{self}` is no number that can be kept")),
            },
            _ => Err(format!("`{self}` is no figure")),
        }
    }
}
