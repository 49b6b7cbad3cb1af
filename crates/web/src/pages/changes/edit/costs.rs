//! The form of unit costs and recall time, for the options of retrofit.

use domain::retrofit::Costs;
use store::RecordEdit;

use super::typed::{Block, Typed};
use crate::pages::changes::load::Loaded;
use crate::view::{Ask, Faults};

const FIGURES: [(&str, &str, &str); 4] = [
    ("new_item", "A new item costs more than an old one by", "Below 0 where it costs less."),
    ("conversion", "Calling back, converting and sending out one item", ""),
    ("scrapped_item", "Lost with one unissued old item that is set aside", ""),
    ("recall_months", "Months that a recall of all takes", "Twelve are taken where nothing is said."),
];

pub(super) fn kept(loaded: &Loaded) -> Typed {
    let costs = &loaded.record.argued.costs;
    let figures = [costs.new_item, costs.conversion, costs.scrapped_item, costs.recall_months];
    let typed = FIGURES.into_iter().zip(figures).fold(Typed::default(), |typed, ((field, ..), figure)| {
        typed.with_some(field, figure.map(|figure| figure.to_string()))
    });
    typed.with_some("currency", costs.currency.as_ref()).with_some("cost_source", costs.source.as_ref())
}

pub(super) fn blocks(typed: &Typed, faults: &Faults) -> Vec<Block> {
    let mut blocks = vec![Block::says("What is left empty is not counted, and the table says so.")];
    let ask = |field: &'static str, label: &'static str| {
        Ask::text(field, label, typed.text(field)).problem(faults.of(field))
    };
    blocks.push(ask("currency", "Currency").into());
    for (field, label, hint) in FIGURES {
        let asked = ask(field, label);
        blocks.push(if hint.is_empty() { asked.into() } else { asked.hint(hint).into() });
    }
    blocks.push(ask("cost_source", "From whom the figures are").into());
    blocks
}

pub(super) fn read(typed: &Typed) -> Result<RecordEdit, Faults> {
    let mut faults = typed.too_long();
    let [new_item, conversion, scrapped_item, recall_months] = FIGURES.map(|(field, ..)| {
        let read = typed.filled(field).map(|text| text.replace(',', ".").parse::<f64>());
        if matches!(read, Some(Err(_))) {
            faults.add(field, "Write a number such as 14.50.");
        }
        read.and_then(Result::ok)
    });
    if !faults.is_empty() {
        return Err(faults);
    }
    let costs = Costs {
        currency: typed.filled("currency"),
        new_item,
        conversion,
        scrapped_item,
        recall_months,
        source: typed.filled("cost_source"),
    };
    match costs.check() {
        Ok(()) => Ok(RecordEdit::Costs(costs)),
        Err(problem) => Err(Faults::one(problem.field, format!("Please mend this: {}.", problem.why))),
    }
}
