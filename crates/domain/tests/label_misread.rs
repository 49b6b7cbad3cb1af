//! Labels that were not wholly read or read wrongly: what speaks for a lot, and against it.

use crate::common;
use crate::common::{lot, lot_id, movement, report, small, unit_id};
use domain::field::{LotId, ReportId};
use domain::label::{Labels, Resolution, Told, lot_candidates};
use domain::ledger::{TakeOrder, fold};
use domain::lot::Lot;
use domain::movement::MovementKind;
use domain::report::{LotKnown, Report};

/// What labels mean where lots of PACK were issued to A at the start of 2024: lots, label, whether it is said to be unreadable.
fn read_at_a(lots: &[&str], text: &str, unreadable: bool) -> (Option<String>, Resolution, Vec<String>) {
    let mut b = small(lots);
    for lot_no in lots {
        b.movement(&movement("2024-01-01", MovementKind::Issue, lot_no, "A", 10)).expect("known names");
    }
    let told = report("R1", "2024-06-01", "A", "PACK", Some(text));
    let known = if unreadable { LotKnown::Unreadable } else { LotKnown::Read };
    b.report(&Report { lot_known: Some(known), ..told }).expect("known names");
    let field = b.build();
    let labels = Labels::new(&field, common::day("2025-01-01"));
    let told = &field.reports[<ReportId as domain::field::Id>::from_index(0)];
    let one = labels.resolve(&field, told);
    assert_eq!(one, labels.resolve_all(&field)[0]);
    let no = |lot: LotId| field.lots[lot].lot_no.to_string();
    (one.lot.map(no), one.how, labels.candidates(&field, told).into_iter().map(no).collect())
}

#[test]
fn a_sign_that_was_not_read_is_no_separator() {
    for unreadable in [false, true] {
        let three = read_at_a(&["SB-14", "SB-124", "SB-134"], "SB-1?4", unreadable);
        assert_eq!(three, (None, Resolution::Unresolved, vec!["SB-124".into(), "SB-134".into()]));
        for text in ["SA-104?", "SA-104…", "SA-104*", "SA-104_", "SA-104..", "sa 1o4?", "S?-104?"] {
            let (lot, how, _) = read_at_a(&["SA-104", "SA-1042"], text, unreadable);
            assert_eq!((lot.as_deref(), how), (Some("SA-1042"), Resolution::Nearest), "{text}");
            let (lot, how, candidates) = read_at_a(&["SA-104"], text, unreadable);
            assert_eq!((lot, how), (None, Resolution::Unresolved), "{text}");
            assert_eq!(candidates, ["SA-104"], "{text}: for a person to judge");
        }
    }
    assert!(Resolution::Nearest.is_guess());
    assert_eq!(read_at_a(&["SA-104"], "??", false).1, Resolution::NoLabel, "nothing was read");
}

#[test]
fn what_is_marked_unreadable_is_a_part_of_a_number() {
    let lots = ["TX-1042", "42"];
    assert_eq!(read_at_a(&lots, "42", false).1, Resolution::Exact);
    let (lot, how, candidates) = read_at_a(&lots, "42", true);
    assert_eq!((lot, how), (None, Resolution::Unresolved));
    assert_eq!(candidates, ["TX-1042", "42"]);
    for text in ["tx-1o42", "TX-1042", "..42", "104"] {
        let (lot, how, _) = read_at_a(&lots, text, true);
        assert_eq!((lot.as_deref(), how), (Some("TX-1042"), Resolution::Nearest), "{text}");
    }
    assert_eq!(read_at_a(&lots, "TX-1047", true).1, Resolution::Unresolved, "what was read was read");
}

#[test]
fn an_underscore_in_a_lot_number_is_one() {
    let lots = ["TB_104", "TB_1304", "TC-9"];
    let read = |text| {
        let (lot, how, _) = read_at_a(&lots, text, false);
        (lot.unwrap_or_default(), how)
    };
    assert_eq!(read("TB_104"), ("TB_104".into(), Resolution::Exact));
    assert_eq!(read("tb_1o4"), ("TB_104".into(), Resolution::LookAlike));
    assert_eq!(read("TB-104"), ("TB_104".into(), Resolution::LookAlike));
    assert_eq!(read("TC_9"), ("TC-9".into(), Resolution::LookAlike));
    assert_eq!(read("TB_1_04"), ("TB_1304".into(), Resolution::Nearest));
    assert_eq!(read_at_a(&lots, "TB_104", true).1, Resolution::Nearest);
}

