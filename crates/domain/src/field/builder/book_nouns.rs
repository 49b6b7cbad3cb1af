//! Builder methods for what happens in the field: serials, movements, events, reports, inspections, use, demand.

use rayon::prelude::*;

use super::{FieldBuilder, day};
use crate::demand::Demand;
use crate::event::Event;
use crate::field::day::Day;
use crate::field::facts::{
    ByDay, DemandFacts, EventFacts, InspectionFacts, MovementFacts, ReportFacts, SerialFacts, Stock, UseFacts,
};
use crate::field::ids::{LotId, ReportId};
use crate::field::lot_keys::Found;
use crate::inspection::Inspection;
use crate::movement::Movement;
use crate::report::Report;
use crate::serial::Serial;
use crate::sketch::Sketch;
use crate::use_pattern::UsePattern;
use crate::words::Problem;

impl FieldBuilder {
    /// Adds a use pattern.
    ///
    /// # Errors
    /// The unit is not known.
    pub fn use_pattern(&mut self, pattern: &UsePattern) -> Result<(), Problem> {
        let unit = self.find_unit("unit", &pattern.unit)?;
        let activity = pattern.activity.as_deref().map(|a| self.field.activities.intern(a));
        self.field.use_patterns.push(UseFacts {
            unit,
            from: pattern.from.into(),
            to: day(pattern.to),
            activity,
            wear_hours_per_item_month: pattern.wear_hours_per_item_month,
        });
        Ok(())
    }

    /// Adds where a serial was.
    ///
    /// # Errors
    /// The lot or unit is not known.
    pub fn serial(&mut self, serial: &Serial) -> Result<(), Problem> {
        let lot = self.find_lot("lot_no", &serial.lot_no, None)?;
        let unit = serial.unit.as_deref().map(|u| self.find_unit("unit", u)).transpose()?;
        let (from, to) = (day(serial.from), day(serial.to));
        let serial = self.field.serial_names.intern(&serial.serial);
        self.field.serials.push(SerialFacts { serial, lot, unit, from, to });
        Ok(())
    }

    /// Adds a line of the ledger.
    ///
    /// # Errors
    /// A lot, part or unit is not known; neither lot nor part is named.
    pub fn movement(&mut self, movement: &Movement) -> Result<(), Problem> {
        let unit = self.find_unit("unit", &movement.unit)?;
        let stock = match (&movement.lot_no, &movement.part_no) {
            (Some(lot_no), _) => Stock::Lot(self.find_lot("lot_no", lot_no, None)?),
            (None, Some(part_no)) => {
                let part = self.find_part("part_no", part_no)?;
                Stock::Unknown(part, self.size(movement.size.as_deref()))
            }
            (None, None) => return Err(Problem::new("lot_no", "expected a lot, or a part_no")),
        };
        let to_unit = movement.to_unit.as_deref().map(|u| self.find_unit("to_unit", u)).transpose()?;
        let to_lot = self.find_optional_lot("to_lot_no", movement.to_lot_no.as_deref())?;
        if let Some(to_lot) = to_lot {
            self.conversion(stock, to_lot, movement.moved_on.into(), movement.quantity);
        }
        self.field.movements.push(MovementFacts {
            day: movement.moved_on.into(),
            kind: movement.kind,
            stock,
            unit,
            quantity: movement.quantity,
            to_unit,
            to_lot,
            condition: movement.condition,
            reason: movement.reason,
        });
        Ok(())
    }

    /// Remembers at both lots that items of one became the other, and when: who asks for an earlier day must not see it.
    fn conversion(&mut self, from: Stock, to: LotId, on: Day, quantity: u32) {
        let from = match from {
            Stock::Lot(from) => Some(from),
            Stock::Unknown(..) => None,
        };
        if from == Some(to) || quantity == 0 {
            return;
        }
        let lots = &mut self.field.lots;
        add_to(&mut lots[to].converted_from, from, on, quantity);
        if let Some(from) = from {
            add_to(&mut lots[from].converted_into, to, on, quantity);
        }
    }

    /// Adds an event.
    ///
    /// # Errors
    /// A unit, serial, lot or part is not known.
    pub fn event(&mut self, event: &Event) -> Result<(), Problem> {
        let unit = self.find_unit("unit", &event.unit)?;
        let serial = event
            .serial
            .as_deref()
            .map(|s| self.field.serial_names.find(s).ok_or_else(|| super::nothing("serial", "serial", s)))
            .transpose()?;
        let facts = EventFacts {
            day: event.happened_on.into(),
            unit,
            serial,
            lot: self.find_optional_lot("lot_no", event.lot_no.as_deref())?,
            quantity: event.quantity,
            kind: event.kind,
            part: event.part_no.as_deref().map(|p| self.find_part("part_no", p)).transpose()?,
            new_lot: self.find_optional_lot("new_lot_no", event.new_lot_no.as_deref())?,
        };
        self.field.events.push(facts);
        Ok(())
    }

    /// Adds spare parts drawn.
    ///
    /// # Errors
    /// The part is not known.
    pub fn demand(&mut self, demand: &Demand) -> Result<(), Problem> {
        let part = self.find_part("part_no", &demand.part_no)?;
        let quantity_drawn = demand.quantity_drawn;
        self.field.demand.push(DemandFacts { month: demand.month.into(), part, quantity_drawn });
        Ok(())
    }

