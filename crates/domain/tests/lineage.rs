//! Lineage and whereabouts worked by hand: what went where, and who holds it on a date.

use crate::common::{change, component, date, lot, lot_id, movement, part, small, unit, unit_id};
use domain::change::{Change, ChangeState};
use domain::event::{Event, EventKind};
use domain::field::{Day, Field, FieldBuilder, LotId};
use domain::ledger::{TakeOrder, fold};
use domain::lineage::{Lineage, Whereabouts, changes_of, revisions_of};
use domain::lot::Lot;
use domain::lot_use::LotUse;
use domain::movement::{Movement, MovementKind as K};
use domain::unit::UnitKind;

fn made(lot_no: &str, part_no: &str, revision: &str, quantity: u32) -> Lot {
    Lot { quantity: Some(quantity), ..lot(lot_no, part_no, revision) }
}

fn uses(lot_no: &str, used: &str, quantity: f64) -> LotUse {
    LotUse { lot_no: lot_no.into(), used_lot_no: used.into(), quantity: Some(quantity) }
}

/// Tape T1 (300) went into fasteners Z1 (200, of T1 alone) and Z2 (100: 60 of T1, 40 of T2). Packs P1 (150) are of Z1
/// alone, packs P2 (100) have 50 of Z1 and 50 of Z2, packs P3 (50) are of Z2.
fn world() -> FieldBuilder {
    let mut b = small(&[]);
    b.unit(&unit("DEPOT", UnitKind::Depot)).expect("new unit");
    b.part(&part("TAPE", "A", "ZIP")).expect("new part");
    b.component(&component(("ZIPPER", "A"), ("TAPE", "A"), 1.0)).expect("known parts");
    for made in [
        made("T1", "TAPE", "A", 300),
        made("T2", "TAPE", "A", 40),
        made("Z1", "ZIPPER", "A", 200),
        made("Z2", "ZIPPER", "A", 100),
        made("P1", "PACK", "A", 150),
        made("P2", "PACK", "A", 100),
        made("P3", "PACK", "A", 50),
    ] {
        b.lot(&made).expect("new lot");
    }
    for row in [
        uses("Z1", "T1", 200.0),
        uses("Z2", "T1", 60.0),
        uses("Z2", "T2", 40.0),
        uses("P1", "Z1", 150.0),
        uses("P2", "Z1", 50.0),
        uses("P2", "Z2", 50.0),
        uses("P3", "Z2", 50.0),
    ] {
        b.lot_use(&row).expect("known lots");
    }
    b
}

fn issue(b: &mut FieldBuilder, on: &str, lot_no: &str, unit: &str, quantity: u32) {
    b.movement(&movement(on, K::Issue, lot_no, unit, quantity)).expect("known names");
}

/// So many items at unit A get another fastener.
fn refit(b: &mut FieldBuilder, lot_no: Option<&str>, quantity: u32, new_lot_no: &str) {
    b.event(&Event {
        happened_on: date("2026-02-01"),
        unit: "A".into(),
        serial: None,
        lot_no: lot_no.map(Into::into),
        quantity,
        kind: EventKind::PartReplaced,
        part_no: Some("ZIPPER".into()),
        new_lot_no: Some(new_lot_no.into()),
        outcome: None,
    })
    .expect("known names");
}

fn whereabouts(field: &Field, lot_no: &str, on: &str) -> Whereabouts {
    let on: Day = date(on).into();
    Whereabouts::new(field, &fold(field, on, TakeOrder::OldestFirst), lot_id(field, lot_no))
}

/// Unit, lot, whether in service, then items held and the best, fewest and most that contain the lot.
fn rows(field: &Field, found: &Whereabouts) -> Vec<(String, String, bool, [f64; 4])> {
    let row = |holder: &domain::lineage::Holder| {
        let unit = holder.unit.map_or("returned", |unit| &field.unit_names[unit]).to_owned();
        let containing = holder.containing;
        let numbers = [holder.items.best, containing.best, containing.low, containing.high];
        let lot_no = holder.lot().map_or("not known", |lot| &field.lots[lot].lot_no).to_owned();
        (unit, lot_no, holder.in_service, numbers)
    };
    found.holders.iter().map(row).collect()
}

