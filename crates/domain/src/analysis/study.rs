//! A field under study: its analysis, kept so that a few reports more change only what hangs on them.
//!
//! What hangs on no report (the ledger, the labels) is folded once. What hangs on the reports of one part and mode is
//! kept by itself. What holds all of them against each other (flags, the watch, the order) is worked out anew each time.

mod take_in;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use chrono::NaiveDate;
use rayon::prelude::*;

use super::benefit::{change_result, proof_by};
use super::concentration::Concentration;
use super::drawn::drawn;
use super::flags::{explain_flags, flag};
use super::ground::Ground;
use super::levels::Levels;
use super::order_check::{check_order, newest_first};
use super::outlook::PartOutlook;
use super::part_exposure::PartExposure;
use super::proof::Proof;
use super::recurrences::{Books, Found, Recurrence, Recurrences, found, is_recurrence};
use super::reporting::{AtUnit, Reporting, at_units, of_all};
use super::seen::{Key, Seen};
use super::service::Service;
use super::telling::telling;
use super::to_come::Arrivals;
use super::unit_ratios::{Served, UnitRatios};
use super::warnings::{general, particular};
use super::watch::{Delays, Segments, watch};
use super::wear::PartWear;
use super::window::Window;
use super::{Analysis, ChangeResult};
use crate::field::{ChangeFacts, ChangeId, Field, ModeId, PartId};

/// A field with its analysis on a date. A copy shares what doesn't change.
#[derive(Clone)]
pub struct Study {
    field: Field,
    ground: Arc<Ground>,
    seen: Seen,
    window: Window,
    served: Arc<Served>,
    unit_ratios: UnitRatios,
    parts: BTreeMap<Key, Arc<OfMode>>,
    /// Whose reports have changed since they were worked out.
    stale: BTreeSet<Key>,
    /// Warnings of recurrences and changes.
    particular: Vec<String>,
    analysis: Arc<Analysis>,
}

/// What the reports of one part and mode give by themselves.
#[derive(Default)]
struct OfMode {
    at_units: Vec<AtUnit>,
    found: Option<Found>,
}

impl Study {
    /// Analyses a field on a date.
    pub fn new(field: Field, as_of: NaiveDate, false_signals_per_year: f64) -> Self {
        let ground = Arc::new(Ground::new(&field, as_of.into()));
        let whole = ground.served(&field, Window::until(ground.as_of));
        let ratios = |served: &Served| UnitRatios::new(&field, served, ground.as_of);
        let (seen, of_whole) = rayon::join(|| Seen::new(&field, &ground), || ratios(&whole));
        let window = ground.window(&seen.arrived);
        let served = ground.served(&field, window);
        // Reports mostly begin with service: then nothing is to be counted again.
        let unit_ratios = if Arc::ptr_eq(&served, &whole) { of_whole } else { ratios(&served) };
        let mut study = Self {
            analysis: Arc::new(Analysis {
                as_of,
                reports_begin: None,
                counts: seen.counts,
                false_signals_per_year,
                recurrences: Recurrences::default(),
                changes: Vec::new(),
                reporting: Reporting::default(),
                warnings: Vec::new(),
                ledger: Arc::clone(&ground.ledger),
            }),
            unit_ratios,
            served,
            field,
            ground,
            seen,
            window,
            parts: BTreeMap::new(),
            stale: BTreeSet::new(),
            particular: Vec::new(),
        };
        study.work_out(study.all(), false);
        study
    }

    /// The field.
    pub fn field(&self) -> &Field {
        &self.field
    }

    /// What it says.
    pub fn analysis(&self) -> &Arc<Analysis> {
        &self.analysis
    }

    /// What it says, when nothing else of it is wanted any more.
    pub fn into_analysis(self) -> Arc<Analysis> {
        self.analysis
    }

    /// Whether reports were taken in that some figures don't know yet. One that isn't sorted counts only where it moves the
    /// days that figures are of.
    pub fn is_behind(&self) -> bool {
        !self.stale.is_empty() || self.ground.window(&self.seen.arrived) != self.window
    }

