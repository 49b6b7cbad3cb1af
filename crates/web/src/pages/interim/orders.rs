//! What units are told to do: the instructions that bear on what they hold or report, with the item in words and its lots
//! as its label says them.

use std::collections::{BTreeMap, BTreeSet};

use domain::concerned::Concerned;
use domain::field::{Field, LotId, PartId, Stock, UnitId};
use domain::instruction::{Instruction, InstructionKind};
use domain::ledger::{Held, Ledger};
use domain::reply::{Asked, asked};
use serde::Serialize;
use store::Kept;

use super::{Interim, item_words, lot_words, plainly};
use crate::pages::replies::form_of;
use crate::tongue::Tongue;

/// More lots are not named one by one: what they were made from is.
const MOST_NAMED: usize = 60;

/// What a unit is told to do with what it holds.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Order {
    pub(crate) number: String,
    /// Lots that the unit holds by the books and that it is about.
    #[serde(skip)]
    pub(crate) lots: Vec<String>,
    /// Whether it is about items that the unit holds by the books, of no known lot.
    #[serde(skip)]
    pub(crate) of_no_lot: bool,
    /// Where the unit replies; nothing where nobody can tell which unit reads.
    reply: Option<String>,
    says: String,
    on: String,
    words: String,
    harm: bool,
}

impl Interim {
    /// What a unit must know of items it holds: every instruction that bears on their lot or on a part they were given, and,
    /// where their lot isn't known, for which labels it is. Stop-use first.
    pub(crate) fn for_held(
        &self,
        tongue: Tongue,
        field: &Field,
        ledger: &Ledger,
        held: &[&Held],
    ) -> Vec<Order> {
        self.orders(|kept| {
            let asked = asked(field, ledger, held.iter().copied(), &kept.what.concerned);
            let lots: BTreeSet<LotId> = asked.values().flat_map(|of| of.lots.keys().copied()).collect();
            let unknown: BTreeSet<PartId> =
                asked.values().flat_map(|of| of.unknown.keys().copied()).collect();
            let given: BTreeSet<PartId> = asked.values().flat_map(|of| of.given.keys().copied()).collect();
            // One about the whole part says the same of every item.
            let most = if kept.what.concerned.is_whole() { 1 } else { usize::MAX };
            let on_lots = (!lots.is_empty()).then(|| Order::on_lots(tongue, field, kept, lots));
            let by_label =
                unknown.into_iter().take(most).map(|item| Order::by_label(tongue, field, kept, item));
            let by_repair = given.into_iter().map(|item| Order::by_repair(tongue, field, kept, item));
            let of_no_lot = by_label.chain(by_repair).map(|order| Order { of_no_lot: true, ..order });
            on_lots.into_iter().chain(of_no_lot).collect()
        })
    }

    /// What a unit must know of an item of a lot, whether or not the books show it there: the lot's own orders, and those on
    /// parts that items of the lot were given at the unit.
    pub(crate) fn for_lot(
        &self,
        tongue: Tongue,
        field: &Field,
        ledger: &Ledger,
        (lot, unit): (LotId, Option<UnitId>),
    ) -> Vec<Order> {
        let there = |held: &&Held| held.stock == Stock::Lot(lot) && held.unit == unit;
        let held: Vec<&Held> = ledger.held.iter().filter(there).collect();
        self.orders(|kept| {
            let concerned = &kept.what.concerned;
            let is_asked = || !asked(field, ledger, held.iter().copied(), concerned).is_empty();
            let bears = concerned.bears_on(field, lot) || is_asked();
            bears.then(|| Order::on_lots(tongue, field, kept, [lot])).into_iter().collect()
        })
    }

    /// What a unit must know of an item whose lot isn't known: no instruction about the item or about a part it holds can
    /// be ruled out, so each says for which labels it is. A lot of something else may have been read from it.
    pub(crate) fn for_item(
        &self,
        tongue: Tongue,
        field: &Field,
        item_part_no: &str,
        read: Option<LotId>,
    ) -> Vec<Order> {
        let item = field.part_names.find(item_part_no);
        self.orders(|kept| {
            let concerned = &kept.what.concerned;
            if let Some(lot) = read.filter(|&lot| concerned.bears_on(field, lot)) {
                return vec![Order::on_lots(tongue, field, kept, [lot])];
            }
            let item = item.filter(|&item| concerned.may_bear_on(field, item));
            item.map(|item| Order::by_label(tongue, field, kept, item)).into_iter().collect()
        })
    }

    /// Everything that units are told today, for when nobody can say what a unit holds.
    pub(crate) fn for_everybody(&self, tongue: Tongue, field: Option<&Field>) -> Vec<Order> {
        self.orders(|kept| {
            let concerned = &kept.what.concerned;
            let on = field.map(|field| on_labels(tongue, field, concerned));
            vec![Order::new(tongue, kept, on.unwrap_or_else(|| plainly(tongue, None, concerned)))]
        })
    }

    fn orders(&self, of: impl Fn(&Kept<Instruction>) -> Vec<Order>) -> Vec<Order> {
        let mut orders: Vec<Order> = self.instructions.iter().flat_map(of).collect();
        orders.sort_by_key(|order| !order.harm);
        orders
    }
}

