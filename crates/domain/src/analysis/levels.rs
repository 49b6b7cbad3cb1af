//! The levels of every factor among the items that contain a part, with their exposure by revision and age.

use std::collections::BTreeMap;
use std::ops::Range;

use rustc_hash::FxHashMap;

use super::ageing::log_of_mean;
use super::factor::FactorLevel;
use super::part_exposure::{Bands, Cell, PartExposure, by_age};
use super::upstream::Upstream;
use crate::field::{Field, Id as _, LotId, PartId, RevisionId, UnitId};
use crate::ledger::{OwnPart, contents};

/// A stratum's place: the items among which lots are compared. They are of one item and have the failed part in one
/// revision; where the item has several, or the part is the item itself, they are of one item revision.
pub(super) type Stratum = usize;

/// An item lot with exposure, or those of its items that were given another part.
#[derive(Clone, Copy, Debug)]
pub(super) struct LotRow {
    pub(super) lot: LotId,
    /// Which one of the failed part they have.
    pub(super) part: OwnPart,
    pub(super) stratum: Stratum,
    pub(super) years: Bands,
    /// Logarithm of the mean age in years in each band that has exposure.
    pub(super) log_ages: Bands,
}

/// One level and the item lots in it, each with the share of its items that belongs.
#[derive(Clone, Debug)]
pub(super) struct Level {
    pub(super) of: FactorLevel,
    pub(super) members: Vec<(usize, f64)>,
    /// Exposure by stratum.
    pub(super) years: Vec<(Stratum, Bands)>,
}

/// The levels of one part's items.
pub(super) struct Levels {
    /// Item lots with exposure, by id; those with several parts have a row for each.
    pub(super) lots: Vec<LotRow>,
    /// Logarithms of the mean ages in each cell of these lots, in the order of the exposure's cells.
    pub(super) log_ages: Vec<Bands>,
    /// An item revision of each stratum.
    pub(super) strata: Vec<RevisionId>,
    /// Levels made of lots, by factor and value; units and activities are no such levels.
    pub(super) all: Vec<Level>,
    /// Exposure at each unit by stratum, by unit.
    pub(super) units: Vec<(UnitId, Vec<(Stratum, Bands)>)>,
    /// Upstream parts whose lots are mixed within an item lot: the places of their levels.
    pub(super) mixtures: Vec<Vec<usize>>,
    /// The first place of each lot of the field among `lots`.
    places: Vec<Option<u32>>,
}

impl Levels {
    pub(super) fn new(field: &Field, exposure: &PartExposure<'_>) -> Self {
        let mut of_revision: FxHashMap<RevisionId, Stratum> = FxHashMap::default();
        let mut of_part: FxHashMap<(PartId, RevisionId), Stratum> = FxHashMap::default();
        let mut places = vec![None; field.lots.len()];
        let mut strata = Vec::new();
        let (mut lots, mut log_ages) = (Vec::new(), Vec::new());
        let mut members: BTreeMap<FactorLevel, Vec<(usize, f64)>> = BTreeMap::new();
        let mut units: Vec<Vec<(Stratum, Bands)>> = vec![Vec::new(); field.units.len()];
        let upstream = Upstream::of_part(field, exposure.part);
        for cells in exposure.rows() {
            let (at, Cell { lot, part, .. }) = (lots.len(), cells[0]);
            let facts = &field.lots[lot];
            let stratum = *of_revision.entry(facts.revision).or_insert_with(|| {
                let inside = part_inside(field, exposure.part, facts.revision);
                *of_part.entry((field.revisions[facts.revision].part, inside)).or_insert_with(|| {
                    strata.push(facts.revision);
                    strata.len() - 1
                })
            });
            places[lot.index()] = places[lot.index()].or(u32::try_from(at).ok());
            let (years, mut ages) = (by_age(cells), Bands::default());
            for cell in cells {
                add_bands(&mut units[cell.unit.index()], stratum, &cell.bands, 1.0);
                log_ages.push(log_of_mean(&cell.ages, &cell.bands));
                ages.iter_mut().zip(cell.ages).for_each(|(sum, a)| *sum += a);
            }
            lots.push(LotRow { lot, part, stratum, years, log_ages: log_of_mean(&ages, &years) });
            let mut add = |level, share| members.entry(level).or_default().push((at, share));
            add(FactorLevel::Revision(facts.revision), 1.0);
            facts.maker.into_iter().for_each(|maker| add(FactorLevel::Maker(maker), 1.0));
            facts.size.into_iter().for_each(|size| add(FactorLevel::Size(size), 1.0));
            facts.made_on.into_iter().for_each(|day| add(FactorLevel::MonthMade(day.month()), 1.0));
            let used = match part {
                OwnPart::AsMade => upstream.of_lot(field, lot, exposure.as_of()),
                OwnPart::Of(new_lot) => upstream.with_lot(field, new_lot, exposure.as_of()),
                OwnPart::OfUnknownLot => Vec::new(),
            };
            for (used, share) in used {
                add(FactorLevel::UsedLot(used), share);
            }
        }
        let all: Vec<Level> =
            members.into_iter().map(|(level, members)| Level::new(level, members, &lots)).collect();
        let mixtures = mixtures(field, &all);
        let by_unit = units.into_iter().enumerate().filter(|(_, years)| !years.is_empty());
        let units = by_unit.map(|(at, years)| (UnitId::from_index(at), years)).collect();
        Self { lots, log_ages, strata, all, units, mixtures, places }
    }

