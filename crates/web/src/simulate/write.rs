//! The pack's standing files: units, parts, structure, lots, changes and requirements.

use std::path::Path;

use super::SimulateError;
use super::calendar::YEAR;
use super::change::{WAITING, letter};
use super::lots::{Lot, Lots, MAKERS, Made};
use super::masses::{self, Mass};
use super::organisation::MEAN_HOURS;
use super::reporting::contract_no;
use super::table::Table;
use super::world::World;

type Written = Result<(&'static str, u64), SimulateError>;

impl World {
    /// Writes every standing file.
    pub(super) fn write_standing(
        &mut self,
        folder: &Path,
        weighed: &[Mass],
    ) -> Result<Vec<(&'static str, u64)>, SimulateError> {
        let each = self.products.items[self.change.product]
            .pieces
            .iter()
            .find(|p| p.0 == self.change.part)
            .map_or(1, |p| p.1);
        self.lots.close_conversions(each);
        Ok(vec![
            self.write_units(folder)?,
            self.write_use(folder)?,
            self.write_parts(folder)?,
            self.write_sizes(folder)?,
            self.write_structure(folder)?,
            self.write_weighings(folder, weighed)?,
            self.write_lots(folder)?,
            self.write_lot_uses(folder)?,
            self.write_demand(folder)?,
            self.write_requirements(folder, weighed)?,
        ])
    }

    fn write_units(&self, folder: &Path) -> Written {
        let mut table = Table::create(folder, "units.csv", "unit name kind parent_unit contact_email")?;
        for unit in &self.organisation.units {
            let parent = unit.parent.map_or("", |parent| &self.organisation.units[parent].code);
            table.row([unit.code.as_str(), &unit.name, unit.kind, parent, ""])?;
        }
        table.finish()
    }

    fn write_use(&mut self, folder: &Path) -> Written {
        let mut table =
            Table::create(folder, "use.csv", "unit from to activity wear_hours_per_item_month basis")?;
        for unit in self.organisation.wearing().filter(|&unit| self.organisation.units[unit].keeps_use) {
            let is_measured = self.teller.chance(0.5);
            let (basis, scatter) = if is_measured { ("measured", 0.04) } else { ("estimated", 0.15) };
            let mut from = 0;
            while from < self.calendar.end {
                let to = (from + 91).min(self.calendar.end);
                let unit = &self.organisation.units[unit];
                let worn = (self.calendar.worn(unit.season, to) - self.calendar.worn(unit.season, from))
                    * YEAR
                    / f64::from((to - from).max(1));
                let hours = MEAN_HOURS * unit.use_factor * worn * (scatter * self.teller.normal()).exp();
                let activity = if unit.kind == "school" {
                    "course"
                } else if unit.season == super::calendar::Season::Hill {
                    "hill work"
                } else {
                    "coast work"
                };
                table.row([
                    unit.code.as_str(),
                    self.calendar.date(from),
                    self.calendar.date(to - 1),
                    activity,
                    &format!("{hours:.1}"),
                    basis,
                ])?;
                from = to;
            }
        }
        table.finish()
    }

    fn write_parts(&self, folder: &Path) -> Written {
        let mut table = Table::create(
            folder,
            "parts.csv",
            "part_no revision name kind released_on replaces_revision change_no life_years",
        )?;
        let change = &self.change;
        for (place, product) in self.products.items.iter().enumerate() {
            for revision in 0..change.revisions(place) {
                let (from, no) = match revision {
                    0 => (-600, ""),
                    _ if place == change.product => (change.pilot - 20, change.no.as_str()),
                    _ => (change.tidied[revision - 1] - 40, ""),
                };
                let replaces = if revision == 0 { "" } else { letter(revision - 1) };
                let design = product.design;
                table.row([
                    design.no,
                    letter(revision),
                    design.name,
                    "ITEM",
                    self.calendar.date(from),
                    replaces,
                    no,
                    "8",
                ])?;
            }
        }
        let waiting = self.waiting_no();
        for (place, part) in self.products.parts.iter().enumerate() {
            for revision in 0..masses::revisions(&self.products, change, place) {
                let (from, no) = match (revision, place == change.part) {
                    (0, _) => (-640, ""),
                    (_, true) => (change.pilot - 160, change.no.as_str()),
                    (_, false) => (self.calendar.end - 40, waiting.as_str()),
                };
                let replaces = if revision == 0 { "" } else { "A" };
                table.row([
                    part.no,
                    letter(revision),
                    part.name,
                    part.kind,
                    self.calendar.date(from),
                    replaces,
                    no,
                    "",
                ])?;
            }
        }
        table.finish()
    }

    /// The number of the change that still waits.
    pub(super) fn waiting_no(&self) -> String {
        format!("CH-{}-011", self.calendar.year2(self.calendar.end - 40))
    }

    /// Whether the world has the component of the change that still waits.
    pub(super) fn has_waiting(&self) -> bool {
        self.products.part(WAITING.0).is_some_and(|part| part != self.change.part)
    }

    fn write_sizes(&self, folder: &Path) -> Written {
        let mut table = Table::create(folder, "sizes.csv", "part_no size share_per_1000")?;
        for product in &self.products.items {
            for (size, share) in product.design.sizes {
                table.row([product.design.no, size, &share.to_string()])?;
            }
        }
        table.finish()
    }

    fn write_structure(&self, folder: &Path) -> Written {
        let columns = "parent_part_no parent_revision child_part_no child_revision quantity position size configuration";
        let mut table = Table::create(folder, "structure.csv", columns)?;
        for (place, product) in self.products.items.iter().enumerate() {
            for revision in 0..self.change.revisions(place) {
                for &(no, quantity, position, configuration) in product.design.pieces {
                    let is_new = place == self.change.product
                        && revision == 1
                        && self.products.part(no) == Some(self.change.part);
                    let quantity = quantity.to_string();
                    // The frame sheet is listed size by size, as some drawing offices do.
                    let sizes: Vec<&str> = if no == "LP-250" {
                        product.design.sizes.iter().map(|size| size.0).collect()
                    } else {
                        vec![""]
                    };
                    for size in sizes {
                        let child = letter(usize::from(is_new));
                        table.row([
                            product.design.no,
                            letter(revision),
                            no,
                            child,
                            &quantity,
                            position,
                            size,
                            configuration,
                        ])?;
                    }
                }
            }
        }
        table.finish()
    }

    fn write_weighings(&self, folder: &Path, weighed: &[Mass]) -> Written {
        let mut table = Table::create(folder, "weighings.csv", "part_no revision size specimen mass_g")?;
        for mass in weighed {
            for (n, grams) in mass.weighed.iter().enumerate() {
                let specimen = (n + 1).to_string();
                table.row([
                    self.products.parts[mass.part].no,
                    letter(mass.revision),
                    mass.size,
                    &specimen,
                    &format!("{grams:.1}"),
                ])?;
            }
        }
        table.finish()
    }

    /// Lots that were really made: a conversion lot into which nothing was converted was not.
    fn real_lots(&self) -> impl Iterator<Item = &Lot> {
        self.lots.list.iter().filter(|lot| lot.quantity > 0)
    }

    fn write_lots(&self, folder: &Path) -> Written {
        let columns = "lot_no part_no revision size made_on quantity maker contract_no stock_no purpose";
        let mut table = Table::create(folder, "lots.csv", columns)?;
        for lot in self.real_lots() {
            let (part_no, revision) = Lots::part_no(&self.products, lot);
            let (size, stock_no) = match lot.made {
                Made::Item(size) => {
                    (self.products.sizes[size].name, format!("{part_no}/{}", self.products.sizes[size].name))
                }
                Made::Part(_) => ("", String::new()),
            };
            table.row([
                lot.no.as_str(),
                part_no,
                revision,
                size,
                self.calendar.date(lot.made_on),
                &lot.quantity.to_string(),
                MAKERS[lot.maker].0,
                &contract_no(&self.calendar, lot.maker, lot.made_on),
                &stock_no,
                lot.purpose,
            ])?;
        }
        table.finish()
    }

    fn write_lot_uses(&self, folder: &Path) -> Written {
        let mut table = Table::create(folder, "lot_uses.csv", "lot_no used_lot_no quantity")?;
        for lot in self.real_lots() {
            for &(used, pieces) in &lot.uses {
                table.row([lot.no.as_str(), &self.lots.list[used as usize].no, &pieces.to_string()])?;
            }
        }
        table.finish()
    }

    fn write_demand(&mut self, folder: &Path) -> Written {
        let mut table = Table::create(folder, "demand.csv", "month part_no quantity_drawn")?;
        for ((month, part), quantity) in &self.tally.demand {
            // Some are drawn for the shelf.
            let drawn = quantity + self.teller.poisson(0.2 * f64::from(*quantity));
            table.row([month.as_str(), self.products.parts[*part].no, &drawn.to_string()])?;
        }
        table.finish()
    }

    fn write_requirements(&self, folder: &Path, weighed: &[Mass]) -> Written {
        let columns = "item_part_no requirement_no text measure limit_kind limit configuration size";
        let mut table = Table::create(folder, "requirements.csv", columns)?;
        for (place, product) in self.products.items.iter().enumerate() {
            let (no, middle) = (product.design.no, product.design.sizes[1].0);
            let limit = (masses::whole(&self.products, weighed, place) * 1.02 / 5.0).round() * 5.0;
            let mass = format!("{limit:.0}");
            table.row([
                no,
                "1",
                "Mass in the middle size, full set-up",
                "mass_g",
                "at_most",
                &mass,
                "full",
                middle,
            ])?;
            table.row([
                no,
                "2",
                "Failures of any one mode in service",
                "rate_per_1000_item_years",
                "at_most",
                "12",
                "",
                "",
            ])?;
            table.row([
                no,
                "3",
                "People whom one of the sizes fits",
                "accommodated_percent",
                "at_least",
                "90",
                "",
                "",
            ])?;
            table.row([no, "4", "No sharp edge can touch skin or rope", "other", "", "", "", ""])?;
            if product.pieces.iter().any(|piece| self.products.parts[piece.0].kind == "QRC") {
                table.row([
                    no,
                    "5",
                    "Release with one gloved hand",
                    "release_seconds",
                    "at_most",
                    "3",
                    "",
                    "",
                ])?;
            }
        }
        table.finish()
    }
}
