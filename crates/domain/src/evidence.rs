//! Evidence: the frozen inputs and results that a decision on a change rests on, so that its figures can be worked out
//! again years later from these alone.

mod difference;
mod figures;
mod gather;

use chrono::NaiveDate;

pub use difference::{FigureLine, compare};
pub use figures::{Figure, Value};

use crate::analysis::{ChangeCounts, ChangeResult};
use crate::bench_test::BenchTest;
use crate::catalogue::Catalogue;
use crate::change::Change;
use crate::change_record::{
    Assessment, CriterionLine, Prediction, RequirementCheck, Retrofit, Written, assess,
};
use crate::effectivity::{Effectivity, Stage};
use crate::field::{ChangeId, Field, FieldBuilder};
use crate::fit::FitRange;
use crate::lot::Lot;
use crate::part::PartRevision;
use crate::person::Person;
use crate::proof_plan::{ProofPlan, planned};
use crate::requirement::Requirement;
use crate::size_share::SizeShare;
use crate::structure::Component;
use crate::weighing::Weighing;
use crate::words::Problem;

/// A method that figures are worked by, with a version that goes up whenever its figures may differ.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Method {
    /// What it gives.
    pub name: String,
    /// How, with its source.
    pub how: String,
    /// Its version.
    pub version: u32,
}

/// The methods of today: what they give, how, and in which version.
const METHODS: [(&str, &str, u32); 8] = [
    (
        "grams",
        "weighings rolled up through the structure; GUM 4.2.3, Welch-Satterthwaite for the reach; over the tariff a weighing used \
         in several sizes errs alike in them; a part weighed whole on one side is weighed whole on the other; every configuration \
         that either side names",
        4,
    ),
    (
        "rates",
        "exact Poisson limits, Garwood 1936; where a change takes effect from a lot of a new revision on, without a last one, lots \
         of old revisions stay before it; where it takes effect from a day on alone, lots made since are after it; what fails on \
         the day of a replacement is the part taken out; spares that units hold by themselves serve nowhere; an item known by number \
         stands where its own record says, others of a lot with new parts where nine of ten stand; items that \
         only a replacement of a part tells of serve at most",
        8,
    ),
    ("predicted rate", "limits of a product on logarithms, after Zou and Donner 2008", 1),
    (
        "proof",
        "age-stratified mid-P limits and p-value, anytime limits by a log-normal mixture after Lindon and Malek 2022, all widened \
         by scatter between units after Liang and Zeger 1986; too early or not shown at the ratio that was planned; sides as for \
         rates",
        9,
    ),
    (
        "bench",
        "means and standard deviations within one method and measure; where nothing failed, what specimens were stopped at",
        2,
    ),
    (
        "requirements",
        "the whole interval on the right side of the limit, after ISO 14253-1; of failures of a part, which are not all of its \
         item's, the lower limit alone; a rate over more items, sizes or configurations than the requirement names judges none; \
         whom a size fits by that size alone; a release that was stopped takes longer than that",
        4,
    ),
    ("class", "check list after MIL-STD-973", 1),
    (
        "plan",
        "exact power of the conditional test; exposure at which the anytime limits show it; both widened by scatter between units \
         as in the proof",
        2,
    ),
];

/// The methods in use.
pub fn methods() -> Vec<Method> {
    let method =
        |&(name, how, version): &(&str, &str, u32)| Method { name: name.into(), how: how.into(), version };
    METHODS.iter().map(method).collect()
}

/// Everything figures are worked out from. A small set of books of its own, and what was counted.
#[derive(Clone, Debug, PartialEq)]
pub struct Inputs {
    /// The day of the figures.
    pub as_of: NaiveDate,
    /// The change.
    pub change: Change,
    /// Every revision of the items that hold the part before or after, and what those that hold it are made of.
    pub parts: Vec<PartRevision>,
    /// The structure of those that hold it.
    pub structure: Vec<Component>,
    /// The tariff of their sizes.
    pub shares: Vec<SizeShare>,
    /// Where there is no tariff, one lot of each size, which tells the sizes.
    pub lots: Vec<Lot>,
    /// Every weighing of them.
    pub weighings: Vec<Weighing>,
    /// The bench tests of both revisions.
    pub bench_tests: Vec<BenchTest>,
    /// The requirements of the items.
    pub requirements: Vec<Requirement>,
    /// What their sizes fit.
    pub fit_ranges: Vec<FitRange>,
    /// The measured population by its governing dimensions, where a requirement asks whom the item fits.
    pub people: Vec<Person>,
    /// Failures, exposure and items as counted on that day.
    pub counts: ChangeCounts,
    /// What people stated.
    pub stated: Stated,
    /// How it is to be proved, once that is decided.
    pub plan: Option<ProofPlan>,
}

/// What people stated, as far as figures hang on it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Stated {
    /// Failures after, against before.
    pub prediction: Option<Prediction>,
    /// Requirements that a person answered.
    pub answers: Vec<RequirementCheck>,
    /// The class check list.
    pub criteria: Vec<CriterionLine>,
    /// Where it takes effect.
    pub effectivity: Vec<Effectivity>,
    /// What happens to issued items.
    pub retrofit: Option<Retrofit>,
}

