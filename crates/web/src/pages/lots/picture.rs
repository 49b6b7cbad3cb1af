//! The picture of a lineage: the greatest lots of each level, the rest of a level as one.

use std::collections::HashMap;

use domain::field::{Field, LotId};
use domain::lineage::{Kin, Lineage};
use serde::Serialize;

use super::words::{made_words, quantity};
use crate::charts::{Band, Drawing, Knot, lineage as drawn};
use crate::format;

/// Lots drawn of one level; the others are drawn as one.
const MOST_OF_A_LEVEL: usize = 12;

/// The picture with its caption.
#[derive(Serialize)]
pub(super) struct Picture {
    caption: String,
    drawing: Drawing,
    rest: Option<String>,
}

/// One lot with its level from the left and what of the whole goes through it.
struct Placed<'a> {
    kin: &'a Kin,
    level: usize,
    share: f64,
}

/// `None` where the lot stands alone.
pub(super) fn draw(field: &Field, lineage: &Lineage) -> Option<Picture> {
    if lineage.up.is_empty() && lineage.down.is_empty() {
        return None;
    }
    let before = lineage.up.iter().map(|kin| kin.steps).max().unwrap_or(0);
    let after = lineage.down.iter().map(|kin| kin.steps).max().unwrap_or(0);
    let mut levels: Vec<Vec<Placed<'_>>> = (0..=before + after).map(|_| Vec::new()).collect();
    for (kin, level, share) in placed(lineage, before) {
        levels[level].push(Placed { kin, level, share });
    }
    let mut knots = vec![Knot {
        level: before,
        name: field.lots[lineage.of].lot_no.to_string(),
        words: whole(field, lineage.of),
        is_own: true,
    }];
    let mut places = HashMap::from([(lineage.of, 0)]);
    let mut hidden = 0;
    // Outwards from the lot itself, so that each level can follow the order of the one before it.
    let outwards = (0..before).rev().chain(before + 1..=before + after);
    for level in outwards {
        let mut lots = std::mem::take(&mut levels[level]);
        lots.sort_by(|a, b| b.share.total_cmp(&a.share).then(a.kin.lot.cmp(&b.kin.lot)));
        let rest =
            if lots.len() > MOST_OF_A_LEVEL + 1 { lots.split_off(MOST_OF_A_LEVEL) } else { Vec::new() };
        follow(&mut lots, lineage, &places);
        for lot in &lots {
            places.insert(lot.kin.lot, knots.len());
            knots.push(knot(field, lot));
        }
        hidden += rest.len();
        if let Some(first) = rest.first() {
            places.extend(rest.iter().map(|lot| (lot.kin.lot, knots.len())));
            knots.push(together(&rest, first.level));
        }
    }
    Some(Picture {
        caption: format!("From what lot {} was made and where it went", field.lots[lineage.of].lot_no),
        drawing: drawn(
            "lineage",
            (&format!("Lineage of lot {}", field.lots[lineage.of].lot_no), &described(field, lineage)),
            &heads(before, after),
            &knots,
            &bands(lineage, &places),
        ),
        rest: (hidden > 0).then(|| {
            format!(
                "Of each level the greatest {MOST_OF_A_LEVEL} lots are drawn, the others together as one."
            )
        }),
    })
}

/// Every lot with its level and what goes through it: out of what is above, into what is below.
fn placed(lineage: &Lineage, before: usize) -> Vec<(&Kin, usize, f64)> {
    let (mut out, mut into) = (HashMap::new(), HashMap::new());
    for step in &lineage.steps {
        *out.entry(step.from).or_insert(0.0) += step.share;
        *into.entry(step.into).or_insert(0.0) += step.share;
    }
    let share = |of: &HashMap<LotId, f64>, kin: &Kin| of.get(&kin.lot).copied().unwrap_or(0.0);
    let up = lineage.up.iter().map(|kin| (kin, before - kin.steps, share(&out, kin)));
    up.chain(lineage.down.iter().map(|kin| (kin, before + kin.steps, share(&into, kin)))).collect()
}

