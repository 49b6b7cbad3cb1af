//! Every figure a change record shows, by name, so that two sets of them can be held side by side.

use crate::analysis::{ChangeResult, Proof, RATIO_WORTH_HAVING, Rate};
use crate::change_record::{Assessment, BenchSide, Verdict, bench_comparisons};
use crate::field::Field;
use crate::mass::{Mass, MassChange};
use crate::proof_plan::{Planned, ProofPlan};

/// What a figure says.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// A measured or worked number at full precision.
    Number(f64),
    /// Something counted.
    Count(u64),
    /// A verdict or statement.
    Words(String),
    /// Not known, and not made up.
    Unknown,
}

impl Value {
    /// As a number, where it is one.
    pub const fn number(&self) -> Option<f64> {
        match self {
            Self::Number(number) => Some(*number),
            Self::Count(count) => Some(*count as f64),
            Self::Words(_) | Self::Unknown => None,
        }
    }
}

impl From<Option<f64>> for Value {
    fn from(number: Option<f64>) -> Self {
        number.filter(|number| number.is_finite()).map_or(Self::Unknown, Self::Number)
    }
}

impl From<f64> for Value {
    fn from(number: f64) -> Self {
        Some(number).into()
    }
}

impl From<u64> for Value {
    fn from(count: u64) -> Self {
        Self::Count(count)
    }
}

impl From<&str> for Value {
    fn from(words: &str) -> Self {
        Self::Words(words.to_owned())
    }
}

/// One figure.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// What it is a figure of.
    pub group: String,
    /// Which.
    pub name: String,
    /// Its unit; empty for words and bare counts.
    pub unit: String,
    /// What it says.
    pub value: Value,
}

/// Figures as they are put together.
#[derive(Default)]
struct Sheet {
    group: String,
    figures: Vec<Figure>,
}

impl Sheet {
    fn group(&mut self, group: impl Into<String>) {
        self.group = group.into();
    }

    fn add(&mut self, name: &str, unit: &str, value: impl Into<Value>) {
        let (group, name, unit) = (self.group.clone(), name.to_owned(), unit.to_owned());
        self.figures.push(Figure { group, name, unit, value: value.into() });
    }
}

/// Grams.
const G: &str = "g";
/// A rate.
const RATE: &str = "per 1,000 item-years";
/// Exposure.
const YEARS: &str = "item-years";

pub(super) fn figures(
    field: &Field,
    result: &ChangeResult,
    assessed: &Assessment<'_>,
    (plan, planned): (Option<ProofPlan>, Option<Planned>),
) -> Vec<Figure> {
    let mut sheet = Sheet::default();
    result.mass.iter().for_each(|line| mass(&mut sheet, field, line));
    tariff(&mut sheet, result);
    rate(&mut sheet, "Failures before", result.rate_before);
    if let Some(after) = assessed.predicted {
        sheet.group("Failures after, predicted");
        sheet.add("rate", RATE, after.estimate);
        sheet.add("lower limit", RATE, after.low);
        sheet.add("upper limit", RATE, after.high);
    }
    rate(&mut sheet, "Failures after, observed", result.rate_after);
    if let Some(found) = result.proof {
        proof(&mut sheet, &found, plan.map_or(RATIO_WORTH_HAVING, |plan| plan.ratio_worth_having));
    }
    counted(&mut sheet, result);
    bench(&mut sheet, field, result);
    judged(&mut sheet, field, assessed);
    if let Some((plan, planned)) = plan.zip(planned) {
        of_plan(&mut sheet, plan, planned);
    }
    sheet.figures
}

fn mass(sheet: &mut Sheet, field: &Field, line: &MassChange) {
    let size = line.size.map_or("all sizes", |size| &field.sizes[size]);
    let worn = line.configuration.map(|one| format!(", {}", &field.configurations[one]));
    sheet.group(format!("Grams, {} in {size}{}", &field.part_names[line.item], worn.unwrap_or_default()));
    for (word, mass) in [("before", line.before), ("after", line.after), ("difference", line.difference)] {
        sheet.add(word, G, mass.map(|mass| mass.grams));
        sheet.add(&format!("{word}, reach at 95 %"), G, mass.and_then(Mass::reach_g));
    }
}

fn tariff(sheet: &mut Sheet, result: &ChangeResult) {
    if let Some(mean) = result.mass_tariff_mean {
        sheet.group("Grams, mean over the tariff");
        sheet.add("before", G, mean.before_g);
        sheet.add("after", G, mean.after_g);
        sheet.add("difference", G, mean.difference_g);
        sheet.add("difference, standard uncertainty", G, mean.standard_g);
    }
}

