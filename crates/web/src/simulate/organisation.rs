//! The invented rescue service: its stores and units, how hard each works and how willingly each reports.

use super::calendar::Season;
use super::dice::{Dice, spread};
use super::request::Request;

/// What kind of unit it is, as the pack's word.
pub(super) type Kind = &'static str;

/// A unit.
pub(super) struct Unit {
    /// Its code.
    pub(super) code: String,
    /// Its name.
    pub(super) name: String,
    /// wearing, school, store, depot or repair.
    pub(super) kind: Kind,
    /// Place of the unit above it.
    pub(super) parent: Option<usize>,
    /// When it works hardest.
    pub(super) season: Season,
    /// Wear beside the mean of all units, 1 at the mean.
    pub(super) use_factor: f64,
    /// Share of failures it reports unasked.
    pub(super) reporting: f64,
    /// Mean days between finding and sending.
    pub(super) delay_days: f64,
    /// Share of the fleet it is allotted.
    pub(super) share: f64,
    /// Which way of writing its people have.
    pub(super) voice: usize,
    /// Whether it keeps a use book.
    pub(super) keeps_use: bool,
}

/// All units; those that wear come last.
pub(super) struct Organisation {
    /// The units.
    pub(super) units: Vec<Unit>,
    /// Places of the stores.
    pub(super) stores: Vec<usize>,
    /// Place of the first unit that wears.
    pub(super) first_wearing: usize,
    /// Coefficient of variation of use between units.
    pub(super) use_cv: f64,
    /// Coefficient of variation of reporting between units.
    pub(super) reporting_cv: f64,
}

/// What people of a hill unit do.
pub(super) const HILL_WORK: &[&str] =
    &["search", "rope rescue", "stretcher carry", "winter patrol", "training"];
/// What people of a coast unit do.
pub(super) const COAST_WORK: &[&str] =
    &["boat work", "cliff rescue", "shore search", "flood call", "training"];
/// Place of the depot.
pub(super) const DEPOT: usize = 0;
/// Hours an item is worn in a month at mean use.
pub(super) const MEAN_HOURS: f64 = 38.0;

const FIRST: &[&str] = &[
    "Skarn", "Tarn", "Gull", "Brenn", "Mire", "Sorrel", "Kvarn", "Heron", "Lyng", "Oster", "Rime", "Fennel",
    "Cairn", "Dunmar", "Vold", "Pellin", "Stor", "Hask", "Ebb", "Corrin",
];
const SECOND: &[&str] =
    &["fell", "haven", "ness", "head", "water", "mouth", "garth", "pass", "strand", "edge", "moor", "skerry"];

impl Organisation {
    /// Draws the service.
    pub(super) fn draw(request: &Request, dice: &mut Dice) -> Self {
        let usual = (f64::from(request.items).sqrt() / 3.2).clamp(6.0, 400.0) as usize;
        let wearing = request.units.map_or(usual, usize::from);
        let stores = if wearing > 40 { 4 } else { 2 };
        let mut units = vec![support("DEP-01", "Central depot", "depot", None)];
        let store_places: Vec<usize> = (1..=stores).collect();
        for place in &store_places {
            units.push(support(
                &format!("ST-{place:02}"),
                &format!("Stores region {place}"),
                "store",
                Some(0),
            ));
        }
        units.push(support("REP-01", "Mending loft", "repair", Some(0)));
        let first_wearing = units.len();
        let (use_cv, reporting_cv) =
            if request.varied { (dice.between(0.25, 0.5), dice.between(0.25, 0.55)) } else { (0.32, 0.36) };
        let willing = if request.varied { dice.between(0.3, 0.6) } else { 0.45 };
        let uses = spread(dice, wearing, 1.0, use_cv, 2.6);
        let reports = spread(dice, wearing, willing, reporting_cv, 0.95);
        let shares = spread(dice, wearing, 1.0 / wearing as f64, 0.45, 1.0);
        for n in 0..wearing {
            let school = n % 9 == 4;
            let season = if n % 5 < 3 { Season::Hill } else { Season::Coast };
            let place = format!(
                "{}{}",
                FIRST[(n * 7 + n / 20) % FIRST.len()],
                SECOND[(n * 5 + n / 12) % SECOND.len()]
            );
            let (letters, what) = match (school, season) {
                (true, _) => ("SC", "rescue school"),
                (false, Season::Hill) => ("MT", "mountain team"),
                (false, Season::Coast) => ("CB", "coast boat crew"),
            };
            units.push(Unit {
                code: format!("{letters}-{:03}", n + 1),
                name: format!("{place} {what}"),
                kind: if school { "school" } else { "wearing" },
                parent: Some(store_places[n % stores]),
                season,
                use_factor: uses[n],
                reporting: reports[n],
                delay_days: dice.between(5.0, 24.0),
                share: shares[n],
                voice: dice.below(4),
                keeps_use: dice.chance(0.8),
            });
        }
        let all: f64 = units[first_wearing..].iter().map(|unit| unit.share).sum();
        units[first_wearing..].iter_mut().for_each(|unit| unit.share /= all);
        Self { units, stores: store_places, first_wearing, use_cv, reporting_cv }
    }

    /// Places of the units that wear.
    pub(super) fn wearing(&self) -> std::ops::Range<usize> {
        self.first_wearing..self.units.len()
    }

    /// The store that serves a unit.
    pub(super) fn store_of(&self, unit: usize) -> usize {
        self.units[unit].parent.unwrap_or(self.stores[0])
    }

    /// What people of the unit do.
    pub(super) fn work(&self, unit: usize) -> &'static [&'static str] {
        if self.units[unit].season == Season::Hill { HILL_WORK } else { COAST_WORK }
    }

    /// Mean over the fleet of a figure of the units that wear.
    pub(super) fn fleet_mean(&self, figure: impl Fn(&Unit) -> f64) -> f64 {
        self.units[self.first_wearing..].iter().map(|unit| unit.share * figure(unit)).sum()
    }
}

fn support(code: &str, name: &str, kind: Kind, parent: Option<usize>) -> Unit {
    Unit {
        code: code.to_owned(),
        name: name.to_owned(),
        kind,
        parent,
        season: Season::Hill,
        use_factor: 0.0,
        reporting: 0.0,
        delay_days: 10.0,
        share: 0.0,
        voice: 0,
        keeps_use: false,
    }
}