/// One line of the record's text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TextLine {
    /// The section of the record.
    pub section: String,
    /// What it is.
    pub field: String,
    /// What was written.
    pub text: String,
}

/// Inputs with the results they gave, and the record's text.
#[derive(Clone, Debug, PartialEq)]
pub struct Evidence {
    /// What it was frozen for: `submission`, or the board's disposition.
    pub occasion: String,
    /// The record's text.
    pub text: Vec<TextLine>,
    /// What figures are worked out from.
    pub inputs: Inputs,
    /// The methods they were worked by.
    pub methods: Vec<Method>,
    /// What they gave.
    pub results: Vec<Figure>,
}

impl Evidence {
    /// Freezes what a change rests on now, with the figures that were shown.
    ///
    /// # Errors
    /// Inputs that don't give the figures shown; nothing is frozen then, for it could never be verified.
    pub fn freeze(
        occasion: &str,
        text: Vec<TextLine>,
        inputs: Inputs,
        shown: Vec<Figure>,
    ) -> Result<Self, Problem> {
        let differs = compare(&shown, &inputs.results()?).into_iter().find(|line| !line.agrees());
        match differs {
            Some(line) => {
                let why = format!("{}, {} can't be worked out from its inputs", line.group, line.name);
                Err(Problem::new("results", why))
            }
            None => {
                Ok(Self { occasion: occasion.to_owned(), text, inputs, methods: methods(), results: shown })
            }
        }
    }

    /// Works all figures out anew from the frozen inputs alone, and holds them against the frozen results.
    ///
    /// # Errors
    /// Inputs that no longer go together: they were tampered with.
    pub fn verify(&self) -> Result<Vec<FigureLine>, Problem> {
        Ok(compare(&self.results, &self.inputs.results()?))
    }

    /// Methods that are worked otherwise today than when this was frozen: then and now.
    pub fn methods_changed(&self) -> Vec<(Method, Option<Method>)> {
        let now = methods();
        let newer = |then: &Method| now.iter().find(|method| method.name == then.name).cloned();
        let pairs = self.methods.iter().map(|then| (then.clone(), newer(then)));
        pairs.filter(|(then, now)| Some(then) != now.as_ref()).collect()
    }
}

/// The figures that a record shows, with those of a plan for its proof where there is one.
pub fn shown(
    field: &Field,
    result: &ChangeResult,
    assessed: &Assessment<'_>,
    plan: Option<ProofPlan>,
    as_of: NaiveDate,
) -> Vec<Figure> {
    let planned = plan.and_then(|plan| planned(plan, &result.counts, as_of));
    figures::figures(field, result, assessed, (plan, planned))
}

impl Inputs {
    /// The inputs of a change from the field as it stands.
    pub fn gather(
        field: &Field,
        result: &ChangeResult,
        as_of: NaiveDate,
        change: &Change,
        stated: Stated,
        plan: Option<ProofPlan>,
    ) -> Self {
        gather::gather(field, result, as_of, change, stated, plan)
    }

    /// Every figure that follows from the inputs.
    ///
    /// # Errors
    /// Inputs that don't go together.
    pub fn results(&self) -> Result<Vec<Figure>, Problem> {
        let (field, id) = self.books()?;
        let result = ChangeResult::from_counts(&field, id, self.counts.clone());
        let assessed = assess(&field, Some(&result), self.written());
        Ok(shown(&field, &result, &assessed, self.plan, self.as_of))
    }

    fn written(&self) -> Written<'_> {
        let stated = &self.stated;
        Written {
            problem: "",
            description: "",
            modes: &self.change.modes,
            prediction: stated.prediction.as_ref(),
            answers: &stated.answers,
            criteria: &stated.criteria,
            has_effectivity: stated.effectivity.iter().any(|line| line.stage == Stage::Proposed),
            retrofit: stated.retrofit,
            has_handling: true,
        }
    }

    /// A field of these books alone.
    fn books(&self) -> Result<(Field, ChangeId), Problem> {
        let mut b = FieldBuilder::new(Catalogue::shipped());
        for part in &self.parts {
            b.part(part)?;
        }
        for share in &self.shares {
            b.size_share(share)?;
        }
        for line in &self.structure {
            b.component(line)?;
        }
        for lot in &self.lots {
            b.lot(lot)?;
        }
        for weighing in &self.weighings {
            weighing.check()?;
            b.weighing(weighing)?;
        }
        for test in &self.bench_tests {
            // The lot of a specimen is told, but is none of these books.
            b.bench_test(&BenchTest { lot_no: None, ..test.clone() })?;
        }
        for requirement in &self.requirements {
            b.requirement(requirement)?;
        }
        for range in &self.fit_ranges {
            b.fit_range(range)?;
        }
        for person in &self.people {
            b.person(person)?;
        }
        // Which modes it is meant against was counted already, and its first lot is none of these books.
        b.change(&Change { modes: Vec::new(), state: None, cut_in_lot: None, ..self.change.clone() })?;
        let field = b.build();
        let id = field.find_change(&self.change.change_no);
        Ok((field, id.ok_or_else(|| Problem::new("change_no", "the change is not among the inputs"))?))
    }
}
