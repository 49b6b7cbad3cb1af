//! Imports into a store: all or nothing, twice is once, good rows alone, books that don't balance, and back out.

use std::path::Path;

use chrono::{DateTime, Utc};
use domain::catalogue::{Catalogue, Mode};
use domain::lot::Lot;
use domain::pack::Table;
use domain::permission::Actor;
use store::{Store, StoreError};

use super::{
    ExportOptions, ImportError, ImportOptions, Imported, Limits, PackSource, Progress, export, gather, import,
};

const UNITS: &str = "unit,kind,contact_email\nCOVE-2,wearing,cove@example.org\nSTORE,store,\n";
const PARTS: &str = "part_no,revision,name,kind\nHARNESS,A,Rescue harness,ITEM\n";
const LOTS: &str = "lot_no,part_no,revision,maker\nH-1,HARNESS,A,Oreval\n";
const REPORTS: &str = "report_ref,found_on,unit,item_part_no,narrative\n\
    R-1,2026-03-01,COVE-2,HARNESS,\"split, again\"\nR-2,2026-03-02,COVE-9,HARNESS,=1+1\n";

pub(super) fn pack(files: &[(&str, &str)]) -> PackSource {
    let base = [("units.csv", UNITS), ("parts.csv", PARTS), ("lots.csv", LOTS)];
    let files = base.iter().chain(files).map(|(name, text)| ((*name).to_owned(), text.as_bytes().to_vec()));
    PackSource::from_files(files.collect(), Limits::UPLOAD).expect("a pack")
}

pub(super) fn lone(name: &str, text: &str) -> PackSource {
    PackSource::from_files(vec![(name.to_owned(), text.as_bytes().to_vec())], Limits::UPLOAD).expect("a pack")
}

pub(super) fn options() -> ImportOptions {
    let now: DateTime<Utc> = "2026-11-01T12:00:00Z".parse().expect("a time");
    ImportOptions { by: Actor::Program, now, refused_to: None, strict: false, keep: 10 }
}

pub(super) async fn open(folder: &Path) -> Store {
    Store::connect(&format!("sqlite://{}/books.sqlite", folder.display())).await.expect("a store")
}

pub(super) async fn bring_in(
    store: &Store,
    pack: PackSource,
    options: ImportOptions,
) -> Result<Imported, ImportError> {
    import(store, pack, options, |_| {}).await
}

#[tokio::test]
async fn one_bad_row_and_nothing_is_imported() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = open(folder.path()).await;
    let result = bring_in(&store, pack(&[("reports.csv", REPORTS)]), options()).await;
    let Err(ImportError::Refused(preview)) = result else { panic!("expected refusals") };
    assert_eq!(preview.refusals[0].to_string(), "reports.csv line 3, unit \"COVE-9\": no unit has this code");
    assert!(store.books().await.expect("books").units().await.expect("units").is_empty());
    assert!(store.list_imports().await.expect("imports").is_empty());
}

#[tokio::test]
async fn good_rows_alone_leave_the_others_in_a_file_with_why() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = open(folder.path()).await;
    let refused = folder.path().join("refused.csv");
    let with = ImportOptions { refused_to: Some(refused.clone()), ..options() };
    let imported = bring_in(&store, pack(&[("reports.csv", REPORTS)]), with).await.expect("imported");
    let reports = imported.tables.last().expect("a table");
    assert_eq!((reports.new, reports.here, reports.refused), (1, 0, 1));
    assert_eq!(imported.refused_file.as_ref(), Some(&refused));
    assert_eq!(
        std::fs::read_to_string(&refused).expect("written"),
        "file,line,why,report_ref,found_on,unit,item_part_no,narrative,row\n\
         reports.csv,3,unit: no unit has this code,R-2,2026-03-02,COVE-9,HARNESS,=1+1,\n"
    );
}