/// Lots stand near what they are joined to in the levels drawn before.
fn follow(lots: &mut [Placed<'_>], lineage: &Lineage, places: &HashMap<LotId, usize>) {
    let near = |lot: LotId| {
        let ends = lineage.steps.iter().filter_map(|step| match (step.from == lot, step.into == lot) {
            (true, _) => places.get(&step.into),
            (_, true) => places.get(&step.from),
            _ => None,
        });
        let (sum, count) = ends.fold((0.0, 0.0), |(sum, count), &place| (sum + place as f64, count + 1.0));
        if count > 0.0 { sum / count } else { f64::INFINITY }
    };
    let order: HashMap<LotId, f64> = lots.iter().map(|lot| (lot.kin.lot, near(lot.kin.lot))).collect();
    lots.sort_by(|a, b| order[&a.kin.lot].total_cmp(&order[&b.kin.lot]));
}

fn knot(field: &Field, lot: &Placed<'_>) -> Knot {
    let amount = lot.kin.amount.map(|n| format!(", {}", quantity(n))).unwrap_or_default();
    Knot {
        level: lot.level,
        name: field.lots[lot.kin.lot].lot_no.to_string(),
        words: format!("{}{amount}", made_words(field, lot.kin.lot)),
        is_own: false,
    }
}

fn together(rest: &[Placed<'_>], level: usize) -> Knot {
    let amount: Option<f64> = rest.iter().map(|lot| lot.kin.amount).sum();
    Knot {
        level,
        name: format!("{} more lots", format::count(rest.len() as u64)),
        words: amount.map_or_else(|| "together".into(), |n| format!("together {}", quantity(n))),
        is_own: false,
    }
}

fn whole(field: &Field, lot: LotId) -> String {
    let made = field.lots[lot].quantity.map(|n| format!(", {}", format::count(u64::from(n))));
    format!("{}{}", made_words(field, lot), made.unwrap_or_default())
}

/// Steps between knots; those into or out of a level's rest are drawn as one.
fn bands(lineage: &Lineage, places: &HashMap<LotId, usize>) -> Vec<Band> {
    let mut shares: Vec<((usize, usize), f64)> = Vec::new();
    let mut known: HashMap<(usize, usize), usize> = HashMap::new();
    for step in &lineage.steps {
        let (Some(&from), Some(&into)) = (places.get(&step.from), places.get(&step.into)) else { continue };
        let at = *known.entry((from, into)).or_insert_with(|| {
            shares.push(((from, into), 0.0));
            shares.len() - 1
        });
        shares[at].1 += step.share;
    }
    shares.into_iter().map(|((from, into), share)| Band { from, into, share }).collect()
}

fn heads(before: usize, after: usize) -> Vec<String> {
    let steps = |n: usize, word: &str| format!("{} {word}", format::counted(n as u64, "step", "steps"));
    let above = (1..=before).rev().map(|n| steps(n, "before"));
    let below = (1..=after).map(|n| steps(n, "after"));
    above.chain(std::iter::once("this lot".to_owned())).chain(below).collect()
}

fn described(field: &Field, lineage: &Lineage) -> String {
    let lots = |kin: &[Kin]| format::counted(kin.len() as u64, "lot", "lots");
    format!(
        "From left to right: {} that {} was made from, the lot itself, {} that it went into. Bands are as wide as the \
         share that went each way. The tables below say the same.",
        lots(&lineage.up),
        field.lots[lineage.of].lot_no,
        lots(&lineage.down)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pages::lots::sample;

    #[test]
    fn what_is_beyond_the_greatest_of_a_level_is_drawn_as_one() {
        let field = sample::wide(40).build();
        let lot = sample::lot(&field, sample::TAPE).unwrap();
        let picture = draw(&field, &Lineage::of(&field, lot)).unwrap();
        assert_eq!(picture.drawing.as_str().matches("c-knot").count(), MOST_OF_A_LEVEL + 1);
        assert!(picture.drawing.as_str().contains("28 more lots"), "{}", picture.drawing.as_str());
        assert!(picture.rest.is_some());
    }

    #[test]
    fn a_lot_alone_has_no_picture() {
        let (field, _) = sample::field();
        let lot = sample::lot(&field, sample::LONE).unwrap();
        assert!(draw(&field, &Lineage::of(&field, lot)).is_none());
    }
}
