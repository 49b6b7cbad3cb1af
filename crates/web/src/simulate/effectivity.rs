//! The change as the pack tells it: changes.csv and effectivity.csv.

use std::path::Path;

use super::SimulateError;
use super::change::WAITING;
use super::lots::{Lot, MAKERS};
use super::table::Table;
use super::world::World;

impl World {
    /// Lots of the changed item, in order of making.
    fn lots_of_change(&self) -> Vec<&Lot> {
        let is_item = |place: u32| {
            let lot = &self.lots.list[place as usize];
            matches!(lot.made, super::lots::Made::Item(_)) && self.product_of(place) == self.change.product
        };
        let mut lots: Vec<&Lot> = (0..self.lots.list.len() as u32)
            .filter(|&place| is_item(place))
            .map(|place| &self.lots.list[place as usize])
            .filter(|lot| lot.quantity > 0)
            .collect();
        lots.sort_by_key(|lot| lot.made_on);
        lots
    }

    /// Writes both files.
    pub(super) fn write_changes(&self, folder: &Path) -> Result<Vec<(&'static str, u64)>, SimulateError> {
        let columns = "change_no title part_no from_revision to_revision modes state cut_in_lot cut_in_on";
        let mut changes = Table::create(folder, "changes.csv", columns)?;
        let change = &self.change;
        let (part, mode) = (self.products.parts[change.part], self.products.hazards[change.hazard].mode);
        let lots = self.lots_of_change();
        let first =
            lots.iter().find(|lot| lot.revision == 1 && lot.purpose == "production" && lot.arrives.is_some());
        let (state, cut_in_lot, cut_in_on) = first
            .map_or(("approved", "", ""), |lot| ("cut in", lot.no.as_str(), self.calendar.date(lot.made_on)));
        changes.row([
            &change.no,
            &format!("Hold the {} better", part.name),
            part.no,
            "A",
            "B",
            mode,
            state,
            cut_in_lot,
            cut_in_on,
        ])?;
        if self.has_waiting() {
            changes.row([
                &self.waiting_no(),
                "Heavier thread in the base seam",
                WAITING.0,
                "A",
                "B",
                WAITING.1,
                "submitted",
                "",
                "",
            ])?;
        }
        let mut effectivity = Table::create(
            folder,
            "effectivity.csv",
            "change_no stage maker from_lot to_lot share_new from_date",
        )?;
        for (stage, day) in [("proposed", change.cut_in[0] - 45), ("approved", change.cut_in[0])] {
            effectivity.row([change.no.as_str(), stage, "", "", "", "", self.calendar.date(day)])?;
        }
        if let Some(mixed) = lots.iter().find(|lot| lot.share_new > 0.0 && lot.share_new < 1.0) {
            let share = format!("{:.2}", mixed.share_new);
            let date = self.calendar.date(mixed.made_on);
            effectivity.row([
                &change.no,
                "accomplished",
                MAKERS[mixed.maker].0,
                &mixed.no,
                &mixed.no,
                &share,
                date,
            ])?;
        }
        for (maker, (name, _)) in MAKERS.iter().enumerate() {
            if let Some(lot) =
                lots.iter().find(|lot| lot.maker == maker && lot.revision == 1 && lot.purpose == "production")
            {
                effectivity.row([
                    &change.no,
                    "accomplished",
                    name,
                    &lot.no,
                    "",
                    "1",
                    self.calendar.date(lot.made_on),
                ])?;
            }
        }
        if self.has_waiting() {
            effectivity.row([
                self.waiting_no().as_str(),
                "proposed",
                "",
                "",
                "",
                "",
                self.calendar.date(self.calendar.end + 120),
            ])?;
        }
        Ok(vec![changes.finish()?, effectivity.finish()?])
    }
}