/// What a label means at A where the books have made lots, each of its maker, contract and day of make.
fn made(lots: &[(&str, [&str; 3])], told: Report) -> (Option<String>, Resolution) {
    let mut b = small(&[]);
    for (lot_no, [maker, contract, made_on]) in lots {
        let made = Lot {
            maker: Some((*maker).into()),
            contract_no: Some((*contract).into()),
            made_on: Some(common::date(made_on)),
            ..lot(lot_no, "PACK", "A")
        };
        b.lot(&made).expect("new lot");
        b.movement(&movement("2024-01-01", MovementKind::Issue, lot_no, "A", 10)).expect("known names");
    }
    b.report(&told).expect("known names");
    let field = b.build();
    let one = Labels::new(&field, common::day("2025-01-01")).resolve_all(&field)[0];
    (one.lot.map(|lot| field.lots[lot].lot_no.to_string()), one.how)
}

#[test]
fn what_else_the_label_says_may_contradict_a_guess() {
    let lots =
        [("QD-1042", ["Fell & Sons", "K-1", "2023-05-20"]), ("QX-77", ["Skerry Works", "K-2", "2023-05-20"])];
    let near = || report("R1", "2024-06-01", "A", "PACK", Some("QD-5042"));
    let guessed = (Some("QD-1042".to_owned()), Resolution::Nearest);
    let maker = |maker: &str| Report { maker: Some(maker.into()), ..near() };
    let contract = |contract: &str| Report { contract_no: Some(contract.into()), ..near() };
    let month = |month: &str| Report { made_month: Some(common::date(month)), ..near() };
    for told in [near(), maker("Fell & Sons"), maker("Fell and Sons"), contract("K-1"), contract("K1")] {
        assert_eq!(made(&lots, told.clone()), guessed, "{told:?}");
    }
    assert_eq!(made(&lots, month("2023-05-01")), guessed);
    for told in [maker("Skerry Works"), contract("K-2"), month("2019-05-01")] {
        assert_eq!(made(&lots, told.clone()), (None, Resolution::Unresolved), "{told:?}");
        let patchy = Report { lot_text: Some("QD-?42".into()), ..told };
        assert_eq!(made(&lots, patchy.clone()), (None, Resolution::Unresolved), "{patchy:?}");
    }
    // What it contradicts doesn't stand in the way of what it agrees with.
    let two = [
        ("QD-1042", ["Fell & Sons", "K-1", "2023-05-20"]),
        ("QD-9042", ["Skerry Works", "K-2", "2023-05-20"]),
    ];
    assert_eq!(made(&two, near()).1, Resolution::Unresolved);
    assert_eq!(made(&two, maker("Fell & Sons")), guessed);
}

#[test]
fn the_number_of_another_items_lot_is_no_misread_one() {
    let mut b = small(&["PA-1042"]);
    b.movement(&movement("2024-01-01", MovementKind::Issue, "PA-1042", "A", 10)).expect("known names");
    b.part(&common::part("HARN", "A", "ITEM")).expect("new part");
    b.lot(&lot("PC-1042", "HARN", "A")).expect("new lot");
    for text in ["PC-1042", "pc 1o42", "PD-1042"] {
        b.report(&report(text, "2024-06-01", "A", "PACK", Some(text))).expect("known names");
    }
    let field = b.build();
    let labels = Labels::new(&field, common::day("2025-01-01"));
    let how: Vec<Resolution> = labels.resolve_all(&field).iter().map(|one| one.how).collect();
    assert_eq!(how, [Resolution::Unresolved, Resolution::Unresolved, Resolution::Nearest]);
    let candidates = labels.candidates(&field, &field.reports[domain::field::Id::from_index(0)]);
    assert_eq!(candidates, [lot_id(&field, "PA-1042")]);
}