fn rate(sheet: &mut Sheet, group: &str, rate: Option<Rate>) {
    let Some(rate) = rate else { return };
    sheet.group(group);
    sheet.add("rate", RATE, rate.estimate);
    sheet.add("lower limit", RATE, rate.low);
    sheet.add("upper limit", RATE, rate.high);
    sheet.add("occasions", "", rate.occasions);
    sheet.add("exposure", YEARS, rate.item_years);
}

fn proof(sheet: &mut Sheet, proof: &Proof, ratio_worth_having: f64) {
    sheet.group("Proof at equal age");
    sheet.add("ratio", "", proof.ratio);
    sheet.add("lower limit, one look", "", proof.low);
    sheet.add("upper limit, one look", "", proof.high);
    sheet.add("lower limit, any look", "", proof.anytime_low);
    sheet.add("upper limit, any look", "", proof.anytime_high);
    sheet.add("p", "", proof.p_value);
    sheet.add("failures before", "", proof.failures_before);
    sheet.add("exposure before", YEARS, proof.item_years_before);
    sheet.add("failures after", "", proof.failures_after);
    sheet.add("exposure after", YEARS, proof.item_years_after);
    sheet.add("failures expected after", "", proof.expected_after);
    sheet.add("verdict", "", proof.verdict_at(ratio_worth_having).word());
}

fn counted(sheet: &mut Sheet, result: &ChangeResult) {
    let counts = &result.counts;
    if !counts.mixed.is_empty() {
        sheet.group("Lots built partly to it");
        sheet.add("exposure", YEARS, counts.mixed.iter().map(|lot| lot.item_years).sum::<f64>());
        sheet.add("failures", "", counts.mixed_failures);
        sheet.add("failures expected", "", counts.mixed_expected());
    }
    sheet.group("Items in service");
    sheet.add("all", "items", result.reach.in_service);
    sheet.add("without the change", "items", result.reach.without);
    sheet.add("built to it", "items", result.reach.built);
    sheet.add("converted", "items", result.reach.retrofitted);
    if let Some(cost) = result.while_waiting {
        sheet.group("While waiting");
        sheet.add("failures", "a year", cost.failures_a_year);
        sheet.add("lower limit", "a year", cost.low);
        sheet.add("upper limit", "a year", cost.high);
    }
}

fn bench(sheet: &mut Sheet, field: &Field, result: &ChangeResult) {
    let change = &field.changes[result.change];
    for found in bench_comparisons(field, change.from, change.to) {
        let worn = found.conditioning.as_ref().map(|worn| format!(", {worn}")).unwrap_or_default();
        sheet.group(format!("Bench, {}: {}{worn}", found.method, found.measure));
        let mut side = |word: &str, side: &BenchSide| {
            sheet.add(&format!("{word}, mean"), &found.measure_unit, side.mean);
            sheet.add(&format!("{word}, standard deviation"), &found.measure_unit, side.deviation);
            sheet.add(&format!("{word}, specimens"), "", side.specimens as u64);
            sheet.add(&format!("{word}, stopped"), "", side.stopped as u64);
            // Only in the place of a mean: what was frozen before has none beside one.
            if let Some((lowest, highest)) = side.stopped_at.filter(|_| side.mean.is_none()) {
                sheet.add(&format!("{word}, stopped at, lowest"), &found.measure_unit, lowest);
                sheet.add(&format!("{word}, stopped at, highest"), &found.measure_unit, highest);
            }
        };
        side("before", &found.before);
        side("after", &found.after);
    }
}

fn judged(sheet: &mut Sheet, field: &Field, assessed: &Assessment<'_>) {
    for line in &assessed.requirements {
        let (item, number) = (&field.part_names[line.facts.item], &line.facts.requirement.requirement_no);
        sheet.group(format!("Requirement {number} of {item}"));
        sheet.add("verdict", "", line.verdict().map_or("not answered", Verdict::word));
        sheet.add("rests on", "", line.check.as_ref().map_or("", |check| &check.figure));
    }
    sheet.group("Class");
    sheet.add("class", "", assessed.class.word());
    for line in &assessed.criteria {
        let answer = match line.touched {
            Some(true) => "yes",
            Some(false) => "no",
            None => "not answered",
        };
        sheet.add(line.criterion.word(), "", answer);
    }
}

fn of_plan(sheet: &mut Sheet, plan: ProofPlan, planned: Planned) {
    sheet.group("Plan of the proof");
    sheet.add("ratio worth having", "", plan.ratio_worth_having);
    sheet.add("power", "", plan.power);
    sheet.add("rate before", RATE, planned.rate_before);
    if planned.scatter > 1.0 {
        sheet.add("scatter between units allowed for, times chance", "", planned.scatter);
    }
    sheet.add("exposure needed for one look", YEARS, planned.item_years_for_one_look);
    sheet.add("exposure needed for any look", YEARS, planned.item_years);
    let day = planned.reached_on.map(|day| day.to_string());
    sheet.add("reached on", "", day.map_or(Value::Unknown, Value::Words));
}
