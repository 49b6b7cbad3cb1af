//! What components weigh, really and on the balance.

use super::change::{ChangePlan, WAITING};
use super::dice::Dice;
use super::product::Products;

/// What one component revision weighs in one size.
pub(super) struct Mass {
    pub(super) part: usize,
    pub(super) revision: usize,
    /// Empty where the component has no sizes.
    pub(super) size: &'static str,
    /// What it weighs.
    pub(super) grams: f64,
    /// Weighed specimens; none where nobody put it on the balance.
    pub(super) weighed: Vec<f64>,
}

/// How a component grows from size to size.
const GROWTH: f64 = 0.11;
/// Scatter between specimens as a share of the mass.
const SCATTER: f64 = 0.012;

/// Revisions a component has.
pub(super) fn revisions(products: &Products, change: &ChangePlan, part: usize) -> usize {
    if part == change.part || products.parts[part].no == WAITING.0 { 2 } else { 1 }
}

/// True masses and weighings of every component that is in an item; materials are weighed with what is cut from them.
pub(super) fn weigh(products: &Products, change: &ChangePlan, dice: &mut Dice) -> Vec<Mass> {
    let mut masses = Vec::new();
    for (part, design) in products.parts.iter().enumerate() {
        let Some(product) = products.items_with(part).next() else { continue };
        let sizes: Vec<&'static str> = if design.sized {
            products.items[product].design.sizes.iter().map(|size| size.0).collect()
        } else {
            vec![""]
        };
        for (step, &size) in sizes.iter().enumerate() {
            let grown = if design.sized { 1.0 + GROWTH * (step as f64 - 1.0) } else { 1.0 };
            // The rarest size often never reaches the laboratory.
            let is_unweighed = design.sized && step + 1 == sizes.len() && dice.chance(0.3);
            for revision in 0..revisions(products, change, part) {
                let added = if revision == 1 && part == change.part {
                    change.added_g * grown * grown
                } else {
                    0.6 * revision as f64
                };
                let grams = design.mass_g * grown + added;
                let specimens = if is_unweighed { 0 } else { 3 + dice.below(4) };
                let weighed =
                    (0..specimens).map(|_| (grams * (1.0 + SCATTER * dice.normal())).max(0.1)).collect();
                masses.push(Mass { part, revision, size, grams, weighed });
            }
        }
    }
    masses
}

/// Grams of a whole item in its middle size, full configuration.
pub(super) fn whole(products: &Products, masses: &[Mass], product: usize) -> f64 {
    let design = products.items[product].design;
    let middle = design.sizes[1].0;
    let pieces = products.items[product].pieces.iter();
    let of = |part: usize| {
        masses
            .iter()
            .find(|m| m.part == part && m.revision == 0 && (m.size == middle || m.size.is_empty()))
            .map_or(0.0, |m| m.grams)
    };
    pieces.map(|&(part, each)| of(part) * f64::from(each)).sum()
}