fn row(unit: &str, lot: &str, in_service: bool, numbers: [f64; 4]) -> (String, String, bool, [f64; 4]) {
    (unit.into(), lot.into(), in_service, numbers)
}

#[test]
fn quantities_and_shares_are_told_on_every_way_down_and_up() {
    let field = world().build();
    let id = |lot_no: &str| lot_id(&field, lot_no);
    let down = Lineage::of(&field, id("T1")).down;
    let told: Vec<(LotId, usize, f64, f64)> =
        down.iter().map(|kin| (kin.lot, kin.steps, kin.content.share, kin.amount.expect("known"))).collect();
    // P2: 50 of Z1, all of T1, and 50 of Z2, of which 6 in 10 are of T1: 80 of 100.
    assert_eq!(
        told,
        [
            (id("Z1"), 1, 1.0, 200.0),
            (id("Z2"), 1, 0.6, 60.0),
            (id("P1"), 2, 1.0, 150.0),
            (id("P2"), 2, 0.8, 80.0),
            (id("P3"), 2, 0.6, 30.0),
        ]
    );
    let p2 = down[3].content;
    // Of the 100 fasteners of Z2, 60 are of T1: of the 50 in P2 between 10 and 50.
    assert_eq!((p2.fewest_of(100.0), p2.most_of(100.0)), (60.0, 100.0));
    let up = Lineage::of(&field, id("P2"));
    let told: Vec<(LotId, usize, f64, f64)> =
        up.up.iter().map(|kin| (kin.lot, kin.steps, kin.content.share, kin.amount.expect("known"))).collect();
    assert_eq!(
        told,
        [
            (id("Z1"), 1, 0.5, 50.0),
            (id("Z2"), 1, 0.5, 50.0),
            (id("T1"), 2, 0.8, 80.0),
            (id("T2"), 2, 0.2, 20.0)
        ]
    );
    assert!(up.down.is_empty());
    let ways: Vec<(LotId, LotId, f64)> = up.steps.iter().map(|s| (s.from, s.into, s.share)).collect();
    assert_eq!(
        ways,
        [
            (id("Z1"), id("P2"), 0.5),
            (id("Z2"), id("P2"), 0.5),
            (id("T1"), id("Z1"), 0.5),
            (id("T1"), id("Z2"), 0.3),
            (id("T2"), id("Z2"), 0.2)
        ]
    );
    // Of the 300 of T1, 200 went into Z1, and of its 200 a quarter into P2.
    let ways = Lineage::of(&field, id("T1")).steps;
    let share = |from: &str, into: &str| {
        let step = ways.iter().find(|s| s.from == id(from) && s.into == id(into));
        step.expect("a step of the way").share
    };
    assert!((share("T1", "Z1") - 2.0 / 3.0).abs() < 1e-12 && (share("Z1", "P2") - 1.0 / 6.0).abs() < 1e-12);
}

#[test]
fn holders_of_a_tape_are_told_with_the_fewest_and_the_most() {
    let mut b = world();
    b.movement(&movement("2026-01-05", K::Receive, "P2", "STORE", 100)).expect("known");
    issue(&mut b, "2026-01-10", "P1", "A", 30);
    issue(&mut b, "2026-01-10", "P2", "A", 20);
    issue(&mut b, "2026-01-10", "P2", "B", 70);
    issue(&mut b, "2026-01-10", "P3", "B", 50);
    b.movement(&movement("2026-02-01", K::Return, "P1", "A", 4)).expect("known");
    let field = b.build();
    let found = whereabouts(&field, "T1", "2026-03-01");
    assert_eq!(
        rows(&field, &found),
        [
            row("A", "P1", true, [26.0, 26.0, 26.0, 26.0]),
            // Of 100 at least 60: of 20 perhaps none, perhaps all.
            row("A", "P2", true, [20.0, 16.0, 0.0, 20.0]),
            row("B", "P2", true, [70.0, 56.0, 30.0, 70.0]),
            // Of the 100 of Z2, 40 are without: of these 50 at least 10.
            row("B", "P3", true, [50.0, 30.0, 10.0, 50.0]),
            row("STORE", "P2", false, [10.0, 8.0, 0.0, 10.0]),
            row("returned", "P1", false, [4.0, 4.0, 4.0, 4.0]),
        ]
    );
    // All 100 of P2 together: at least 60.
    assert_eq!((found.total.best, found.total.low, found.total.high), (140.0, 100.0, 180.0));
    assert_eq!(found.by_unit()[1].1.best, 86.0);
    assert!(found.unknown.is_empty());
    let january = whereabouts(&field, "T1", "2026-01-31");
    assert_eq!(rows(&field, &january)[0], row("A", "P1", true, [30.0, 30.0, 30.0, 30.0]));
    let today = fold(&field, date("2026-03-01").into(), TakeOrder::OldestFirst);
    let on = Whereabouts::on(&field, &today, lot_id(&field, "T1"), date("2026-01-31").into());
    assert_eq!(on, january, "folded anew for that date");
    assert!(whereabouts(&field, "T1", "2025-12-31").holders.is_empty());
}

