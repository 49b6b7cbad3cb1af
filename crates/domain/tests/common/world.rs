//! An invented rescue service of any size, from a seed: enough of everything to load the analysis.

use chrono::{Days, NaiveDate};
use domain::catalogue::Catalogue;
use domain::change::{Change, ChangeState};
use domain::field::{Field, FieldBuilder};
use domain::lot::Lot;
use domain::lot_use::LotUse;
use domain::movement::{Condition, Movement, MovementKind as K, ReturnReason};
use domain::part::PartRevision;
use domain::report::{FoundWhen, Harm, LotKnown, Report};
use domain::unit::UnitKind;

use super::{change, component, lot, part, unit};

/// How much of everything.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Size {
    pub(crate) reports: usize,
    pub(crate) lots: usize,
    pub(crate) movements: usize,
    pub(crate) units: usize,
}

/// Kinds of the parts of an item, one part each.
const KINDS: [&str; 10] = ["ZIP", "HLF", "SEM", "STY", "BTK", "PNL", "TUB", "COR", "FOM", "LBL"];
const ITEMS: usize = 4;
/// One lot in this many is bad.
const ONE_BAD_IN: u64 = 400;

struct Draws<F>(F);

impl<F: FnMut() -> u64> Draws<F> {
    fn below(&mut self, n: usize) -> usize {
        ((self.0)() % n as u64) as usize
    }
    fn one_in(&mut self, n: u64) -> bool {
        (self.0)().is_multiple_of(n)
    }
    fn day(&mut self) -> NaiveDate {
        let days = Days::new((self.0)() % 2900);
        NaiveDate::from_ymd_opt(2017, 1, 1).expect("a date").checked_add_days(days).expect("in range")
    }
}

/// A field of about that size, the numbers of its bad lots, and reports that are still to come.
pub(crate) fn world(size: Size, more: usize, draw: impl FnMut() -> u64) -> (Field, Vec<String>, Vec<Report>) {
    let mut d = Draws(draw);
    let mut b = FieldBuilder::new(Catalogue::shipped());
    let units = units(&mut b, size.units);
    let kinds: Vec<&str> = KINDS.into_iter().filter(|k| Catalogue::shipped().kind(k).is_some()).collect();
    parts(&mut b, &kinds);
    let lots = lots(&mut b, &kinds, size.lots, &mut d);
    let issued = movements(&mut b, &lots, &units, size.movements, &mut d);
    for n in 0..size.reports {
        let report = report(n, &kinds, &lots, &issued, &mut d);
        b.report(&report).expect("known names");
    }
    let more = (0..more).map(|n| report(size.reports + n, &kinds, &lots, &issued, &mut d)).collect();
    let bad = lots.into_iter().filter(|lot| lot.bad).map(|lot| lot.lot_no).collect();
    (b.build(), bad, more)
}

fn units(b: &mut FieldBuilder, n: usize) -> Vec<String> {
    let codes: Vec<String> = (0..n).map(|i| format!("CREW-{i}")).collect();
    for code in &codes {
        b.unit(&unit(code, UnitKind::Wearing)).expect("a new code");
    }
    codes
}

fn parts(b: &mut FieldBuilder, kinds: &[&str]) {
    let lasting = |part_no: &str, revision: &str, kind: &str| PartRevision {
        replaces_revision: (revision == "B").then(|| "A".into()),
        life_years: Some(6.0),
        ..part(part_no, revision, kind)
    };
    for item in 0..ITEMS {
        let item_no = format!("ITEM-{item}");
        for revision in ["A", "B"] {
            b.part(&lasting(&item_no, revision, "ITEM")).expect("new");
            for kind in kinds {
                let part_no = format!("{kind}-P{item}");
                b.part(&lasting(&part_no, revision, kind)).expect("new");
                b.component(&component((&item_no, revision), (&part_no, revision), 2.0)).expect("known");
            }
        }
        let of = change(&format!("C-{item}"), &format!("{}-P{item}", kinds[0]));
        b.change(&Change { state: Some(ChangeState::CutIn), ..of }).expect("known");
    }
}

struct MadeLot {
    lot_no: String,
    item: usize,
    bad: bool,
}

