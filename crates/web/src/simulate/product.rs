//! The items of one world: the drawn-up designs, with the lives their components really have.

use domain::catalogue::{Catalogue, DefaultSeverity};

use super::SimulateError;
use super::components::COMPONENTS;
use super::design::{Component, END_ITEMS, EndItem, WEAKNESS};
use super::dice::Dice;
use super::request::Request;

/// One mode on one component: its Weibull life in years of mean use, all pieces of an item taken together.
pub(super) struct Hazard {
    /// Place of the component among the world's components.
    pub(super) part: usize,
    /// The mode's code.
    pub(super) mode: &'static str,
    /// Weibull shape.
    pub(super) shape: f64,
    /// Weibull scale in years of mean use; infinite for a fault that is only there on arrival.
    pub(super) scale: f64,
    /// How heavy it is beside the others, before the world is scaled to its number of reports.
    pub(super) weight: f64,
    /// Chance that a new item has it when it is unpacked.
    pub(super) arrival: f64,
    /// How bad it usually is.
    pub(super) severity: DefaultSeverity,
}

impl Hazard {
    /// Expected failures up to an age of `worn` years of mean use.
    pub(super) fn cumulative(&self, worn: f64) -> f64 {
        if worn <= 0.0 { 0.0 } else { (worn / self.scale).powf(self.shape) }
    }

    /// The age at which `expected` failures are reached.
    pub(super) fn age(&self, expected: f64) -> f64 {
        self.scale * expected.powf(1.0 / self.shape)
    }
}

/// An end item of the world.
pub(super) struct Product {
    /// Its design.
    pub(super) design: &'static EndItem,
    /// Share of the fleet, the world's items together 1.
    pub(super) share: f64,
    /// Components by place, with quantity.
    pub(super) pieces: Vec<(usize, u32)>,
    /// Hazards by place.
    pub(super) hazards: Vec<usize>,
    /// Place of its first size among all sizes of the world.
    pub(super) first_size: usize,
}

/// A size of one product.
pub(super) struct Size {
    /// Place of the product.
    pub(super) product: usize,
    /// Its word.
    pub(super) name: &'static str,
    /// Share of the product, 0 to 1.
    pub(super) share: f64,
}

/// All products of a world.
pub(super) struct Products {
    /// Components in use, materials included.
    pub(super) parts: Vec<&'static Component>,
    /// Modes on components.
    pub(super) hazards: Vec<Hazard>,
    /// End items.
    pub(super) items: Vec<Product>,
    /// Sizes of all end items, one after the other.
    pub(super) sizes: Vec<Size>,
}

/// Five years of mean use: the age at which weights are compared.
const REFERENCE_YEARS: f64 = 5.0;

impl Products {
    /// Draws the products of a world; lives are scaled later, when it is known how long things serve.
    pub(super) fn draw(request: &Request, dice: &mut Dice) -> Result<Self, SimulateError> {
        let count = match request.items {
            0..500 => 2,
            _ if request.varied => 2 + dice.below(3),
            _ => 3,
        };
        let designs = &END_ITEMS[..count];
        let used = |part: &Component| designs.iter().any(|d| d.pieces.iter().any(|piece| piece.0 == part.no));
        let parts: Vec<&Component> = COMPONENTS
            .iter()
            .filter(|part| {
                used(part) || COMPONENTS.iter().any(|other| other.material == Some(part.no) && used(other))
            })
            .collect();
        let mut hazards = Vec::new();
        for (place, part) in parts.iter().enumerate() {
            for (mode, shape, weight) in part.wears {
                let (shape, weight) = vary(request, dice, part, mode, *shape, *weight);
                let severity = severity_of(mode)?;
                hazards.push(Hazard {
                    part: place,
                    mode,
                    shape,
                    scale: REFERENCE_YEARS,
                    weight,
                    arrival: 0.0,
                    severity,
                });
            }
            if let Some(mode) = part.arrival {
                let arrival = dice.between(0.001, 0.004);
                let (scale, severity) = (f64::INFINITY, severity_of(mode)?);
                hazards.push(Hazard { part: place, mode, shape: 1.0, scale, weight: 0.0, arrival, severity });
            }
        }
        let (mut products, mut sizes) = (Vec::new(), Vec::new());
        let whole: f64 = designs.iter().map(|d| d.share).sum();
        for (place, design) in designs.iter().enumerate() {
            let pieces: Vec<(usize, u32)> = design
                .pieces
                .iter()
                .filter_map(|piece| Some((parts.iter().position(|part| part.no == piece.0)?, piece.1)))
                .collect();
            let of_piece = |hazard: &Hazard| pieces.iter().any(|piece| piece.0 == hazard.part);
            let mine = hazards.iter().enumerate().filter(|(_, h)| of_piece(h)).map(|(h, _)| h).collect();
            let first_size = sizes.len();
            for (name, share) in design.sizes {
                sizes.push(Size { product: place, name, share: f64::from(*share) / 1000.0 });
            }
            products.push(Product { design, share: design.share / whole, pieces, hazards: mine, first_size });
        }
        Ok(Self { parts, hazards, items: products, sizes })
    }

    /// Sets every life so that, per unit of weight, `scale` of the items fail in five years of mean use.
    pub(super) fn scale_lives(&mut self, scale: f64) {
        for hazard in self.hazards.iter_mut().filter(|hazard| hazard.weight > 0.0) {
            hazard.scale = REFERENCE_YEARS / (hazard.weight * scale).powf(1.0 / hazard.shape);
        }
    }

    /// The place of a component by its number.
    pub(super) fn part(&self, no: &str) -> Option<usize> {
        self.parts.iter().position(|part| part.no == no)
    }

    /// The place of a mode on a component.
    pub(super) fn hazard(&self, part: usize, mode: &str) -> Option<usize> {
        self.hazards.iter().position(|hazard| hazard.part == part && hazard.mode == mode)
    }

    /// Products that contain the component.
    pub(super) fn items_with(&self, part: usize) -> impl Iterator<Item = usize> + '_ {
        (0..self.items.len()).filter(move |&p| self.items[p].pieces.iter().any(|piece| piece.0 == part))
    }
}

/// The design's figures, or in a varied world figures around them; shapes stay between 1 and 3.
fn vary(
    request: &Request,
    dice: &mut Dice,
    part: &Component,
    mode: &str,
    shape: f64,
    weight: f64,
) -> (f64, f64) {
    let (turn, stretch) = (dice.between(-0.6, 0.6), dice.normal());
    if !request.varied {
        return (shape, weight);
    }
    let calmed = if (part.no, mode) == WEAKNESS { weight / 4.0 } else { weight };
    ((shape + turn).clamp(1.0, 3.0), calmed * (0.9 * stretch).exp())
}

fn severity_of(mode: &str) -> Result<DefaultSeverity, SimulateError> {
    let found = Catalogue::shipped().mode(mode).map(|m| m.default_severity);
    found.ok_or_else(|| SimulateError::Design(format!("the catalogue has no mode {mode}")))
}
