//! Examples: DFARS 252.211-7003, MIL-STD-130N, ISO/IEC 15434, GS1 General Specifications, MIL-STD-1168C; those with invented
//! values were put together by these documents' rules.

use chrono::NaiveDate;

use super::*;

const YEAR: i32 = 2026;

fn strict(text: &str) -> Mark {
    read(text, YEAR, Reading::Strict).unwrap_or_else(|error| panic!("{text}: {error}"))
}

fn identifier(mark: &Mark) -> (&str, Construct) {
    let identifier = mark.item_identifier.as_ref().expect("an item identifier");
    (&identifier.text, identifier.construct)
}

fn day(year: i32, month: u32, day: u32) -> Made {
    Made { year, month, day: Some(day) }
}

#[test]
fn serials_within_an_original_part_are_construct_two() {
    let mark = strict("[)>␞06␝17V0CVA5␝1P1234␝S786950␞␄");
    assert_eq!(mark.maker.as_deref(), Some("0CVA5"));
    assert_eq!(mark.part_no.as_deref(), Some("1234"));
    assert_eq!(mark.serial.as_deref(), Some("786950"));
    assert_eq!(identifier(&mark), ("D0CVA51234786950", Construct::Two));
    assert_eq!(mark.warnings, Vec::<String>::new());
}

#[test]
fn serials_within_the_enterprise_are_construct_one() {
    let mark = strict("[)>␞06␝18S0CVA5786950␞␄");
    assert_eq!(mark.maker.as_deref(), Some("0CVA5"));
    assert_eq!(mark.serial.as_deref(), Some("786950"));
    assert_eq!(identifier(&mark), ("D0CVA5786950", Construct::One));
}

#[test]
fn a_whole_identifier_is_taken_as_it_is() {
    assert_eq!(identifier(&strict("[)>␞06␝25SD0CVA5786950␞␄")).0, "D0CVA5786950");
}

#[test]
fn an_original_lot_is_part_of_the_identifier_and_the_current_part_is_not() {
    let mark = strict("[)>␞06␝17V0CVA5␝1TLOT24A7␝S00042␝30P12043-003␝16D20240315␞␄");
    assert_eq!(identifier(&mark), ("D0CVA5LOT24A700042", Construct::Two));
    assert_eq!(mark.lot.as_deref(), Some("LOT24A7"));
    assert_eq!(mark.part_no.as_deref(), Some("12043-003"));
    assert_eq!(mark.made, Some(day(2024, 3, 15)));
    assert_eq!(mark.made.and_then(Made::date), NaiveDate::from_ymd_opt(2024, 3, 15));
}

#[test]
fn a_lot_told_beside_is_carried_but_is_not_in_the_identifier() {
    let mark = strict("[)>␞06␝17V0CVA5␝1P12043-002␝S00042␝30TLOT24A7␞␄");
    assert_eq!(identifier(&mark).0, "D0CVA512043-00200042");
    assert_eq!(mark.lot.as_deref(), Some("LOT24A7"));
}

#[test]
fn a_gs1_asset_number_stands_for_the_identifier() {
    let mark = strict("[)>␞05␝800406141419999960MH80312␝21MH80312␝950614141␝24099999␞␄");
    assert_eq!(identifier(&mark), ("06141419999960MH80312", Construct::Equivalent));
    assert_eq!(mark.serial.as_deref(), Some("MH80312"));
    assert_eq!(
        mark.elements[2],
        Element { source: Source::ApplicationIdentifier, identifier: "95".into(), value: "0614141".into() }
    );
    assert_eq!(mark.elements[3].value, "99999");
}

#[test]
fn two_formats_stand_in_one_envelope() {
    let mark = strict(
        "[)>␞06␝25SUN123456789PA12345␝4LUS␝16D20131108␝34LHTTP://WWW.EXAMPLE.COM/ITEMDATA/?SCAN=␞05␝13131108␞␄",
    );
    assert_eq!(identifier(&mark).0, "UN123456789PA12345");
    assert_eq!(mark.made, Some(day(2013, 11, 8)));
    assert_eq!(value(&mark.elements, Source::DataIdentifier, "4L"), Some("US"));
    assert_eq!(
        value(&mark.elements, Source::DataIdentifier, "34L"),
        Some("HTTP://WWW.EXAMPLE.COM/ITEMDATA/?SCAN=")
    );
    assert_eq!(value(&mark.elements, Source::ApplicationIdentifier, "13"), Some("131108"));
}

#[test]
fn other_enterprises_get_their_agency_before_them() {
    // MIL-STD-130N table A-II, row by row.
    for (elements, expected) in [
        ("12V123456789␝1PA1␝S7", "UN123456789A17"),
        ("3V0614141␝1PA1␝S7", "0614141A17"),
        ("7LAB1234␝1PA1␝S7", "LDAB1234A17"),
        ("18VUN123456789␝1PA1␝S7", "UN123456789A17"),
        ("18VD0CVA5␝1TL9␝S7", "D0CVA5L97"),
        ("22SX99", "X99"),
    ] {
        assert_eq!(identifier(&strict(&format!("[)>␞06␝{elements}␞␄"))).0, expected);
    }
}

#[test]
fn part_and_lot_together_make_no_identifier() {
    let mark = strict("[)>␞06␝17V0CVA5␝1P1234␝1TLOT24A7␝S1␞␄");
    assert_eq!(mark.item_identifier, None);
    assert!(mark.warnings[0].contains("ambiguous"));
    assert_eq!((mark.lot.as_deref(), mark.part_no.as_deref()), (Some("LOT24A7"), Some("1234")));
}