impl Order {
    fn new(tongue: Tongue, kept: &Kept<Instruction>, on: String) -> Self {
        let what = &kept.what;
        Self {
            number: kept.number.clone(),
            lots: Vec::new(),
            of_no_lot: false,
            reply: None,
            says: tongue.word("order", what.kind),
            on,
            words: what.words.clone(),
            harm: what.kind == InstructionKind::StopUse,
        }
    }

    /// An order on lots of items.
    fn on_lots(
        tongue: Tongue,
        field: &Field,
        kept: &Kept<Instruction>,
        lots: impl IntoIterator<Item = LotId>,
    ) -> Self {
        let on: Vec<LotId> = lots.into_iter().collect();
        let lots = on.iter().map(|&lot| field.lots[lot].lot_no.to_string()).collect();
        Self { lots, ..Self::new(tongue, kept, by_item(tongue, field, &on)) }
    }

    /// An order on an item whose lot isn't known, for those who look at the label again. One on a whole part needs no look.
    fn by_label(tongue: Tongue, field: &Field, kept: &Kept<Instruction>, item: PartId) -> Self {
        let concerned = &kept.what.concerned;
        let what = plainly(tongue, Some(field), concerned);
        if concerned.is_whole() {
            return Self::new(tongue, kept, what);
        }
        let mut lots = concerned.item_lots(field);
        lots.retain(|&lot| field.part_of_lot(lot) == item);
        let numbers = numbers(field, &lots);
        let order = ("order", tongue.word("order-then", kept.what.kind).into());
        let says = if numbers.is_empty() || numbers.len() > MOST_NAMED {
            tongue.with("order-if-holds", &[("what", what.into()), order])
        } else {
            let (count, lots) = (numbers.len().into(), numbers.join(", ").into());
            tongue.with("order-if-label", &[("count", count), ("lots", lots), order])
        };
        Self { says, ..Self::new(tongue, kept, item_words(field, item)) }
    }

    /// An order on items of no known lot that were given a part it is about: no label tells which.
    fn by_repair(tongue: Tongue, field: &Field, kept: &Kept<Instruction>, item: PartId) -> Self {
        let order = Self::new(tongue, kept, item_words(field, item));
        let filled = [("order", tongue.word("order-then", kept.what.kind).into())];
        Self { says: tongue.with("order-if-repaired", &filled), ..order }
    }

    /// The same for a unit that replies, on its own page.
    pub(crate) fn replied_from(self, own_page: &str) -> Self {
        Self { reply: Some(form_of(own_page, &self.number)), ..self }
    }

    /// One of each kind, for samples.
    pub(crate) fn samples() -> Vec<Self> {
        let one = |harm: bool| Self {
            number: "I-2026-001".into(),
            lots: Vec::new(),
            of_no_lot: false,
            reply: harm.then(|| "/unit/x/instructions/I-2026-001".into()),
            says: "Stop using it".into(),
            on: "Rescue carrier, RC-100, lot TB-0418".into(),
            words: "Hand it in.".into(),
            harm,
        };
        vec![one(true), one(false)]
    }
}

/// Numbers of lots, each once: a label doesn't tell two makers' lots of one number apart.
fn numbers<'a>(field: &'a Field, lots: &[LotId]) -> Vec<&'a str> {
    let mut numbers: Vec<&str> = Vec::new();
    for &lot in lots {
        let number = &*field.lots[lot].lot_no;
        if !numbers.contains(&number) {
            numbers.push(number);
        }
    }
    numbers
}

/// Lots under the names of what they are lots of: `Load pack, LP-200, lots KL-7, KL-9; Rescue carrier, RC-100, lot TB-0418`.
pub(crate) fn by_item(tongue: Tongue, field: &Field, lots: &[LotId]) -> String {
    let mut items: BTreeMap<PartId, Vec<LotId>> = BTreeMap::new();
    for &lot in lots {
        items.entry(field.part_of_lot(lot)).or_default().push(lot);
    }
    let named = |(item, lots): (PartId, Vec<LotId>)| {
        format!("{}, {}", item_words(field, item), lot_words(tongue, &numbers(field, &lots)))
    };
    items.into_iter().map(named).collect::<Vec<_>>().join("; ")
}

/// Lots that a unit holds and is asked about, as labels say them.
pub(crate) fn of_lots(tongue: Tongue, field: &Field, asked: &Asked) -> Option<String> {
    let lots: Vec<LotId> = asked.lots.keys().copied().collect();
    (!lots.is_empty()).then(|| by_item(tongue, field, &lots))
}

/// How many items a unit holds and is asked about whose lot isn't known.
pub(crate) fn of_no_lot(tongue: Tongue, asked: &Asked) -> Option<String> {
    let unknown = asked.of_no_lot();
    let filled = [("count", unknown.into()), ("number", tongue.count(unknown).into())];
    (unknown > 0).then(|| tongue.with("instruction-no-lot", &filled))
}

/// What an instruction is about as it stands on labels: the lots of items, and the part where that is no item itself.
pub(crate) fn on_labels(tongue: Tongue, field: &Field, concerned: &Concerned) -> String {
    let plain = plainly(tongue, Some(field), concerned);
    let lots = if concerned.is_whole() { Vec::new() } else { concerned.item_lots(field) };
    if lots.is_empty() || lots.len() > MOST_NAMED {
        return plain;
    }
    let is_item = field.part_names.find(&concerned.part_no).is_some_and(|part| field.is_item(part));
    let items = by_item(tongue, field, &lots);
    if is_item { items } else { format!("{items}; {plain}") }
}
