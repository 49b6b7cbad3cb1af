//! What speaks for and against two reports telling of the same failure.

use rustc_hash::FxHashMap;

use crate::field::{Day, Field, LotTextId, ModeId, PartId, ReportFacts, SerialId, SizeId};
use crate::report::{FoundWhen, Harm, ItemFate};
use crate::sketch::Sketch;

/// Days between two findings that may still be one.
pub const NEAR_DAYS: i32 = 7;
/// Share of failures that are reported twice, before anything is known of the pair. A judgement.
const DOUBLED: f64 = 0.03;
/// Share of doubles whose dates differ by so many days. A judgement: people remember the day, or the day before.
const DAYS_APART: [f64; NEAR_DAYS as usize + 1] = [0.35, 0.28, 0.2, 0.07, 0.04, 0.03, 0.02, 0.01];
/// Reports looked at to learn how common values are; more would say the same.
const LOOKED_AT: usize = 20_000;

/// How often a failure told twice is told alike on a field that both reports fill. Judgements: facts nobody mistakes almost
/// always, labels are misread.
mod agree {
    pub(super) const FACT: f64 = 0.97;
    pub(super) const JUDGED: f64 = 0.93;
    pub(super) const LABEL: f64 = 0.7;
}

/// A value that is counted.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
enum Value {
    Mode(Option<PartId>, ModeId),
    Size(SizeId),
    Serial(SerialId),
    Label(LotTextId),
    When(FoundWhen),
    Harm(Harm),
    Fate(ItemFate),
    Quantity(u32),
}

/// How common values are among reports on each item that came by a day.
pub(super) struct Frequencies {
    values: FxHashMap<(PartId, Value), u32>,
    items: FxHashMap<PartId, u32>,
}

impl Frequencies {
    /// Of reports received by a day: what came later was not known then.
    pub(super) fn of(field: &Field, as_of: Day) -> Self {
        let mut all = Self { values: FxHashMap::default(), items: FxHashMap::default() };
        let reports = || field.reports.values().filter(|report| report.received_on <= as_of);
        let step = (reports().count() / LOOKED_AT).max(1);
        for report in reports().step_by(step) {
            *all.items.entry(report.item).or_default() += 1;
            for (value, _) in values_of(report).into_iter().flatten() {
                *all.values.entry((report.item, value)).or_default() += 1;
            }
        }
        all
    }

    /// The chance that an unrelated report on an item has a value: one more than was seen, of two more reports.
    fn chance(&self, item: PartId, value: Value) -> f64 {
        let seen = self.values.get(&(item, value)).copied().unwrap_or_default();
        let of = self.items.get(&item).copied().unwrap_or_default();
        (f64::from(seen) + 1.0) / (f64::from(of) + 2.0)
    }
}

/// The values of a report in a fixed order, with how often each is told alike of a failure told twice.
fn values_of(report: &ReportFacts) -> [Option<(Value, f64)>; 8] {
    [
        report.mode.map(|mode| (Value::Mode(report.part, mode), agree::JUDGED)),
        report.size.map(|size| (Value::Size(size), agree::FACT)),
        report.serial.map(|serial| (Value::Serial(serial), agree::FACT)),
        report.lot_text.map(|label| (Value::Label(label), agree::LABEL)),
        report.found_when.map(|when| (Value::When(when), agree::FACT)),
        report.harm.map(|harm| (Value::Harm(harm), agree::JUDGED)),
        report.item_fate.map(|fate| (Value::Fate(fate), agree::JUDGED)),
        Some((Value::Quantity(report.quantity), agree::FACT)),
    ]
}

/// Odds that two reports of one unit on one item tell of the same failure; nothing where their dates are too far apart.
///
/// Prior odds are the share of failures reported twice, times how often doubles are so many days apart, over the
/// unrelated reports the unit sends on a day. Of a failure told twice a field is told alike with chance m, and else as by chance:
/// where both fill it and agree, on a value as common as u, the odds are multiplied by (m + (1 - m) u)/u, and where they
/// differ by 1 - m, so that to differ never speaks for a double.
pub(super) fn odds(one: &ReportFacts, other: &ReportFacts, known: &Frequencies, per_day: f64) -> Option<f64> {
    let apart = (one.found_on.0 - other.found_on.0).unsigned_abs() as usize;
    // A day apart may be a day before or a day after.
    let sides = if apart == 0 { 1.0 } else { 2.0 };
    let near = DAYS_APART.get(apart)?;
    let mut odds = DOUBLED * near / sides / per_day;
    for pair in values_of(one).into_iter().zip(values_of(other)) {
        let (Some((value, agrees)), Some((there, _))) = pair else { continue };
        let chance = known.chance(one.item, value);
        odds *= 1.0 - agrees + if value == there { agrees / chance } else { 0.0 };
    }
    Some(odds * by_words(one.words, other.words))
}

/// What the likeness of two narratives multiplies the odds by. Judgements, mild ones: people who write twice seldom
/// use the same words, and people who don't have the same few words for the same mode.
pub fn by_words(one: Sketch, other: Sketch) -> f64 {
    match one.differs(other) {
        None => 1.0,
        Some(0..=3) => 20.0,
        Some(4..=10) => 8.0,
        Some(11..=18) => 2.5,
        Some(19..=25) => 1.2,
        Some(_) => 0.7,
    }
}

/// What the odds are multiplied by where a mode is not sorted yet, by how probable it is that both reports tell of one
/// mode. A mode is taken to be as common as one in twenty on an item; a judgement.
pub fn by_agreement(agreement: f64) -> f64 {
    const COMMON: f64 = 0.05;
    (1.0 - agree::JUDGED) + agree::JUDGED * agreement / COMMON
}