#[test]
fn books_that_do_not_balance_leave_a_span() {
    let mut b = world();
    issue(&mut b, "2026-01-10", "P1", "A", 30);
    b.movement(&movement("2026-02-01", K::Return, "P1", "A", 34)).expect("taken all the same");
    issue(&mut b, "2026-02-10", "P1", "A", 10);
    let field = b.build();
    let found = whereabouts(&field, "P1", "2026-03-01");
    let returned = found.holders.iter().find(|holder| holder.unit.is_none()).expect("34 came back");
    assert_eq!((returned.items.best, returned.items.low, returned.items.high), (34.0, 30.0, 34.0));
    assert_eq!(returned.containing, returned.items, "the lot itself");
}

#[test]
fn items_of_no_known_lot_are_told_beside() {
    let mut b = world();
    let unknown = Movement {
        lot_no: None,
        part_no: Some("PACK".into()),
        ..movement("2026-01-10", K::Issue, "P1", "B", 7)
    };
    b.movement(&unknown).expect("known part");
    let field = b.build();
    let found = whereabouts(&field, "T2", "2026-02-01");
    assert!(found.holders.is_empty());
    assert_eq!((found.unknown.len(), found.unknown[0].items), (1, 7));
    assert_eq!(found.unknown[0].unit, Some(unit_id(&field, "B")));
}

/// Packs of P1 become PB with a fastener of another revision: they have no tape of T1 any more, but their old webbing.
#[test]
fn a_conversion_takes_the_replaced_part_out_and_leaves_the_others_in() {
    let mut b = world();
    b.part(&part("WEBBING", "A", "WEB")).expect("new part");
    b.part(&part("ZIPPER", "B", "ZIP")).expect("new revision");
    b.part(&part("PACK", "B", "ITEM")).expect("new revision");
    for line in [
        component(("PACK", "A"), ("WEBBING", "A"), 1.0),
        component(("PACK", "B"), ("WEBBING", "A"), 1.0),
        component(("PACK", "B"), ("ZIPPER", "B"), 1.0),
    ] {
        b.component(&line).expect("known parts");
    }
    for made in [
        made("W1", "WEBBING", "A", 150),
        made("Z9", "ZIPPER", "B", 12),
        Lot { quantity: None, ..made("PB", "PACK", "B", 0) },
    ] {
        b.lot(&made).expect("new lot");
    }
    b.lot_use(&uses("P1", "W1", 150.0)).expect("known lots");
    b.lot_use(&uses("PB", "Z9", 12.0)).expect("known lots");
    issue(&mut b, "2026-01-10", "P1", "A", 30);
    let convert =
        Movement { to_lot_no: Some("PB".into()), ..movement("2026-02-01", K::Convert, "P1", "A", 12) };
    b.movement(&convert).expect("known lots");
    b.change(&Change {
        state: Some(ChangeState::CutIn),
        cut_in_lot: Some("Z9".into()),
        ..change("C-1", "ZIPPER")
    })
    .expect("known revisions");
    let field = b.build();
    let held = |lot_no: &str| rows(&field, &whereabouts(&field, lot_no, "2026-03-01"));
    assert_eq!(held("T1"), [row("A", "P1", true, [18.0, 18.0, 18.0, 18.0])]);
    assert_eq!(
        held("W1"),
        [row("A", "P1", true, [18.0, 18.0, 18.0, 18.0]), row("A", "PB", true, [12.0, 12.0, 12.0, 12.0])]
    );
    assert_eq!(held("Z9"), [row("A", "PB", true, [12.0, 12.0, 12.0, 12.0])]);
    let up = Lineage::of(&field, lot_id(&field, "PB")).up;
    let lots: Vec<&str> = up.iter().map(|kin| &*field.lots[kin.lot].lot_no).collect();
    assert_eq!(lots, ["P1", "Z9", "W1"], "not the fastener and tape that were taken out");
    let marks = changes_of(&field, lot_id(&field, "Z9"));
    assert!(marks.len() == 1 && marks[0].is_first, "{marks:?}");
    let fasteners = revisions_of(&field, field.part_names.find("ZIPPER").expect("known"));
    let told: Vec<_> =
        fasteners.iter().map(|step| (step.lots, step.first_lot, step.change.is_some())).collect();
    // Z1 and Z2 have no day on record, so that neither is said to be the first.
    assert_eq!(told, [(2, None, false), (1, Some(lot_id(&field, "Z9")), true)]);
    assert!(changes_of(&field, lot_id(&field, "Z1")).is_empty());
}