#[test]
fn only_what_the_unit_had_by_then_is_meant() {
    let mut issues = vec![
        movement("2024-10-01", MovementKind::Issue, "RC-1042", "A", 10),
        movement("2024-02-01", MovementKind::Issue, "RC-1042", "A", 10),
        movement("2024-10-01", MovementKind::Issue, "RC-7092", "A", 10),
        movement("2024-10-01", MovementKind::Issue, "RD-1", "A", 10),
        movement("2024-02-01", MovementKind::Issue, "R-D1", "A", 10),
        movement("2024-06-01", MovementKind::Opening, "RE-555", "A", 10),
    ];
    let told = [
        ("2024-01-31", "RC-7042", Resolution::Unresolved),
        ("2024-02-01", "RC-7042", Resolution::Nearest),
        ("2024-09-30", "RC-7042", Resolution::Nearest),
        // From here on it may be either.
        ("2024-10-01", "RC-7042", Resolution::Unresolved),
        ("2024-01-31", "RC-?042", Resolution::Unresolved),
        ("2024-10-01", "RC-?042", Resolution::Nearest),
        ("2024-01-31", "RD1", Resolution::Unresolved),
        ("2024-09-30", "RD1", Resolution::LookAlike),
        ("2024-10-01", "RD1", Resolution::Unresolved),
        // What records begin with was there before.
        ("2024-05-01", "RE-855", Resolution::Nearest),
    ];
    for _ in 0..2 {
        issues.reverse();
        let mut b = small(&["RC-1042", "RC-7092", "RD-1", "R-D1", "RE-555"]);
        for issue in &issues {
            b.movement(issue).expect("known names");
        }
        for (at, (on, text, _)) in told.iter().enumerate() {
            b.report(&report(&format!("R{at}"), on, "A", "PACK", Some(*text))).expect("known names");
        }
        let field = b.build();
        let labels = Labels::new(&field, common::day("2025-01-01"));
        for (one, (on, text, how)) in labels.resolve_all(&field).iter().zip(told) {
            assert_eq!(one.how, how, "{text} on {on}");
        }
        for (report, one) in field.reports.values().zip(labels.resolve_all(&field)) {
            assert_eq!(labels.resolve(&field, report), one);
        }
    }
}

#[test]
fn the_next_week_and_the_next_number_are_a_neighbour() {
    let read = |text| read_at_a(&["2417-0152"], text, false).1;
    assert_eq!(read("2418-0153"), Resolution::Unresolved);
    assert_eq!(read("24180153"), Resolution::Unresolved);
    assert_eq!(read("2447-0152"), Resolution::Nearest, "one wrong sign");
    assert_eq!(read("2417-0952"), Resolution::Nearest, "one wrong sign");
}

/// Lots for a person to choose from: a sign that was not read leaves those in which something stands there.
#[test]
fn choices_have_room_for_what_was_not_read() {
    let mut b = small(&["SB-14", "SB-124", "SB-134", "SC-9"]);
    b.movement(&movement("2024-01-01", MovementKind::Issue, "SB-134", "A", 10)).expect("known names");
    b.movement(&movement("2024-01-01", MovementKind::Issue, "SC-9", "A", 10)).expect("known names");
    let field = b.build();
    let ledger = fold(&field, common::day("2025-01-01"), TakeOrder::OldestFirst);
    let choices = |label| {
        let item = field.part_names.find("PACK").expect("a known part");
        let told = Told { item, unit: unit_id(&field, "A"), found_on: common::day("2024-06-01"), label };
        let found = lot_candidates(&field, &ledger, told, 9).into_iter();
        found.map(|one| (field.lots[one.lot].lot_no.to_string(), one.differs)).collect::<Vec<_>>()
    };
    let all = |lots: &[(&str, Option<usize>)]| {
        lots.iter().map(|&(lot_no, differs)| (lot_no.to_owned(), differs)).collect::<Vec<_>>()
    };
    assert_eq!(choices("SB-1?4"), all(&[("SB-134", Some(0)), ("SB-124", Some(0))]));
    assert_eq!(
        choices("??"),
        all(&[("SB-134", None), ("SC-9", None)]),
        "nothing was read: what the unit held"
    );
    assert_eq!(choices("SB-124"), all(&[("SB-134", Some(1)), ("SB-124", Some(0)), ("SB-14", Some(1))]));
}
