//! The truth beside the pack: what the analysis of it should have found.

use std::io::Write as _;
use std::path::Path;

use serde_json::{Value, json};

use super::SimulateError;
use super::bench::STRENGTH_BEFORE;
use super::calendar::SEASON;
use super::change::letter;
use super::failures::{FATES, NOTICE_DAYS};
use super::labels;
use super::logistics::RETURNED;
use super::masses::Mass;
use super::reporting::{IRRELEVANT, NOT_CHARGEABLE, UNSORTED, UNSORTED_RECENT};
use super::tally::report_ref;
use super::world::World;

impl World {
    /// Writes the truth.
    pub(super) fn write_truth(&self, path: &Path, weighed: &[Mass]) -> Result<(), SimulateError> {
        let truth = json!({
            "about": "Everything here is invented: service, units, makers, items, people, rates.",
            "reads": {
                "holdings": "unit (null: returned and not issued again), lot, items really there, items on record",
                "inspections": "found counts items at the unit that have shown the mode since issue, mended or not, reported or not",
                "modes": "failures are items, found on receipt left out; failures_reported are items reported unasked; reports are rows of the pack; in_the_post are reports found unasked in service by the last day that come after it",
                "next_12_months": "what happens to items in service on the last day, with returns and no issues; reports are occasions reported unasked",
                "bad_lots": "holders: unit, lot of the items, items in service there on the last day that contain it; expected reports are of items reported unasked up to the last day, given where the items really were",
            },
            "seed": self.request.seed,
            "start": self.calendar.start().to_string(),
            "records_from": self.calendar.date((self.request.unrecorded_years * super::calendar::YEAR).round() as i32),
            "end": self.calendar.date(self.calendar.end),
            "parameters": self.parameters(),
            "units": self.true_units(),
            "modes": self.true_modes(),
            "bad_lots": self.true_bad_lots(),
            "change": self.true_change(),
            "masses": weighed.iter().map(|mass| json!({
                "part_no": self.products.parts[mass.part].no, "revision": letter(mass.revision), "size": mass.size,
                "mass_g": mass.grams, "weighed": mass.weighed.len(),
            })).collect::<Vec<_>>(),
            "doubles": self.tally.doubles.iter().map(|pair| json!([report_ref(pair.0), report_ref(pair.1)])).collect::<Vec<_>>(),
            "labels": self.tally.labels.iter().map(|label| json!([report_ref(label.0), self.lot_no(label.1)])).collect::<Vec<_>>(),
            "unsorted": self.tally.unsorted.iter().map(|&(number, hazard)| {
                let mode = &self.products.hazards[usize::from(hazard)];
                json!([report_ref(number), self.products.parts[mode.part].no, mode.mode])
            }).collect::<Vec<_>>(),
            "holdings": self.tally.holdings.iter().map(|&(unit, lot, held, booked)| {
                json!([unit.map(|unit| self.organisation.units[unit].code.clone()), self.lot_no(lot), held, booked])
            }).collect::<Vec<_>>(),
            "reports": self.tally.reports,
            "in_the_post": self.tally.in_the_post,
        });
        let name = "the truth file";
        let file = std::fs::File::create(path).map_err(|error| SimulateError::file(name, error))?;
        let mut file = std::io::BufWriter::new(file);
        serde_json::to_writer(&mut file, &truth).map_err(|error| SimulateError::file(name, error.into()))?;
        file.write_all(b"\n").and_then(|()| file.flush()).map_err(|error| SimulateError::file(name, error))
    }

    fn lot_no(&self, lot: u32) -> &str {
        &self.lots.list[lot as usize].no
    }

    fn parameters(&self) -> Value {
        let bad_labels = [0, 730, 1826].map(|days| labels::bad_share(self.request.bad_labels, days));
        let kinds = labels::BAD;
        json!({
            "years": self.request.years, "items": self.request.items, "varied": self.request.varied,
            "life_law": "expected failures by age t of an item: factor x (t / scale)^shape, t in years of mean use (1 year at a unit with use_factor 1)",
            "season_amplitude": SEASON,
            "use_cv": self.organisation.use_cv, "reporting_cv": self.organisation.reporting_cv,
            "bad_labels": self.request.bad_labels, "bad_label_kinds": {"unreadable": kinds[0], "absent": kinds[1], "not_looked": kinds[2], "mistyped": kinds[3]},
            "bad_labels_by_years_0_2_5": bad_labels,
            "doubles": self.request.doubles, "irrelevant": IRRELEVANT, "not_chargeable": NOT_CHARGEABLE,
            "unsorted": UNSORTED, "unsorted_recent": UNSORTED_RECENT, "returned_per_year": RETURNED, "notice_days": NOTICE_DAYS,
            "fates": FATES.iter().map(|fate| (fate.0.to_owned(), json!(fate.1))).collect::<serde_json::Map<_, _>>(),
            "fates_that_leave_scaled_by": self.grain.leaving,
            "books": {"period_days": self.grain.period, "mean_batch": self.grain.batch},
        })
    }