/// Three of ten packs got a fastener of Z2: one that is perhaps of T1, where it surely was before.
#[test]
fn a_replaced_part_brings_its_own_lot() {
    let mut b = world();
    issue(&mut b, "2026-01-10", "P1", "A", 10);
    refit(&mut b, Some("P1"), 3, "Z2");
    let field = b.build();
    let held = |lot_no: &str| rows(&field, &whereabouts(&field, lot_no, "2026-03-01"));
    // Which three is not on record, so all ten may still have one of Z1.
    assert_eq!(held("Z1"), [row("A", "P1", true, [10.0, 7.0, 7.0, 10.0])]);
    assert_eq!(held("Z2"), [row("A", "P1", true, [10.0, 3.0, 3.0, 3.0])]);
    let [(_, _, _, [items, best, low, high])] = held("T1")[..] else { panic!("one row") };
    assert!((best - 8.8).abs() < 1e-9, "7 and 0.6 of 3: {best}");
    assert_eq!((items, low, high), (10.0, 7.0, 10.0));
}

/// Of 50 packs by part number alone 20 got a fastener of a spare lot; of 10 packs of P1, 4. The spare lot was never used in
/// production, so that all of it is with these; were it used, each other pack of no known lot could be of it too.
#[test]
fn a_part_brings_its_lot_into_items_of_no_known_lot_and_of_lots_never_made_from_it() {
    let books = |new_lot: &str, used: bool| {
        let mut b = world();
        b.lot(&made("SP", "ZIPPER", "A", 30)).expect("new lot");
        let by_part = Movement {
            lot_no: None,
            part_no: Some("PACK".into()),
            ..movement("2026-01-10", K::Opening, "P1", "A", 50)
        };
        b.movement(&by_part).expect("known part");
        refit(&mut b, None, 20, new_lot);
        if used {
            b.lot_use(&uses("P3", "SP", 5.0)).expect("known lots");
        }
        b.build()
    };
    let twenty = row("A", "not known", true, [20.0, 20.0, 20.0, 20.0]);
    for (field, perhaps) in [(books("SP", false), vec![]), (books("SP", true), vec![30])] {
        let found = whereabouts(&field, "SP", "2026-03-01");
        assert_eq!(rows(&field, &found), std::slice::from_ref(&twenty));
        assert_eq!((found.total, found.total), (found.in_service, found.holders[0].containing));
        assert_eq!(found.unknown.iter().map(|row| row.items).collect::<Vec<_>>(), perhaps);
    }
    // A fastener of Z2 is of T1 in 6 of 10, and which has which nobody wrote down.
    let field = books("Z2", false);
    let found = rows(&field, &whereabouts(&field, "T1", "2026-03-01"));
    assert_eq!(found, [row("A", "not known", true, [20.0, 12.0, 0.0, 20.0])]);
    let mut b = world();
    issue(&mut b, "2026-01-10", "P1", "A", 10);
    b.lot(&made("SP", "ZIPPER", "A", 30)).expect("new lot");
    refit(&mut b, Some("P1"), 4, "SP");
    let field = b.build();
    let today = fold(&field, date("2026-04-01").into(), TakeOrder::OldestFirst);
    let on = Whereabouts::on(&field, &today, lot_id(&field, "SP"), date("2026-03-01").into());
    assert_eq!(rows(&field, &on), [row("A", "P1", true, [10.0, 4.0, 4.0, 4.0])], "folded anew for that date");
}