#[test]
fn a_trade_item_with_date_lot_and_serial() {
    let mark = strict("]d201006141411234521124031510LOT7A␝21SN00042");
    assert_eq!(mark.trade_item.as_deref(), Some("00614141123452"));
    assert_eq!(mark.made, Some(day(2024, 3, 15)));
    assert_eq!(mark.lot.as_deref(), Some("LOT7A"));
    assert_eq!(mark.serial.as_deref(), Some("SN00042"));
    assert_eq!(mark.warnings, Vec::<String>::new());
}

#[test]
fn no_separator_is_needed_behind_a_fixed_length_or_at_the_end() {
    let mark = read_element_string("21SN00042\u{1d}0100614141123452\u{1d}10LOT7A", YEAR).unwrap();
    assert_eq!((mark.serial.as_deref(), mark.lot.as_deref()), (Some("SN00042"), Some("LOT7A")));
}

#[test]
fn a_wrong_check_digit_is_refused_with_the_right_one() {
    assert_eq!(
        read("]d20100614141123453", YEAR, Reading::Lenient),
        Err(NotAMark::CheckDigit { digits: "00614141123453".into(), found: 3, expected: 2 })
    );
}

#[test]
fn a_lost_separator_keeps_the_lot_whole_and_warns() {
    let mark = read_element_string("010061414112345210LOT7A21SN00042", YEAR).unwrap();
    assert_eq!((mark.lot.as_deref(), mark.serial.as_deref()), (Some("LOT7A21SN00042"), None));
    assert!(mark.warnings[0].contains("separator"));
}

#[test]
fn a_date_may_be_without_a_day() {
    let mark = strict("]C101006141411234521124030010LOT7A");
    assert_eq!(mark.made, Some(Made { year: 2024, month: 3, day: None }));
    assert_eq!(mark.made.and_then(Made::date), None);
}

#[test]
fn a_damaged_envelope_is_read_only_leniently_and_with_a_warning() {
    for text in [
        "[)>06␝17V0CVA5␝1P1234␝S786950␞␄",
        "[)>␞06␝17V0CVA5␝1P1234␝S786950",
        "[)>␞06␝17V0CVA5␝1P1234␝S786950␄",
    ] {
        assert!(matches!(read(text, YEAR, Reading::Strict), Err(NotAMark::Envelope(_))), "{text}");
        let mark = read(text, YEAR, Reading::Lenient).unwrap();
        assert_eq!(identifier(&mark).0, "D0CVA51234786950");
        assert!(mark.warnings[0].contains("damaged"));
    }
}

#[test]
fn text_elements_of_format_12() {
    let mark = strict("[)>␞12␝MFR 0CVA5␝SER 786950␞␄");
    assert_eq!(identifier(&mark), ("D0CVA5786950", Construct::One));
    let mark = strict("[)>␞12␝MFR 0CVA5␝PNO 1234␝SEQ 786950␝PNR 1235␞␄");
    assert_eq!(identifier(&mark), ("D0CVA51234786950", Construct::Two));
    assert_eq!(mark.part_no.as_deref(), Some("1235"));
}

#[test]
fn a_strange_label_is_left_as_text() {
    for text in ["T-118", "TS220-2406", "", "0123", "01234567890128X", "[>06", "éàü", "2024-03"] {
        assert_eq!(read(text, YEAR, Reading::Lenient), Err(NotAMark::PlainText), "{text}");
    }
    assert!(matches!(read("[)>␞06␝??␞␄", YEAR, Reading::Lenient), Err(NotAMark::Element { .. })));
    assert!(matches!(read("[)>", YEAR, Reading::Lenient), Err(NotAMark::Envelope(_))));
    assert_eq!(read(&"[)>".repeat(5_000), YEAR, Reading::Lenient), Err(NotAMark::TooLong));
}

#[test]
fn check_digits_of_published_numbers() {
    for (digits, expected) in [
        ("629104150021", 3),
        ("501234567890", 0),
        ("501234567421", 6),
        ("730001100001", 7),
        ("03600024145", 7),
        ("0061414112345", 2),
        ("1061414112345", 9),
    ] {
        assert_eq!(check_digit(digits), Some(expected), "{digits}");
    }
    assert_eq!(check_digit("12a"), None);
}

#[test]
fn the_parts_of_a_lot_number() {
    let lot: LotNumber = "XYZ07D006-004".parse().unwrap();
    assert_eq!((lot.maker.as_str(), lot.year, lot.month, lot.interfix, lot.sequence), ("XYZ", 7, 4, 6, 4));
    let later: LotNumber = "XYZ08A006-015".parse().unwrap();
    assert_eq!((later.year, later.month, later.interfix), (8, 1, lot.interfix));
    assert_eq!("XYZ07D006-004A".parse::<LotNumber>().unwrap().suffix.as_deref(), Some("A"));
    for bad in
        ["XYZ07I006-004", "XYZ07D006004", "XYZ07D006-04", "XYZ7D006-004", "XYZ07D006-004abc", "ÄXYZ07D06-004"]
    {
        assert!(bad.parse::<LotNumber>().is_err(), "{bad}");
    }
}

proptest::proptest! {
    #[test]
    fn no_text_makes_it_stumble(text in "(\\]d2|\\]C1|\\[\\)>)?[\\x1d\\x1e\\x04 0-9A-Za-zé§]{0,60}") {
        for reading in [Reading::Strict, Reading::Lenient] {
            if let Ok(mark) = read(&text, YEAR, reading) {
                // What was read stands in the text, character for character.
                for element in &mark.elements {
                    proptest::prop_assert!(text.contains(&element.value));
                }
            }
        }
    }
}