    fn true_units(&self) -> Vec<Value> {
        self.organisation.wearing().map(|unit| {
            let unit = &self.organisation.units[unit];
            json!({"unit": unit.code, "use_factor": unit.use_factor, "reporting_fraction": unit.reporting, "mean_delay_days": unit.delay_days,
                "season": if unit.season == super::calendar::Season::Hill { "winter" } else { "summer" }})
        }).collect()
    }

    fn true_modes(&self) -> Vec<Value> {
        self.products.hazards.iter().zip(&self.tally.modes).map(|(hazard, tally)| {
            let life = (hazard.weight > 0.0).then(|| json!({"shape": hazard.shape, "scale_years": hazard.scale}));
            json!({
                "part_no": self.products.parts[hazard.part].no, "mode": hazard.mode, "life": life, "on_receipt_probability": hazard.arrival,
                "items": self.products.items_with(hazard.part).map(|p| self.products.items[p].design.no).collect::<Vec<_>>(),
                "failures": tally.failures, "failures_reported": tally.reported,
                "reporting_fraction": (tally.failures > 0).then(|| tally.reported as f64 / tally.failures as f64),
                "on_receipt_failures": tally.on_receipt, "reports": tally.reports, "reports_prompted": tally.prompted, "reports_doubled": tally.doubles, "in_the_post": tally.in_the_post,
                "next_12_months": {"failures": tally.coming_failures, "reports": tally.coming_reports},
            })
        }).collect()
    }

    fn true_bad_lots(&self) -> Vec<Value> {
        self.bad.iter().enumerate().map(|(place, bad)| {
            let (hazard, tally) = (&self.products.hazards[bad.hazard], &self.tally.bad[place]);
            let lot = &self.lots.list[bad.lot as usize];
            let into = self.lots.list.iter().filter(|lot| lot.bad[place] > 0.0);
            let notice = self.notices[place].as_ref();
            json!({
                "lot_no": lot.no, "part_no": super::lots::Lots::part_no(&self.products, lot).0,
                "failed_part_no": self.products.parts[hazard.part].no, "mode": hazard.mode, "factor": bad.factor,
                "item_lots": into.map(|lot| json!({"lot_no": lot.no, "share": lot.bad[place]})).collect::<Vec<_>>(),
                "items": tally.items, "expected_reports_if_good": tally.expected_base, "expected_excess_reports": tally.expected_excess,
                "reports": tally.reports,
                "holders": tally.holders.iter().map(|&(unit, lot, items)| {
                    json!([self.organisation.units[unit].code, self.lot_no(lot), items])
                }).collect::<Vec<_>>(),
                "notice_no": notice.map(|n| n.0.clone()), "notice_on": notice.map(|n| self.calendar.date(n.1)),
            })
        }).collect()
    }

    fn true_change(&self) -> Value {
        let change = &self.change;
        let lots = |wanted: &dyn Fn(&super::lots::Lot) -> bool| {
            self.lots
                .list
                .iter()
                .filter(|lot| {
                    matches!(lot.made, super::lots::Made::Item(_)) && lot.quantity > 0 && wanted(lot)
                })
                .map(|lot| lot.no.clone())
                .collect::<Vec<_>>()
        };
        json!({
            "change_no": change.no, "item_part_no": self.products.items[change.product].design.no,
            "part_no": self.products.parts[change.part].no, "mode": self.products.hazards[change.hazard].mode, "ratio": change.ratio,
            "cut_in": change.cut_in.map(|day| self.calendar.date(day)),
            "new_lots": lots(&|lot| lot.share_new >= 1.0 && lot.arrives.is_some() && lot.purpose == "production"),
            "pilot_lots": lots(&|lot| lot.purpose == "pilot"),
            "mixed_lots": lots(&|lot| lot.share_new > 0.0 && lot.share_new < 1.0),
            "converted_lots": lots(&|lot| lot.share_new >= 1.0 && lot.arrives.is_none()),
            "strength_before_n": STRENGTH_BEFORE, "strength_after_n": self.strength_after(),
        })
    }
}
