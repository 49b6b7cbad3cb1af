//! Whom the items fit: size ranges, and invented people with the published spread of body measures.

use std::path::Path;

use super::SimulateError;
use super::dice::Dice;
use super::product::Products;
use super::table::Table;

/// Mean and standard deviation by dimension, and how two of them go together, for one sex.
struct Body {
    sex: &'static str,
    chest: (f64, f64),
    waist: (f64, f64),
    back: (f64, f64),
    mass: (f64, f64),
    chest_back: f64,
    chest_waist: f64,
    chest_mass: f64,
}

/// Gordon et al. (2014), NATICK/TR-15/007: means, standard deviations and correlations computed from its public data.
const BODIES: [Body; 2] = [
    Body {
        sex: "male",
        chest: (1058.7, 87.44),
        waist: (940.6, 111.71),
        back: (477.6, 27.73),
        mass: (85.5, 14.22),
        chest_back: 0.498,
        chest_waist: 0.886,
        chest_mass: 0.907,
    },
    Body {
        sex: "female",
        chest: (946.9, 82.70),
        waist: (860.9, 99.93),
        back: (425.4, 26.39),
        mass: (67.8, 10.98),
        chest_back: 0.470,
        chest_waist: 0.844,
        chest_mass: 0.829,
    },
];
/// Share of women among the invented people.
const WOMEN: f64 = 0.35;

fn uses_waist(products: &Products, product: usize) -> bool {
    products.items[product].design.serialised
}

/// Writes fit_ranges.csv and people.csv.
pub(super) fn write(
    folder: &Path,
    products: &Products,
    dice: &mut Dice,
) -> Result<Vec<(&'static str, u64)>, SimulateError> {
    let mut ranges = Table::create(folder, "fit_ranges.csv", "item_part_no size dimension low_mm high_mm")?;
    for (place, product) in products.items.iter().enumerate() {
        let sizes = product.design.sizes;
        let (girth, low, high) =
            if uses_waist(products, place) { ("waist", 660.0, 1190.0) } else { ("chest", 770.0, 1270.0) };
        let step = (high - low) / sizes.len() as f64;
        for (n, (size, _)) in sizes.iter().enumerate() {
            let n = n as f64;
            let (from, to) = (low + step * n, low + step * (n + 1.0) + 15.0);
            let back = product.design.fit.1 - 90.0 + 18.0 * n;
            ranges.row([product.design.no, size, girth, &format!("{from:.0}"), &format!("{to:.0}")])?;
            ranges.row([
                product.design.no,
                size,
                "waist_back_length",
                &format!("{back:.0}"),
                &format!("{:.0}", back + 115.0),
            ])?;
        }
    }
    let has_waist = (0..products.items.len()).any(|place| uses_waist(products, place));
    let columns = if has_waist {
        "person sex mass_kg chest_mm waist_mm waist_back_length_mm"
    } else {
        "person sex mass_kg chest_mm waist_back_length_mm"
    };
    let mut people = Table::create(folder, "people.csv", columns)?;
    for n in 1..=600 {
        let body = &BODIES[usize::from(dice.chance(WOMEN))];
        let girth = dice.normal();
        let mut with = |share: f64, (mean, deviation): (f64, f64)| {
            mean + deviation * (share * girth + (1.0 - share * share).sqrt() * dice.normal())
        };
        let (back, waist, mass) = (
            with(body.chest_back, body.back),
            with(body.chest_waist, body.waist),
            with(body.chest_mass, body.mass),
        );
        let chest = format!("{:.0}", body.chest.0 + body.chest.1 * girth);
        let (waist, back) = (format!("{waist:.0}"), format!("{back:.0}"));
        let (person, mass) = (format!("invented-{n:04}"), format!("{:.1}", mass.max(40.0)));
        if has_waist {
            people.row([person.as_str(), body.sex, &mass, &chest, &waist, &back])?;
        } else {
            people.row([person.as_str(), body.sex, &mass, &chest, &back])?;
        }
    }
    Ok(vec![ranges.finish()?, people.finish()?])
}