/// What is in the books can't be told to have stayed out: the rows that did are named by where they are.
#[tokio::test]
async fn refused_rows_whose_file_cannot_have_its_name_are_found_under_another() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = open(folder.path()).await;
    let goal = folder.path().join("refused.csv");
    std::fs::create_dir(&goal).expect("a folder in the way");
    let with = ImportOptions { refused_to: Some(goal), ..options() };
    let imported = bring_in(&store, pack(&[("reports.csv", REPORTS)]), with).await.expect("imported");
    let file = imported.refused_file.expect("one row was refused");
    assert_eq!(file, folder.path().join("refused.csv.part"));
    assert!(std::fs::read_to_string(&file).expect("there").contains("R-2,2026-03-02"));
    assert!(store.find_report("R-1").await.expect("read").is_some());
}

#[tokio::test]
async fn twice_is_once_and_each_import_is_one_entry() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = open(folder.path()).await;
    let movements = "moved_on,kind,lot_no,unit,quantity\n\
        2026-01-01,issue,H-1,COVE-2,5\n2026-01-01,issue,H-1,COVE-2,5\n";
    for expected in [(2, 0), (0, 2)] {
        let imported =
            bring_in(&store, pack(&[("movements.csv", movements)]), options()).await.expect("imported");
        let taken = imported.tables.last().expect("a table");
        assert_eq!((taken.new, taken.here), expected);
    }
    assert_eq!(store.list_imports().await.expect("imports").len(), 2);
    assert_eq!(store.books().await.expect("books").movements().await.expect("movements").len(), 2);
}

#[tokio::test]
async fn books_that_do_not_balance_are_taken_unless_asked_to_be_strict() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = open(folder.path()).await;
    let movements = "moved_on,kind,lot_no,unit,quantity\n\
        2026-01-01,issue,H-1,COVE-2,5\n2026-02-01,return,H-1,COVE-2,8\n";
    let strict = || ImportOptions { strict: true, ..options() };
    let result = bring_in(&store, pack(&[("movements.csv", movements)]), strict()).await;
    let Err(ImportError::Refused(preview)) = result else { panic!("expected refusals") };
    assert_eq!(
        preview.refusals.iter().map(ToString::to_string).collect::<Vec<_>>(),
        ["movements.csv: 2026-02-01, COVE-2, lot H-1: return of 8, 5 on record"]
    );
    assert!(store.list_imports().await.expect("imports").is_empty());
    bring_in(&store, pack(&[("movements.csv", movements)]), options()).await.expect("taken");
    bring_in(&store, pack(&[("movements.csv", movements)]), strict()).await.expect("nothing new to balance");
}

#[tokio::test]
async fn what_goes_out_comes_back_in_to_the_same_bytes() {
    let (first, second) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    let store = open(first.path()).await;
    let good = REPORTS.replace("COVE-9", "COVE-2");
    bring_in(&store, pack(&[("reports.csv", &good)]), options()).await.expect("imported");
    let contacts = ExportOptions { with_contacts: true, ..ExportOptions::default() };
    let out = first.path().join("out.zip");
    export(&store, &out, contacts).await.expect("exported");
    let other = open(second.path()).await;
    let back = PackSource::open(&out, Limits::COMMAND_LINE).expect("a pack");
    bring_in(&other, back, options()).await.expect("imported");
    let again = second.path().join("out.zip");
    export(&other, &again, contacts).await.expect("exported");
    assert_eq!(std::fs::read(&out).expect("read"), std::fs::read(&again).expect("read"));
    let without = second.path().join("without");
    export(&other, &without, ExportOptions::default()).await.expect("exported");
    let units = std::fs::read_to_string(without.join("units.csv")).expect("read");
    assert!(!units.contains("example.org"), "{units}");
}