    /// Adds an inspection.
    ///
    /// # Errors
    /// A unit, lot, part or mode is not known.
    pub fn inspection(&mut self, inspection: &Inspection) -> Result<(), Problem> {
        let facts = InspectionFacts {
            day: inspection.inspected_on.into(),
            unit: self.find_unit("unit", &inspection.unit)?,
            lot: self.find_optional_lot("lot_no", inspection.lot_no.as_deref())?,
            part: self.find_part("part_no", &inspection.part_no)?,
            mode: self.find_mode("mode", &inspection.mode)?,
            inspected: inspection.inspected,
            found: inspection.found,
            notice: inspection.notice_no.as_deref().map(|n| self.field.texts.intern(n)),
        };
        self.field.inspections.push(facts);
        Ok(())
    }

    /// Adds a report; its lot is resolved from the label later.
    ///
    /// # Errors
    /// A unit, item, part or mode is not known.
    pub fn report(&mut self, report: &Report) -> Result<(), Problem> {
        self.add_report(report, None, sketch_of(report))
    }

    /// Adds reports in their order; those behind one that is refused are not added.
    ///
    /// # Errors
    /// As for [`FieldBuilder::report`].
    pub fn reports(&mut self, reports: &[Report]) -> Result<(), Problem> {
        // Taking words apart is half the work, and hangs on nothing else.
        let sketches: Vec<Sketch> = reports.par_iter().map(sketch_of).collect();
        reports.iter().zip(sketches).try_for_each(|(report, words)| self.add_report(report, None, words))
    }

    /// Adds a report as it stands in the books. A lot that a person chose when sorting stands where the label's text was: it
    /// overrules the label, and what was sent beside it.
    ///
    /// # Errors
    /// As for [`FieldBuilder::report`].
    pub fn handled_report(&mut self, report: &Report, lot_is_chosen: bool) -> Result<(), Problem> {
        let lot_chosen = if lot_is_chosen { self.chosen_lot(report) } else { None };
        self.add_report(report, lot_chosen, sketch_of(report))
    }

    /// Puts a report in the place of what was known of it; `lot_is_chosen` as for [`FieldBuilder::handled_report`].
    ///
    /// # Errors
    /// As for [`FieldBuilder::report`]; nothing is replaced then.
    pub fn replace_report(
        &mut self,
        id: ReportId,
        report: &Report,
        lot_is_chosen: bool,
    ) -> Result<(), Problem> {
        let lot_chosen = if lot_is_chosen { self.chosen_lot(report) } else { None };
        let facts = self.report_facts(report, lot_chosen, sketch_of(report))?;
        self.field.reports.set(id, facts);
        Ok(())
    }

    /// The lot of the item whose number stands in a report; of several makers' lots that of the maker it names. `None` where
    /// that is no one lot: then it is read as a label.
    fn chosen_lot(&self, report: &Report) -> Option<LotId> {
        let (field, lot_no) = (&self.field, report.lot_text.as_deref()?);
        let item = field.part_names.find(&report.item_part_no)?;
        let maker = report.maker.as_deref().and_then(|maker| field.makers.find(maker));
        let of_item = |maker| match field.lot_keys.find(lot_no, maker) {
            Found::One(lot) => Some(lot).filter(|&lot| field.part_of_lot(lot) == item),
            Found::Several | Found::Nothing => None,
        };
        of_item(maker).or_else(|| of_item(None))
    }

    fn add_report(
        &mut self,
        report: &Report,
        lot_chosen: Option<LotId>,
        words: Sketch,
    ) -> Result<(), Problem> {
        let facts = self.report_facts(report, lot_chosen, words)?;
        self.field.reports.push(facts);
        self.field.report_refs.push(&report.report_ref);
        Ok(())
    }

    fn report_facts(
        &mut self,
        report: &Report,
        lot_chosen: Option<LotId>,
        words: Sketch,
    ) -> Result<ReportFacts, Problem> {
        let unit = self.find_unit("unit", &report.unit)?;
        let item = self.find_part("item_part_no", &report.item_part_no)?;
        let part = report.part_no.as_deref().map(|p| self.find_part("part_no", p)).transpose()?;
        let mode = report.mode.as_deref().map(|m| self.find_mode("mode", m)).transpose()?;
        let size = self.size(report.size.as_deref());
        let field = &mut self.field;
        Ok(ReportFacts {
            found_on: report.found_on.into(),
            received_on: report.received_on.into(),
            unit,
            item,
            size,
            serial: report.serial.as_deref().map(|s| field.serial_names.intern(s)),
            lot_text: report.lot_text.as_deref().map(|t| field.lot_texts.intern(t)),
            lot_chosen,
            maker: report.maker.as_deref().map(|m| field.makers.intern(m)),
            contract: report.contract_no.as_deref().map(|c| field.texts.intern(c)),
            made_month: day(report.made_month),
            part,
            mode,
            activity: report.activity.as_deref().map(|a| field.activities.intern(a)),
            worn_weeks: report.worn_weeks.map(|w| w as f32),
            prompted_by: report.prompted_by.as_deref().map(|n| field.texts.intern(n)),
            quantity: report.quantity,
            lot_known: report.lot_known,
            found_when: report.found_when,
            altered: report.altered,
            harm: report.harm,
            item_fate: report.item_fate,
            relevant: report.relevant,
            chargeable: report.chargeable,
            words,
        })
    }
}

fn sketch_of(report: &Report) -> Sketch {
    report.narrative.as_deref().map(Sketch::of).unwrap_or_default()
}

/// Adds to what is known of a lot; few lots are ever converted into one.
fn add_to<L: PartialEq>(known: &mut Vec<(L, ByDay)>, lot: L, on: Day, quantity: u32) {
    match known.iter_mut().find(|(known, _)| *known == lot) {
        Some((_, days)) => days.push((on, quantity)),
        None => known.push((lot, vec![(on, quantity)])),
    }
}
