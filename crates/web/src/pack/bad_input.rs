//! Packs with one thing or another wrong, and the exact words each is refused with.

use chrono::NaiveDate;
use domain::catalogue::Catalogue;
use domain::pack::Known;

use super::{CheckOptions, Limits, PackSource, Preview, check};

const UNITS: &str = "unit,kind\nCOVE-2,wearing\nSTORE,store\n";
const PARTS: &str = "part_no,revision,name,kind\nHARNESS,A,Rescue harness,ITEM\nZIP-20,A,Pocket zip,ZIP\n";
const LOTS: &str = "lot_no,part_no,revision,maker\nH-1,HARNESS,A,Oreval\n";

fn checked(files: &[(&str, &str)]) -> Preview {
    let files = files.iter().map(|(name, text)| ((*name).to_owned(), text.as_bytes().to_vec())).collect();
    let source = PackSource::from_files(files, Limits::UPLOAD).expect("a pack");
    let today = NaiveDate::from_ymd_opt(2026, 11, 1).expect("a day");
    let options = CheckOptions { today, keep: 100 };
    check(&source, &Known::new(Catalogue::shipped()), options, |_, _| {}).expect("memory reads")
}

/// The refusals of a pack that has units, parts and lots in order and these files.
fn refusals(files: &[(&str, &str)]) -> Vec<String> {
    let mut all = vec![("units.csv", UNITS), ("parts.csv", PARTS), ("lots.csv", LOTS)];
    all.retain(|(name, _)| !files.iter().any(|(other, _)| name == other));
    all.extend(files);
    checked(&all).refusals.iter().map(ToString::to_string).collect()
}

#[test]
fn a_sound_pack_is_clean() {
    assert_eq!(refusals(&[]), [""; 0]);
    let preview = checked(&[("units.csv", UNITS)]);
    assert!(preview.is_clean());
    assert_eq!((preview.rows(), preview.files[0].good), (2, 2));
}

#[test]
fn strange_double_and_missing_columns_are_named() {
    assert_eq!(
        refusals(&[
            ("units.csv", "unit,colour,name,name\nA,red,x,y\n"),
            ("parts.csv", "part_no,name\n"),
            ("lots.csv", "")
        ]),
        [
            "units.csv: column `colour` is not known; expected unit, name, kind, parent_unit, contact_email",
            "units.csv: column `name` is there twice",
            "parts.csv: column `revision` is missing",
            "parts.csv: column `kind` is missing",
            "lots.csv: is empty; expected a header row",
        ]
    );
    assert_eq!(
        refusals(&[("demand.csv", "month;part_no;quantity_drawn\n")]),
        ["demand.csv: expected commas between the columns"]
    );
}

#[test]
fn every_wrong_cell_of_a_row_is_told() {
    let text = "moved_on,kind,lot_no,unit,quantity\n01.02.2026,isue,H-1,,1.5\n";
    assert_eq!(
        refusals(&[("movements.csv", text)]),
        [
            "movements.csv line 2, moved_on \"01.02.2026\": expected a date such as 2026-03-09",
            "movements.csv line 2, kind \"isue\": expected one of opening, receive, issue, return, transfer, loss, retire, convert, count, found",
            "movements.csv line 2, unit: must be filled: expected a code or number",
            "movements.csv line 2, quantity \"1.5\": expected a whole number, 0 or more",
        ]
    );
}

#[test]
fn what_does_not_exist_is_named_with_its_column() {
    let movements = "moved_on,kind,lot_no,unit,quantity\n2026-02-01,issue,H-9,COVE-3,5\n";
    let reports = "report_ref,found_on,unit,item_part_no,part_no,mode\n\
        R-1,2026-03-01,COVE-2,ZIP-20,ZIP-21,ZIP-99\n";
    assert_eq!(
        refusals(&[("movements.csv", movements), ("reports.csv", reports)]),
        [
            "movements.csv line 2, unit \"COVE-3\": no unit has this code",
            "movements.csv line 2, lot_no \"H-9\": no lot has this number",
            "reports.csv line 2, item_part_no \"ZIP-20\": is a part, but not an end item (kind ITEM)",
            "reports.csv line 2, part_no \"ZIP-21\": no part has this number",
            "reports.csv line 2, mode \"ZIP-99\": the catalogue has no such mode; add it in modes.csv or on the page of the catalogue",
        ]
    );
}