#[tokio::test]
async fn modes_that_were_added_travel_with_the_books_whose_reports_name_them() {
    let (first, second) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    let store = open(first.path()).await;
    let mode = Mode {
        kind: "RUNG".into(),
        kind_name: "Ladder".into(),
        code: "RUNG-1".into(),
        name: "Rung lets go".into(),
        field_words: vec!["rung gave way".into(), "rung bent".into()],
        ..Catalogue::shipped().mode("ZIP-1").expect("shipped").clone()
    };
    store.add_mode(&Actor::Program, options().now, &mode).await.expect("added");
    let reports = "report_ref,found_on,unit,item_part_no,part_no,mode\n\
        R-1,2026-03-01,COVE-2,HARNESS,HARNESS,RUNG-1\n";
    bring_in(&store, pack(&[("reports.csv", reports)]), options()).await.expect("imported");
    let out = first.path().join("out.zip");
    export(&store, &out, ExportOptions::default()).await.expect("exported");
    let back = || PackSource::open(&out, Limits::COMMAND_LINE).expect("a pack");
    let field = gather(&back(), 10).expect("read without a store");
    assert_eq!(field.reports.len(), 1);
    let other = open(second.path()).await;
    for expected in [(1, 0), (0, 1)] {
        let imported = bring_in(&other, back(), options()).await.expect("imported");
        let modes = imported.tables.first().expect("a table");
        assert_eq!((modes.table, modes.new, modes.here), (Table::Modes, expected.0, expected.1));
    }
    let catalogue = other.catalogue().await.expect("read");
    assert_eq!(catalogue.added().collect::<Vec<_>>(), [&mode]);
    let again = second.path().join("out.zip");
    export(&other, &again, ExportOptions::default()).await.expect("exported");
    assert_eq!(std::fs::read(&out).expect("read"), std::fs::read(&again).expect("read"));
}

#[tokio::test]
async fn a_pack_brings_no_other_words_for_a_mode_that_ships_and_no_mode_of_a_strange_code() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = open(folder.path()).await;
    let header = "kind,kind_name,mode,mode_name,default_severity\n";
    let shipped = lone("modes.csv", &format!("{header}ZIP,Fastener,ZIP-1,Bursts,S\n"));
    let imported = bring_in(&store, shipped, options()).await.expect("nothing is wrong with it");
    assert_eq!((imported.tables[0].new, imported.tables[0].here), (0, 1));
    assert_eq!(store.catalogue().await.expect("read"), *Catalogue::shipped());
    let stray = lone("modes.csv", &format!("{header}ZIP,Fastener,SEM-90,Bursts,S\nZIP,,ZIP-91,Bursts,X\n"));
    let Err(ImportError::Refused(preview)) = bring_in(&store, stray, options()).await else {
        panic!("expected refusals")
    };
    assert_eq!(
        preview.refusals.iter().map(ToString::to_string).collect::<Vec<_>>(),
        [
            "modes.csv line 2, mode \"SEM-90\": expected a code that begins with `ZIP-`",
            "modes.csv line 3, kind_name: must be filled: expected text",
            "modes.csv line 3, default_severity \"X\": expected one of S, M, D",
        ]
    );
}

#[tokio::test]
async fn a_second_makers_lot_is_refused_while_rows_of_the_books_name_the_number_alone() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = open(folder.path()).await;
    let movements = "moved_on,kind,lot_no,unit,quantity\n2026-01-01,issue,H-1,COVE-2,5\n";
    bring_in(&store, pack(&[("movements.csv", movements)]), options()).await.expect("imported");
    let second =
        || lone("lots.csv", "lot_no,part_no,revision,maker\nH-2,HARNESS,A,Brant\nH-1,HARNESS,A,Brant\n");
    let result = bring_in(&store, second(), options()).await;
    let Err(ImportError::Refused(preview)) = result else { panic!("expected refusals") };
    assert_eq!(
        preview.refusals.iter().map(ToString::to_string).collect::<Vec<_>>(),
        [
            "lots.csv line 3, lot_no \"H-1\": Oreval has a lot of this number, and rows of the books name it by the \
          number alone, which must go on saying which lot; expected another number for this lot, here and in the \
          rows that name it"
        ]
    );
    let field = store.load_field().await.expect("read");
    assert_eq!((field.lots.len(), field.movements.len(), field.left_out.len()), (1, 1, 0));
    // What is in the books already may come again, the lot with its movement.
    bring_in(&store, pack(&[("movements.csv", movements)]), options()).await.expect("nothing new");
}