/// Half item lots, half lots of their parts.
fn lots(b: &mut FieldBuilder, kinds: &[&str], n: usize, d: &mut Draws<impl FnMut() -> u64>) -> Vec<MadeLot> {
    let mut made = Vec::new();
    for i in 0..n / 2 {
        let item = d.below(ITEMS);
        let revision = if i > 3 * n / 8 { "B" } else { "A" };
        let new = |lot_no: &str, part_no: String| Lot {
            maker: Some(format!("Maker {}", i % 5)),
            ..lot(lot_no, &part_no, revision)
        };
        let lot_no = format!("{}{:05}-{}", (b'A' + (i % 23) as u8) as char, (i * 7919) % 99_991, i % 7);
        b.lot(&new(&lot_no, format!("ITEM-{item}"))).expect("new");
        let used = format!("U{i}");
        b.lot(&new(&used, format!("{}-P{item}", kinds[i % kinds.len()]))).expect("new");
        b.lot_use(&LotUse { lot_no: lot_no.clone(), used_lot_no: used, quantity: None }).expect("known");
        made.push(MadeLot { lot_no, item, bad: d.one_in(ONE_BAD_IN) });
    }
    made
}

/// Issues, returns, transfers and used issues; says which lot went to which unit.
fn movements(
    b: &mut FieldBuilder,
    lots: &[MadeLot],
    units: &[String],
    n: usize,
    d: &mut Draws<impl FnMut() -> u64>,
) -> Vec<(usize, String, NaiveDate)> {
    let mut issued: Vec<(usize, String, NaiveDate)> = Vec::new();
    for i in 0..n {
        let kind = if issued.is_empty() || i % 10 < 6 {
            K::Issue
        } else {
            [K::Return, K::Transfer, K::Issue, K::Loss][i % 4]
        };
        let used = kind == K::Issue && i % 10 >= 6;
        let (lot, unit, on) = if kind == K::Issue && !used {
            let fresh = (d.below(lots.len()), units[d.below(units.len())].clone(), d.day());
            issued.push(fresh.clone());
            fresh
        } else {
            let (lot, unit, on) = issued[d.below(issued.len())].clone();
            (lot, unit, on.checked_add_days(Days::new(200 + d.below(900) as u64)).expect("in range"))
        };
        let to_unit = units.iter().cycle().skip(d.below(units.len())).take(2).find(|u| **u != unit).cloned();
        b.movement(&Movement {
            moved_on: on,
            kind,
            lot_no: Some(lots[lot].lot_no.clone()),
            part_no: None,
            size: None,
            unit,
            quantity: if kind == K::Issue && !used { 20 + d.below(40) as u32 } else { 1 + d.below(6) as u32 },
            to_unit: to_unit.filter(|_| kind == K::Transfer),
            to_lot_no: None,
            condition: used.then_some(Condition::Used),
            reason: (kind == K::Return).then_some(ReturnReason::Worn),
            row_ref: None,
        })
        .expect("known names");
    }
    issued
}

fn report(
    n: usize,
    kinds: &[&str],
    lots: &[MadeLot],
    issued: &[(usize, String, NaiveDate)],
    d: &mut Draws<impl FnMut() -> u64>,
) -> Report {
    // A bad lot fails four times as often: other lots are drawn again three times in four.
    let (lot, unit, on) = loop {
        let drawn = &issued[d.below(issued.len())];
        if lots[drawn.0].bad || d.one_in(4) {
            break drawn.clone();
        }
    };
    let made = &lots[lot];
    let kind = if made.bad { kinds[0] } else { kinds[d.below(kinds.len())] };
    let modes: Vec<&str> = Catalogue::shipped().modes_of(kind).map(|m| m.code.as_str()).collect();
    let found_on = on.checked_add_days(Days::new(d.below(900) as u64)).expect("in range");
    let mut text = made.lot_no.clone();
    if d.one_in(10) {
        let at = d.below(text.len());
        text.replace_range(at..=at, ["7", "X", "O", "1"][d.below(4)]);
    }
    let read = !d.one_in(5);
    Report {
        received_on: found_on.checked_add_days(Days::new(d.below(60) as u64)).expect("in range"),
        lot_text: read.then_some(text),
        lot_known: Some(if read { LotKnown::Read } else { LotKnown::Unreadable }),
        part_no: Some(format!("{kind}-P{}", made.item)),
        mode: Some(modes[if made.bad { 0 } else { d.below(modes.len()) }].to_owned()),
        found_when: Some(if d.one_in(40) { FoundWhen::OnReceipt } else { FoundWhen::InUse }),
        prompted_by: d.one_in(50).then(|| "N-1".into()),
        harm: d.one_in(200).then_some(Harm::NearMiss),
        relevant: d.one_in(30).then_some(false),
        ..Report::bare(format!("R{n}"), found_on, unit, format!("ITEM-{}", made.item))
    }
}