    /// The places of a lot, one for each part that its items have.
    pub(super) fn places_of(&self, lot: LotId) -> Range<usize> {
        let first = self.places[lot.index()].map_or(self.lots.len(), |at| at as usize);
        first..first + self.lots[first..].iter().take_while(|row| row.lot == lot).count()
    }

    /// The place of those of a lot's items that have one of the part; the first of the lot where none of them has exposure.
    pub(super) fn find(&self, lot: LotId, part: OwnPart) -> Option<usize> {
        let mut places = self.places_of(lot);
        places.clone().find(|&at| self.lots[at].part == part).or(places.next())
    }

    /// The places of each lot.
    pub(super) fn by_lot(&self) -> impl Iterator<Item = (LotId, Range<usize>)> {
        let mut first = 0;
        self.lots.chunk_by(|a, b| a.lot == b.lot).map(move |rows| {
            let places = first..first + rows.len();
            first = places.end;
            (rows[0].lot, places)
        })
    }

    /// The end item of a stratum.
    pub(super) fn item(&self, field: &Field, stratum: Stratum) -> PartId {
        field.revisions[self.strata[stratum]].part
    }
}

/// The revision of a part in an item revision; that of the item where the part is in it in none or several.
fn part_inside(field: &Field, part: PartId, item: RevisionId) -> RevisionId {
    let inside = contents(field, item);
    let mut of_part = inside.iter().filter(|&&revision| field.revisions[revision].part == part);
    match (of_part.next(), of_part.next()) {
        (Some(&only), None) => only,
        _ => item,
    }
}

impl Level {
    fn new(of: FactorLevel, members: Vec<(usize, f64)>, lots: &[LotRow]) -> Self {
        let mut years = Vec::new();
        for &(at, share) in &members {
            add_bands(&mut years, lots[at].stratum, &lots[at].years, share);
        }
        Self { of, members, years }
    }
}

/// Adds a share of some bands to a stratum's sum.
pub(super) fn add_bands(sums: &mut Vec<(Stratum, Bands)>, stratum: Stratum, bands: &Bands, share: f64) {
    let at = sums.iter().position(|s| s.0 == stratum).unwrap_or_else(|| {
        sums.push((stratum, Bands::default()));
        sums.len() - 1
    });
    for (sum, more) in sums[at].1.iter_mut().zip(bands) {
        *sum += share * more;
    }
}

fn mixtures(field: &Field, all: &[Level]) -> Vec<Vec<usize>> {
    let mut parts: BTreeMap<PartId, Vec<usize>> = BTreeMap::new();
    for (at, level) in all.iter().enumerate() {
        if let FactorLevel::UsedLot(lot) = level.of {
            parts.entry(field.part_of_lot(lot)).or_default().push(at);
        }
    }
    let mixed = |levels: &Vec<usize>| levels.iter().any(|&at| all[at].members.iter().any(|m| m.1 < 1.0));
    parts.into_values().filter(mixed).collect()
}
