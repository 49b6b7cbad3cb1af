//! A world while it runs: its parts, its days, and what happens on each.

use std::path::Path;

use super::SimulateError;
use super::books::Books;
use super::calendar::Calendar;
use super::change::ChangePlan;
use super::dice::Dice;
use super::fleet::Fleet;
use super::flow::Flow;
use super::lots::Lots;
use super::organisation::Organisation;
use super::product::Products;
use super::prospect::{self, BadLot};
use super::request::Request;
use super::tally::Tally;

/// How far the records have come.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Phase {
    /// Things happen, nobody writes them down.
    Unrecorded,
    /// Everything is written.
    Recorded,
    /// After the end: only counted.
    Beyond,
}

/// A failure to come.
#[derive(Clone, Copy)]
pub(super) struct Event {
    /// The item.
    pub(super) item: u32,
    /// The mode.
    pub(super) hazard: u16,
    /// The stay it was drawn for.
    pub(super) spell: u16,
}

/// How coarsely a large world is booked.
pub(super) struct Grain {
    /// Days between two rounds of issues and returns.
    pub(super) period: i32,
    /// Mean items in a return or transfer.
    pub(super) batch: f64,
    /// What part of the usual share of failed items is booked out of service or renewed.
    pub(super) leaving: f64,
}

/// The world.
pub(super) struct World {
    pub(super) request: Request,
    pub(super) calendar: Calendar,
    pub(super) products: Products,
    pub(super) organisation: Organisation,
    pub(super) change: ChangePlan,
    pub(super) lots: Lots,
    pub(super) bad: Vec<BadLot>,
    pub(super) notices: Vec<Option<(String, i32)>>,
    pub(super) fleet: Fleet,
    pub(super) grain: Grain,
    pub(super) phase: Phase,
    pub(super) today: i32,
    pub(super) queue: Vec<Vec<Event>>,
    pub(super) books: Books,
    pub(super) flow: Flow,
    pub(super) tally: Tally,
    /// Draws of what happens.
    pub(super) dice: Dice,
    /// Draws of what is told about it.
    pub(super) teller: Dice,
    pub(super) sheet: super::life::Sheet,
}

impl World {
    /// Draws a world that has not begun.
    pub(super) fn draw(request: &Request, folder: &Path) -> Result<Self, SimulateError> {
        request.check().map_err(SimulateError::Request)?;
        let too_early = || SimulateError::Request("--end-date: too early for so many years".to_owned());
        let calendar = Calendar::new(request.end_date, request.years).ok_or_else(too_early)?;
        let mut dice = Dice::new(request.seed, 1);
        let mut products = Products::draw(request, &mut dice)?;
        let organisation = Organisation::draw(request, &mut dice);
        let change = ChangePlan::draw(request, &calendar, &mut products, &mut dice)?;
        let mut lots = Lots::plan(request, &calendar, &products, &organisation, &change, &mut dice);
        prospect::scale_lives(request, &calendar, &organisation, &mut products, &lots, &change);
        let bad =
            prospect::choose_bad(request, &calendar, &organisation, &products, &mut lots, &change, &mut dice);
        let grain = grain(request, &calendar, &products, &organisation);
        let last = calendar.last as usize;
        Ok(Self {
            request: request.clone(),
            fleet: Fleet::new(organisation.units.len(), products.sizes.len()),
            books: Books::create(folder)?,
            flow: Flow::new(products.sizes.len(), &lots),
            tally: Tally::new(products.hazards.len(), bad.len()),
            notices: vec![None; bad.len()],
            phase: if request.unrecorded_years > 0.0 { Phase::Unrecorded } else { Phase::Recorded },
            today: 0,
            queue: (0..=last).map(|_| Vec::new()).collect(),
            dice: Dice::new(request.seed, 2),
            teller: Dice::new(request.seed, 3),
            sheet: super::life::Sheet::default(),
            calendar,
            products,
            organisation,
            change,
            lots,
            bad,
            grain,
        })
    }

    /// Lets the world run to its end and a year beyond.
    pub(super) fn run(&mut self) -> Result<(), SimulateError> {
        let opens = (self.request.unrecorded_years * super::calendar::YEAR).round() as i32;
        for day in 0..=self.calendar.last {
            self.today = day;
            if day == opens && self.phase == Phase::Unrecorded {
                self.phase = Phase::Recorded;
                self.open_books()?;
            }
            if day > self.calendar.end && self.phase == Phase::Recorded {
                self.close_books()?;
                self.phase = Phase::Beyond;
            }
            if self.phase != Phase::Beyond {
                self.deliver()?;
            }
            if day % self.grain.period == 0 {
                self.round()?;
            }
            if self.phase != Phase::Beyond {
                self.inspect()?;
            }
            for event in std::mem::take(&mut self.queue[day as usize]) {
                self.happen(event)?;
            }
        }
        Ok(())
    }

    /// Whether rows are written.
    pub(super) fn is_recorded(&self) -> bool {
        self.phase == Phase::Recorded
    }
}

fn grain(request: &Request, calendar: &Calendar, products: &Products, organisation: &Organisation) -> Grain {
    let items = f64::from(request.items);
    let Some(movements) = request.movements.map(f64::from) else {
        return Grain { period: 14, batch: 1.0, leaving: 1.0 };
    };
    let flows = items * (1.3 + 0.1 * request.years);
    let cells = (organisation.wearing().len() * products.sizes.len()) as f64;
    let reports = request.reports.map_or(items * 0.075, f64::from);
    Grain {
        period: (f64::from(calendar.end) * cells / (0.35 * movements)).clamp(14.0, 120.0) as i32,
        batch: (2.6 * flows / movements).max(1.0),
        leaving: (0.2 * movements / (0.6 * reports)).min(1.0),
    }
}