    /// Works out anew what hangs on the reports taken in since the last time.
    pub fn catch_up(&mut self) {
        let window = self.ground.window(&self.seen.arrived);
        if window.from != self.window.from {
            self.served = self.ground.served(&self.field, window);
        }
        let unit_ratios = UnitRatios::new(&self.field, &self.served, self.ground.as_of);
        let is_same = window == self.window && unit_ratios == self.unit_ratios;
        let mut stale = std::mem::take(&mut self.stale);
        if !is_same {
            // What has lost its last report is of none of these by its reports, and must go.
            stale.extend(self.all());
            stale.extend(self.parts.keys());
        }
        (self.window, self.unit_ratios) = (window, unit_ratios);
        self.work_out(stale, is_same);
    }

    /// Everything there is to work out.
    fn all(&self) -> BTreeSet<Key> {
        self.seen.keys().chain(self.ground.inspected()).collect()
    }

    /// Works out some parts and modes, and what hangs on them; the rest holds where all are held against the same.
    fn work_out(&mut self, stale: BTreeSet<Key>, is_same: bool) {
        let keys: Vec<Key> = stale.into_iter().collect();
        let by_part: Vec<&[Key]> = keys.chunk_by(|a, b| a.0 == b.0).collect();
        let worked: Vec<(Key, OfMode)> = by_part
            .par_iter()
            .flat_map_iter(|keys| {
                let modes: Vec<ModeId> = keys.iter().map(|key| key.1).collect();
                self.of_part(keys[0].0, &modes)
            })
            .collect();
        self.parts.extend(worked.into_iter().map(|(key, of_mode)| (key, Arc::new(of_mode))));
        let parts: BTreeSet<PartId> = keys.iter().map(|key| key.0).collect();
        self.put_together(is_same.then_some(&parts));
    }

    /// Works out some modes of one part.
    fn of_part(&self, part: PartId, modes: &[ModeId]) -> Vec<(Key, OfMode)> {
        let Self { field, ground, seen, window, .. } = self;
        let recurs = |mode: ModeId| is_recurrence(field, seen.of_mode(part, mode));
        let any_recurs = modes.iter().any(|&mode| recurs(mode));
        let any_looked = modes.iter().any(|&mode| !ground.inspections_of(part, mode).is_empty());
        if !any_recurs && !any_looked {
            return modes.iter().map(|&mode| ((part, mode), OfMode::default())).collect();
        }
        let service = Service::new(field, ground, part);
        let at_units = |mode| at_units(field, seen, &service, ground.inspections_of(part, mode));
        if !any_recurs {
            let of_mode = |mode| OfMode { at_units: at_units(mode), found: None };
            return modes.iter().map(|&mode| ((part, mode), of_mode(mode))).collect();
        }
        let ((exposure, levels, segments), (outlook, wear)) = rayon::join(
            || {
                let mut segments = Vec::new();
                let told = |segment| segments.push(segment);
                let exposure = PartExposure::with_segments(field, &ground.ledger, (part, *window), told);
                let levels = Levels::new(field, &exposure);
                let segments = Segments::new(segments, &levels, ground.weeks(*window));
                (exposure, levels, segments)
            },
            || {
                let outlook = PartOutlook::new(field, ground, (part, &service), *window);
                (outlook, PartWear::new(field, &ground.worn, part))
            },
        );
        let issued = Arc::new(ground.issues.of_part(field, part));
        let books = Books {
            exposure: &exposure,
            levels: &levels,
            segments: &segments,
            outlook: &outlook,
            wear: &wear,
            issued: &issued,
            unit_ratios: &self.unit_ratios,
        };
        let of_mode = |mode| {
            let at_units = at_units(mode);
            let recurs = recurs(mode);
            let found = recurs.then(|| found(field, ground, seen, &books, (part, mode), of_all(&at_units)));
            OfMode { at_units, found }
        };
        modes.par_iter().map(|&mode| ((part, mode), of_mode(mode))).collect()
    }

