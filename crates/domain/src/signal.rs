//! Signals of the watch as they were raised: the watch runs over today's books, so that the day of a signal moves and a
//! signal may go as they tell more; what was said on the day stays here.

use std::collections::HashSet;

use chrono::NaiveDate;

use crate::analysis::{Analysis, Recurrence, Signal, Watched};
use crate::field::{Field, LotId};

/// What is watched on its own: a recurrence, or an upstream lot in it.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Series {
    /// The part of the recurrence.
    pub part_no: String,
    /// Its mode.
    pub mode: String,
    /// The upstream lot, as people name it; `None` for all reports of the recurrence.
    pub used_lot: Option<String>,
}

/// A signal that is on, as the books of the day have it.
#[derive(Clone, Debug, PartialEq)]
pub struct RaisedSignal {
    /// What signals.
    pub of: Series,
    /// The day of the look that first raised it, by the books of then.
    pub first_on: NaiveDate,
    /// Weeks of the run that raised it.
    pub weeks: u32,
    /// Reports received in that run.
    pub reports: u64,
    /// Reports expected in it, 0 or more.
    pub expected: f64,
}

impl RaisedSignal {
    /// All signals that are on.
    pub fn on_now(field: &Field, analysis: &Analysis) -> Vec<Self> {
        let of = |r: &Recurrence| {
            let on = r.watch.signals.iter().filter(|signal| signal.on_now);
            on.map(|signal| Self::new(field, r, signal)).collect::<Vec<_>>()
        };
        analysis.recurrences.iter().flat_map(of).collect()
    }

    fn new(field: &Field, r: &Recurrence, signal: &Signal) -> Self {
        let of = Series {
            part_no: field.part_names[r.part].to_owned(),
            mode: field.modes[r.mode].code.to_string(),
            used_lot: match signal.of {
                Watched::Recurrence => None,
                Watched::UsedLot(lot) => Some(name_of(field, lot)),
            },
        };
        let Signal { first_on, weeks, reports, expected, .. } = *signal;
        Self { of, first_on, weeks, reports, expected }
    }
}

/// A lot so that no other can be meant: numbers are a maker's own.
fn name_of(field: &Field, lot: LotId) -> String {
    let facts = &field.lots[lot];
    let part = &field.part_names[field.part_of_lot(lot)];
    let maker = facts.maker.map_or(String::new(), |maker| format!(" of {}", &field.makers[maker]));
    format!("{part} lot {}{maker}", facts.lot_no)
}

/// A signal on record.
#[derive(Clone, Debug, PartialEq)]
pub struct KeptSignal {
    /// The store's number.
    pub number: i64,
    /// As it was raised.
    pub raised: RaisedSignal,
    /// The day on which it was first seen to be on.
    pub raised_on: NaiveDate,
    /// The day on which it was seen to be on no more.
    pub ended_on: Option<NaiveDate>,
}

/// What has come and gone since signals were last looked at.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Turned {
    /// Signals that are on and not on record as such.
    pub raised: Vec<RaisedSignal>,
    /// Numbers of those on record that are on no more.
    pub ended: Vec<i64>,
}

impl Turned {
    /// What differs between the signals on record as on, and those that are on now.
    pub fn between(open: &[KeptSignal], now: &[RaisedSignal]) -> Self {
        let known: HashSet<&Series> = open.iter().map(|kept| &kept.raised.of).collect();
        let on: HashSet<&Series> = now.iter().map(|signal| &signal.of).collect();
        let ended = open.iter().filter(|kept| !on.contains(&kept.raised.of));
        Self {
            raised: now.iter().filter(|signal| !known.contains(&signal.of)).cloned().collect(),
            ended: ended.map(|kept| kept.number).collect(),
        }
    }

    /// Whether nothing has.
    pub const fn is_nothing(&self) -> bool {
        self.raised.is_empty() && self.ended.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 11, day).expect("a date")
    }

    fn signal(used_lot: Option<&str>, first_on: NaiveDate) -> RaisedSignal {
        let used_lot = used_lot.map(str::to_owned);
        let of = Series { part_no: "RC-131".into(), mode: "ZIP-1".into(), used_lot };
        RaisedSignal { of, first_on, weeks: 5, reports: 9, expected: 2.5 }
    }

    #[test]
    fn a_signal_whose_day_moves_is_the_same_and_one_that_is_gone_has_ended() {
        let kept = |number, raised| KeptSignal { number, raised, raised_on: day(20), ended_on: None };
        let open = [kept(1, signal(None, day(8))), kept(2, signal(Some("TAPE lot T-1"), day(15)))];
        let now = [signal(None, day(1)), signal(Some("TAPE lot T-2"), day(22))];
        let turned = Turned::between(&open, &now);
        assert_eq!(turned, Turned { raised: vec![now[1].clone()], ended: vec![2] });
        assert!(!turned.is_nothing() && Turned::between(&open[..1], &now[..1]).is_nothing());
    }
}