/// Packs of P1 became C1, some of these C2, and so on to C5, five conversions from P1: C5 isn't followed back so far, and
/// asking for it first must not make the nearer ones forget what they are of.
#[test]
fn an_answer_cut_short_is_not_handed_out_for_whole() {
    let mut b = world();
    for n in (1..=5).rev() {
        b.lot(&Lot { quantity: None, ..made(&format!("C{n}"), "PACK", "A", 0) }).expect("new lot");
    }
    issue(&mut b, "2026-01-10", "P1", "A", 6);
    for n in 1..=5 {
        let from = if n == 1 { "P1".to_owned() } else { format!("C{}", n - 1) };
        let became = movement(&format!("2026-02-0{n}"), K::Convert, &from, "A", 6 - n);
        let became = Movement { to_lot_no: Some(format!("C{n}")), ..became };
        b.movement(&became).expect("known lots");
    }
    let field = b.build();
    let held = rows(&field, &whereabouts(&field, "Z1", "2026-03-01"));
    let lots: Vec<(&str, f64)> = held.iter().map(|(_, lot, _, [_, best, ..])| (&**lot, *best)).collect();
    assert_eq!(lots, [("P1", 1.0), ("C4", 1.0), ("C3", 1.0), ("C2", 1.0), ("C1", 1.0)]);
}

/// Fifteen packs of P1, which is all of webbing W1, and five of no known lot become PB: fifteen of twenty have it for sure, and
/// all twenty may.
#[test]
fn items_of_no_known_lot_that_became_a_lot_thin_its_share() {
    let mut b = world();
    b.part(&part("WEBBING", "A", "WEB")).expect("new part");
    b.part(&part("PACK", "B", "ITEM")).expect("new revision");
    for parent in [("PACK", "A"), ("PACK", "B")] {
        b.component(&component(parent, ("WEBBING", "A"), 1.0)).expect("known parts");
    }
    b.lot(&made("W1", "WEBBING", "A", 150)).expect("new lot");
    b.lot(&lot("PB", "PACK", "B")).expect("new lot");
    b.lot_use(&uses("P1", "W1", 150.0)).expect("known lots");
    let by_part = |moved: Movement| Movement { lot_no: None, part_no: Some("PACK".into()), ..moved };
    issue(&mut b, "2026-01-10", "P1", "A", 30);
    b.movement(&by_part(movement("2026-01-10", K::Issue, "P1", "B", 5))).expect("known part");
    let to_pb = |moved: Movement| Movement { kind: K::Convert, to_lot_no: Some("PB".into()), ..moved };
    b.movement(&to_pb(movement("2026-02-01", K::Convert, "P1", "A", 15))).expect("known lots");
    b.movement(&to_pb(by_part(movement("2026-02-01", K::Convert, "P1", "B", 5)))).expect("known lots");
    let field = b.build();
    // Which fifteen of the lot nobody wrote down: at least ten of those at A, where there are ten more than five.
    let told = [
        row("A", "P1", true, [15.0, 15.0, 15.0, 15.0]),
        row("A", "PB", true, [15.0, 11.25, 10.0, 15.0]),
        row("B", "PB", true, [5.0, 3.75, 0.0, 5.0]),
    ];
    assert_eq!(rows(&field, &whereabouts(&field, "W1", "2026-03-01")), told);
}