#[tokio::test]
async fn of_two_packs_that_contradict_each_other_and_are_checked_at_once_one_is_taken() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = open(folder.path()).await;
    bring_in(&store, pack(&[]), options()).await.expect("imported");
    let movements = "moved_on,kind,lot_no,unit,quantity\n2026-01-01,issue,H-1,COVE-2,5\n";
    let lots = "lot_no,part_no,revision,maker\nH-1,HARNESS,A,Brant\n";
    let (other, here) = (store.clone(), tokio::runtime::Handle::current());
    let (told, second) = std::sync::mpsc::channel();
    // While the first is being checked, the second is checked and taken in from beginning to end.
    let meanwhile = move |progress| {
        if let Progress::Checked(..) = progress {
            let _ = told.send(here.block_on(bring_in(&other, lone("lots.csv", lots), options())));
        }
    };
    let first = import(&store, lone("movements.csv", movements), options(), meanwhile);
    first.await.expect("the first is taken in");
    let second = second.try_iter().next().expect("tried meanwhile");
    assert!(matches!(second, Err(ImportError::Store(StoreError::ImportRunning))), "{second:?}");
    let again = bring_in(&store, lone("lots.csv", lots), options()).await;
    assert!(matches!(again, Err(ImportError::Refused(_))), "it is checked against the first: {again:?}");
    let field = store.load_field().await.expect("read");
    assert_eq!((field.lots.len(), field.movements.len(), field.left_out.len()), (1, 1, 0));
}

#[tokio::test]
async fn a_row_of_the_books_that_cant_be_placed_keeps_no_pack_from_being_balanced() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = open(folder.path()).await;
    let movements = "moved_on,kind,lot_no,unit,quantity\n2026-01-01,issue,H-1,COVE-2,5\n";
    bring_in(&store, pack(&[("movements.csv", movements)]), options()).await.expect("imported");
    let of_books = store.books().await.expect("books").lots().await.expect("lots").remove(0);
    let mut behind = store.begin_import(&Actor::Program, options().now, &[]).await.expect("begun");
    behind.add_lots(&[Lot { maker: Some("Brant".into()), ..of_books }]).await.expect("staged");
    behind.publish(options().now, &[]).await.expect("published");
    let more = "moved_on,kind,part_no,unit,quantity\n2026-02-01,issue,HARNESS,COVE-2,5\n";
    let strict = ImportOptions { strict: true, ..options() };
    bring_in(&store, lone("movements.csv", more), strict).await.expect("it balances");
}

/// A program that fills every cell up to a width: a blank cell is an empty one, and a number is what stands in it.
#[tokio::test]
async fn blanks_say_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = open(folder.path()).await;
    let lots = "lot_no,part_no,revision,maker\nH-1,HARNESS,A,   \n";
    let movements = "moved_on,kind,lot_no,unit,quantity,row_ref\n\
        2026-01-01,issue,H-1,COVE-2,5, \n2026-01-01,issue,H-1,COVE-2,5, \n";
    let reports = "report_ref,found_on,unit,item_part_no,serial,maker,prompted_by\n\
        R-1,2026-03-01,COVE-2,HARNESS,S-12  ,Oreval ,  \n";
    let files = [
        ("units.csv", UNITS),
        ("parts.csv", PARTS),
        ("lots.csv", lots),
        ("movements.csv", movements),
        ("reports.csv", reports),
    ];
    let padded = || {
        let all = files.map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec()));
        PackSource::from_files(all.into(), Limits::UPLOAD).expect("a pack")
    };
    for movements_new in [2, 0] {
        let imported = bring_in(&store, padded(), options()).await.expect("taken, and taken again");
        let moved =
            imported.tables.iter().find(|table| table.table.file() == "movements.csv").expect("a table");
        assert_eq!(moved.new, movements_new, "without a number of their own equal rows both count");
    }
    let report = store.find_report_file("R-1").await.expect("read").expect("there").report;
    assert_eq!((report.serial.as_deref(), report.maker.as_deref()), (Some("S-12"), Some("Oreval")));
    assert_eq!(report.prompted_by, None, "nobody asked for it");
}