/// A slip in a lot's number shows where the part stands beside it.
#[test]
fn a_part_that_is_not_the_lots_is_refused() {
    let lots = "lot_no,part_no,revision,size\nH-1,HARNESS,A,M\n";
    let movements = "moved_on,kind,lot_no,part_no,size,unit,quantity\n\
        2026-02-01,issue,H-1,ZIP-20,,COVE-2,5\n2026-02-01,issue,H-1,HARNESS,M,COVE-2,5\n\
        2026-02-01,issue,,HARNESS,L,COVE-2,5\n";
    assert_eq!(
        refusals(&[("lots.csv", lots), ("movements.csv", movements)]),
        [
            "movements.csv line 2, part_no \"ZIP-20\": lot H-1 is of part HARNESS; expected HARNESS or nothing here, or \
             another lot in lot_no"
        ]
    );
}

#[test]
fn a_date_in_the_future_is_refused_with_the_day_it_is() {
    let text = "report_ref,found_on,unit,item_part_no\nR-1,2026-11-02,COVE-2,HARNESS\n";
    assert_eq!(
        refusals(&[("reports.csv", text)]),
        ["reports.csv line 2, found_on \"2026-11-02\": is in the future (today is 2026-11-01)"]
    );
}

#[test]
fn broken_quotes_ragged_rows_and_bytes_that_are_no_text_cost_their_own_line() {
    let text = b"unit,name\nA,\"open\nB,fine,but long\nC\nD,nul\0\nE,good\n".to_vec();
    let source =
        PackSource::from_files(vec![("units.csv".to_owned(), text)], Limits::UPLOAD).expect("a pack");
    let options = CheckOptions { today: NaiveDate::MAX, keep: 100 };
    let preview =
        check(&source, &Known::new(Catalogue::shipped()), options, |_, _| {}).expect("memory reads");
    let shown: Vec<String> = preview.refusals.iter().map(ToString::to_string).collect();
    assert_eq!(
        shown,
        [
            "units.csv line 2: a quote is opened and not closed",
            "units.csv line 3: expected 2 fields as in the header, found 3",
            "units.csv line 4: expected 2 fields as in the header, found 1",
            "units.csv line 5: field 2 holds a NUL byte",
        ]
    );
    assert_eq!((preview.files[0].good, preview.refused_rows), (1, 4));
}

#[test]
fn a_key_twice_is_once_when_alike_and_refused_when_not() {
    let text = "unit,name\nA,Alpha\nA,Alpha\nA,Other\n";
    let preview = checked(&[("units.csv", text)]);
    assert_eq!((preview.files[0].good, preview.files[0].repeated, preview.files[0].refused), (1, 1, 1));
    assert_eq!(
        preview.refusals[0].to_string(),
        "units.csv line 4, unit \"A\": line 2 has the same key with other values"
    );
}

#[test]
fn rows_may_name_rows_further_down_but_not_themselves_in_a_ring() {
    let preview = checked(&[("units.csv", "unit,parent_unit\nCREW,BASE\nBASE,\n")]);
    assert!(preview.is_clean(), "{:?}", preview.refusals);
    assert_eq!(
        refusals(&[("units.csv", "unit,parent_unit\nA,B\nB,A\nC,A\nCOVE-2,\n")]),
        [
            "units.csv line 2, parent_unit \"B\": a unit can't belong to itself, nor to one that belongs to it",
            "units.csv line 3, parent_unit \"A\": a unit can't belong to itself, nor to one that belongs to it",
            "units.csv line 4, parent_unit \"A\": no unit has this code",
        ]
    );
}

#[test]
fn a_lot_can_not_be_made_from_what_was_made_from_it() {
    let lots = "lot_no,part_no,revision\nT-1,ZIP-20,A\nZ-1,ZIP-20,A\nH-1,HARNESS,A\n";
    let uses = "lot_no,used_lot_no,quantity\nZ-1,T-1,\nH-1,Z-1,4\nT-1,H-1,2\nH-1,H-1,\n";
    assert_eq!(
        refusals(&[("lots.csv", lots), ("lot_uses.csv", uses)]),
        [
            "lot_uses.csv line 4, used_lot_no \"H-1\": this lot was itself made from T-1, directly or through other \
             lots; expected a lot made before it",
            "lot_uses.csv line 5, used_lot_no \"H-1\": a lot can't be made from itself",
        ]
    );
}

