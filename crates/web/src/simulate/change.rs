//! The change of a world: what it cures, when each maker cuts it in, how issued stock is converted.

use super::SimulateError;
use super::calendar::Calendar;
use super::design::WEAKNESS;
use super::dice::Dice;
use super::product::Products;
use super::request::Request;

/// The change, as it really works.
pub(super) struct ChangePlan {
    /// Its number.
    pub(super) no: String,
    /// The place of the mode it cures.
    pub(super) hazard: usize,
    /// The place of the component that changes.
    pub(super) part: usize,
    /// The place of the item that contains it.
    pub(super) product: usize,
    /// What it makes of the rate of the mode.
    pub(super) ratio: f64,
    /// From which day each of the item's two makers builds to it.
    pub(super) cut_in: [i32; 2],
    /// The day the pilot lot is made.
    pub(super) pilot: i32,
    /// From which day issued items are converted.
    pub(super) converts_from: i32,
    /// Share of unconverted items that are converted in a year.
    pub(super) convert_rate: f64,
    /// Share of the last lot before the cut-in that has it already; 0 where there is no mixed lot.
    pub(super) mixed_share: f64,
    /// Grams it adds to the component in the middle size.
    pub(super) added_g: f64,
    /// Place of an item with drawing revisions that change nothing in the field.
    pub(super) tidied_product: usize,
    /// Days from which its revisions B and C are built.
    pub(super) tidied: [i32; 2],
}

/// A change in the making, so that the status table has something that waits: component and mode.
pub(super) const WAITING: (&str, &str) = ("LP-215", "SEM-1");

impl ChangePlan {
    /// Draws the change; a varied world cures any mode of a component that only one item has.
    pub(super) fn draw(
        request: &Request,
        calendar: &Calendar,
        products: &mut Products,
        dice: &mut Dice,
    ) -> Result<Self, SimulateError> {
        let own: Vec<usize> = (0..products.hazards.len())
            .filter(|&h| {
                products.hazards[h].weight > 0.0 && products.items_with(products.hazards[h].part).count() == 1
            })
            .collect();
        let weights: Vec<f64> = own.iter().map(|&h| products.hazards[h].weight).collect();
        let drawn = own[dice.weighted(&weights)];
        let told = products.part(WEAKNESS.0).and_then(|part| products.hazard(part, WEAKNESS.1));
        let hazard = if request.varied { drawn } else { told.unwrap_or(drawn) };
        let part = products.hazards[hazard].part;
        let missing = || SimulateError::Design("the changed component is in no item".to_owned());
        let product = products.items_with(part).next().ok_or_else(missing)?;
        // A change is taken up because the mode is seen often; a rare one would never have reached a board.
        products.hazards[hazard].weight = products.hazards[hazard].weight.max(2.0);
        let at = |share: f64| (f64::from(calendar.end) * share) as i32;
        let (ratio, early) = (dice.between(0.25, 1.0), dice.between(0.42, 0.58));
        let ratio = request.change_ratio.unwrap_or(if request.varied { ratio } else { 0.35 });
        let cut = at(if request.varied { early } else { 0.5 });
        let tidied_product = usize::from(product == 0);
        Ok(Self {
            no: format!("CH-{}-004", calendar.year2(cut - 200)),
            hazard,
            part,
            product,
            ratio,
            cut_in: [cut, cut + dice.days(20, 90)],
            pilot: cut - dice.days(110, 170),
            converts_from: cut + dice.days(120, 240),
            convert_rate: dice.between(0.15, 0.35),
            mixed_share: if !request.varied || dice.chance(0.5) { dice.between(0.3, 0.7) } else { 0.0 },
            added_g: dice.between(6.0, 14.0),
            tidied_product,
            tidied: [at(0.3), at(0.65)],
        })
    }

    /// The revision of a product built by the first or second of its makers on a day; 0 is A.
    pub(super) fn revision(&self, product: usize, which_maker: usize, day: i32) -> usize {
        if product == self.product {
            usize::from(day >= self.cut_in[which_maker])
        } else if product == self.tidied_product {
            self.tidied.iter().filter(|&&from| day >= from).count()
        } else {
            0
        }
    }

    /// How many revisions of a product there are.
    pub(super) fn revisions(&self, product: usize) -> usize {
        if product == self.product {
            2
        } else if product == self.tidied_product {
            3
        } else {
            1
        }
    }
}

/// The letter of a revision.
pub(super) fn letter(revision: usize) -> &'static str {
    ["A", "B", "C"][revision.min(2)]
}