    /// Holds everything against everything else. Changes to other parts than these bring what they did; `None` where none does.
    fn put_together(&mut self, worked: Option<&BTreeSet<PartId>>) {
        let Self { field, ground, seen, window, .. } = &*self;
        let weeks = &ground.weeks(*window);
        let reporting = Reporting::new(self.parts.values().map(|of_mode| of_mode.at_units.as_slice()));
        let found: Vec<&Found> = self.parts.values().filter_map(|of| of.found.as_ref()).collect();
        let mut recurrences: Vec<Recurrence> = found.iter().map(|one| with_lines(one)).collect();
        let raws: Vec<_> = found.iter().map(|one| &one.raw).collect();
        // Changes first: they are few, and each takes long.
        let (changes, (arrivals, watches)) = rayon::join(
            || self.changes(worked),
            || {
                let delays = Delays::new(field, seen, weeks);
                let allowed = self.analysis.false_signals_per_year;
                (Arrivals::new(field, seen), watch(weeks, &delays, &raws, allowed))
            },
        );
        recurrences.par_chunk_by_mut(|a, b| a.part == b.part).for_each(|of_part| {
            let drawn = drawn(field, seen, of_part[0].part);
            for recurrence in of_part {
                recurrence.drawn = drawn;
            }
        });
        recurrences.par_iter_mut().zip(watches).for_each(|(recurrence, watch)| {
            recurrence.first_signal_on = watch.signals.first().map(|signal| signal.first_on);
            recurrence.watch = watch;
            recurrence.to_come = arrivals.to_come(field, &recurrence.report_ids);
        });
        flag(&found, &mut recurrences);
        let with_flags = found.iter().zip(&recurrences).filter(|(_, one)| one.lots.iter().any(|l| l.flagged));
        let with_flags: Vec<&Found> = with_flags.map(|(found, _)| *found).collect();
        let reports = (seen, &self.unit_ratios, *window);
        rayon::join(
            || explain_flags(field, &ground.ledger, reports, &found, &mut recurrences),
            || newest_first(field, ground, reports, &with_flags),
        );
        check_order(&found, &mut recurrences);
        let recurrences = Recurrences::new(recurrences);
        self.particular = particular(field, &recurrences, &changes);
        self.analysis = Arc::new(Analysis {
            as_of: self.analysis.as_of,
            reports_begin: self.window.without_records.map(|_| self.window.from),
            counts: self.seen.counts,
            false_signals_per_year: self.analysis.false_signals_per_year,
            recurrences,
            changes,
            reporting,
            warnings: self.warnings(),
            ledger: Arc::clone(&self.ground.ledger),
        });
    }

    /// What every change brings; those to other parts than were worked out bring what they did.
    fn changes(&self, worked: Option<&BTreeSet<PartId>>) -> Vec<ChangeResult> {
        let Self { field, ground, seen, window, .. } = self;
        let result = |(at, (id, change)): (usize, (ChangeId, &ChangeFacts))| {
            let is_known = worked.is_some_and(|parts| !parts.contains(&change.part));
            if let Some(known) = self.analysis.changes.get(at).filter(|_| is_known) {
                return known.clone();
            }
            let mut result = change_result(field, &ground.ledger, (seen, *window), id, change);
            let again = || proof_by(field, &ground.newest_first, (seen, *window), change);
            let holds = |proof: Proof| again().is_some_and(|again| again.verdict == proof.verdict);
            let (holds_newest_first, telling) = rayon::join(
                || result.proof.map(holds),
                || telling(field, ground, (seen, *window), change, &result),
            );
            (result.holds_newest_first, result.telling) = (holds_newest_first, telling);
            result
        };
        let changes: Vec<_> = field.changes.iter().enumerate().collect();
        changes.into_par_iter().map(result).collect()
    }

    fn warnings(&self) -> Vec<String> {
        let Self { field, ground, seen, window, particular, .. } = self;
        let general = general(field, ground, seen, *window);
        general.into_iter().chain(particular.iter().cloned()).collect()
    }
}

/// A recurrence with its item lots among what it is concentrated on.
fn with_lines(found: &Found) -> Recurrence {
    let mut recurrence = found.recurrence.clone();
    if let Some(concentrations) = &mut recurrence.concentrations {
        let lines = recurrence.lots.iter();
        concentrations.extend(lines.filter_map(|line| Concentration::of_line(line, found.read)));
    }
    recurrence
}

impl std::fmt::Debug for Study {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Study")
            .field("counts", &self.seen.counts)
            .field("stale", &self.stale)
            .finish_non_exhaustive()
    }
}