#[test]
fn no_more_of_a_lot_can_be_used_than_was_made() {
    let lots = "lot_no,part_no,revision,quantity\nZ-1,ZIP-20,A,100\nH-1,HARNESS,A,90\nH-2,HARNESS,A,60\n";
    let uses = "lot_no,used_lot_no,quantity\nH-1,Z-1,60\nH-1,Z-1,60\nH-2,Z-1,40.5\n";
    assert_eq!(
        refusals(&[("lots.csv", lots), ("lot_uses.csv", uses)]),
        [
            "lot_uses.csv line 4, quantity \"40.5\": more than is left: 100 of lot Z-1 were made and other lots used \
             60; expected at most 40"
        ]
    );
    let uses = "lot_no,used_lot_no,quantity\nH-1,Z-1,101\nH-2,Z-1,-1\n";
    assert_eq!(
        refusals(&[("lots.csv", lots), ("lot_uses.csv", uses)]),
        [
            "lot_uses.csv line 2, quantity \"101\": more than was made of lot Z-1; expected at most 100",
            "lot_uses.csv line 3, quantity \"-1\": expected a number above 0",
        ]
    );
}

#[test]
fn what_names_a_refused_row_is_refused_too() {
    let lots = "lot_no,part_no,revision\nH-1,HARNESS,Z\n";
    let movements = "moved_on,kind,lot_no,unit,quantity\n2026-02-01,issue,H-1,COVE-2,5\n";
    assert_eq!(
        refusals(&[("lots.csv", lots), ("movements.csv", movements)]),
        [
            "lots.csv line 2, revision \"Z\": part HARNESS has no such revision, only A",
            "movements.csv line 2, lot_no \"H-1\": no lot has this number",
        ]
    );
}

#[test]
fn parts_and_changes_may_name_each_other_but_not_a_change_that_is_refused() {
    let parts = "part_no,revision,name,kind,change_no\nHARNESS,A,Harness,ITEM,\nHARNESS,B,Harness,ITEM,C-1\n";
    let good = "change_no,title,part_no,from_revision,to_revision,state\nC-1,Bind,HARNESS,A,B,cut in\n";
    assert_eq!(refusals(&[("parts.csv", parts), ("changes.csv", good)]), [""; 0]);
    let bad = "change_no,title,part_no,from_revision,to_revision\nC-1,Bind,HARNESS,Q,B\n";
    assert_eq!(
        refusals(&[("parts.csv", parts), ("changes.csv", bad)]),
        [
            "parts.csv line 3, change_no \"C-1\": no change has this number",
            "changes.csv line 2, from_revision \"Q\": part HARNESS has no such revision, only A",
            "changes.csv line 2, to_revision \"B\": part HARNESS has no such revision, only A",
        ]
    );
}

#[test]
fn body_dimensions_need_a_fit_range() {
    let fit = "item_part_no,size,dimension,low_mm,high_mm\nHARNESS,M,chest,900,1000\n";
    let people = "person,chest_mm\n1,950\n2,wide\n";
    assert_eq!(
        refusals(&[("fit_ranges.csv", fit), ("people.csv", people)]),
        ["people.csv line 3, chest_mm \"wide\": expected a number with a decimal point"]
    );
    assert_eq!(
        refusals(&[("people.csv", people)]),
        ["people.csv: column `chest_mm`: no size in fit_ranges.csv has a dimension `chest`"]
    );
}

#[test]
fn refusals_are_all_counted_and_only_so_many_kept() {
    let rows: Vec<String> = (0..500).map(|n| format!("U-{n},ship")).collect();
    let text = format!("unit,kind\n{}", rows.join("\n"));
    let preview = checked(&[("units.csv", &text)]);
    assert_eq!((preview.refused_rows, preview.refusals.len()), (500, 100));
}
