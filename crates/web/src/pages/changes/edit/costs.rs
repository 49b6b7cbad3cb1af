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
        let text = typed.filled(field)?;
        let read = text.parse::<f64>().ok();
        if read.is_none() {
            faults.add(field, format!("\u{201c}{text}\u{201d} is no number. Write 14.50, with a point."));
        }
        read
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

#[cfg(test)]
mod tests {
    use super::*;

    /// 1,200 is twelve hundred to one reader and 1.2 to another.
    #[test]
    fn a_comma_is_refused_and_never_read_as_a_point() {
        let of = |conversion: &str| {
            let typed = Typed::default().with("conversion", conversion).with("currency", "EUR");
            read(&typed.with("cost_source", "workshop, January"))
        };
        for comma in ["1,200", "14,50"] {
            let faults = of(comma).expect_err("refused");
            let says = faults.of("conversion").expect("beside its field");
            assert!(says.contains(comma) && says.contains("with a point"), "{says}");
        }
        for (point, cost) in [("14.50", 14.5), ("1200", 1200.0)] {
            let Ok(RecordEdit::Costs(costs)) = of(point) else { panic!("{point} is a number") };
            assert_eq!(costs.conversion, Some(cost));
        }
    }
}
