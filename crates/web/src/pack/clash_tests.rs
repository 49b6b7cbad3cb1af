//! Rows whose key the books have with other values: refused or told, and never dropped without a word.

use store::Store;

use super::import_tests::{bring_in, lone, open, options, pack};
use super::{
    CheckOptions, ExportOptions, ImportError, ImportOptions, Imported, Limits, PackSource, export, inspect,
};

const HEADER: &str = "moved_on,kind,lot_no,unit,quantity,row_ref\n";

/// What a pack is refused with.
async fn refusals(store: &Store, pack: PackSource, options: ImportOptions) -> Vec<String> {
    match bring_in(store, pack, options).await {
        Err(ImportError::Refused(preview)) => preview.refusals.iter().map(ToString::to_string).collect(),
        other => panic!("expected refusals: {other:?}"),
    }
}

/// Each file of what was taken in: new rows, those there already, and of these the ones that say otherwise.
fn told(imported: &Imported) -> Vec<(String, u64, u64, String)> {
    let file = |taken: &super::Taken| (taken.table.file(), taken.new, taken.here, taken.left.named());
    imported.tables.iter().map(file).collect()
}

/// A sender whose program begins with 1 every month.
#[tokio::test]
async fn another_movement_under_a_known_reference_is_refused_and_the_month_not_lost() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = open(folder.path()).await;
    let january = format!("{HEADER}2026-01-01,receive,H-1,STORE,100,1\n2026-01-02,issue,H-1,COVE-2,40,2\n");
    bring_in(&store, pack(&[("movements.csv", &january)]), options()).await.expect("imported");
    let february = format!(
        "{HEADER}2026-02-01,issue,H-1,COVE-2,30,1\n2026-02-02,return,H-1,COVE-2,5,2\n\
         2026-02-03,issue,H-1,COVE-2,7,3\n"
    );
    let expected = [
        "movements.csv line 2, moved_on \"2026-02-01\": the books have a row of the same row_ref with moved_on \
         2026-01-01, kind receive, unit STORE, quantity 100; a pack doesn't change rows of the books: leave this one \
         out, or give it a row_ref of its own if it is another movement",
        "movements.csv line 3, moved_on \"2026-02-02\": the books have a row of the same row_ref with moved_on \
         2026-01-02, kind issue, quantity 40; a pack doesn't change rows of the books: leave this one out, or give it \
         a row_ref of its own if it is another movement",
    ];
    let strict = ImportOptions { strict: true, ..options() };
    for options in [options(), strict] {
        assert_eq!(refusals(&store, lone("movements.csv", &february), options).await, expected);
    }
    // What a page shows before anything is taken says the same.
    let check = CheckOptions { today: options().now.date_naive(), keep: 10 };
    let found = inspect(&store, lone("movements.csv", &february), check).await.expect("read");
    assert_eq!((found.preview.refused_rows, found.preview.files[0].good), (2, 1));
    assert_eq!(store.books().await.expect("books").movements().await.expect("read").len(), 2);

    let refused = folder.path().join("refused.csv");
    let good = ImportOptions { refused_to: Some(refused.clone()), ..options() };
    let imported = bring_in(&store, lone("movements.csv", &february), good).await.expect("one is new");
    assert_eq!((imported.tables[0].new, imported.tables[0].refused), (1, 2));
    let left_out = std::fs::read_to_string(&refused).expect("written");
    assert!(left_out.contains("2026-02-01,issue,H-1,COVE-2,30,1"), "{left_out}");
    assert!(left_out.contains("quantity 100; a pack doesn't change"), "{left_out}");

    // Its rows may not be mended yet when another import leaves rows out.
    let again = february.replace("2026-02-01,issue", "2026-02-03,issue");
    let good = ImportOptions { refused_to: Some(refused.clone()), ..options() };
    bring_in(&store, lone("movements.csv", &again), good).await.expect("the others are there");
    let earlier = folder.path().join("refused.csv.1");
    assert_eq!(std::fs::read_to_string(&earlier).expect("kept"), left_out);
    assert!(std::fs::read_to_string(&refused).expect("written").contains("2026-02-03"));
}

/// The close of a span would be dropped and the span after it taken, so that the hours of both counted.
#[tokio::test]
async fn facts_written_otherwise_are_refused_with_what_the_books_have() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = open(folder.path()).await;
    let files = [
        ("use.csv", "unit,from,to,activity,wear_hours_per_item_month\nCOVE-2,2025-01-01,,cliff,40\n"),
        ("serials.csv", "serial,lot_no,unit,from,to\nS-1,H-1,COVE-2,2025-01-01,\n"),
    ];
    bring_in(&store, pack(&files), options()).await.expect("imported");
    let closed = files.map(|(name, text)| (name, text.replace("2025-01-01,", "2025-01-01,2025-06-30")));
    let closed = closed.each_ref().map(|(name, text)| (*name, text.as_str()));
    let lots = lone("lots.csv", "lot_no,part_no,revision,maker,made_on\nH-1,HARNESS,A,Oreval,2024-05-01\n");
    assert_eq!(
        refusals(&store, pack(&closed), options()).await,
        [
            "use.csv line 2, to \"2025-06-30\": the books have a row of the same unit, from and activity with to empty; a \
             pack doesn't change rows of the books: leave this one out, with every later row of this unit and activity: \
             the hours of the one that the books have go on, and would add up",
            "serials.csv line 2, to \"2025-06-30\": the books have a row of the same serial, lot_no and from with to \
             empty; a pack doesn't change rows of the books: leave this one out",
        ]
    );
    assert_eq!(
        refusals(&store, lots, options()).await,
        [
            "lots.csv line 2, made_on \"2024-05-01\": the books have a row of the same lot_no and maker with made_on \
             empty; a pack doesn't change rows of the books: leave this one out"
        ]
    );
}

#[tokio::test]
async fn what_goes_on_under_its_key_is_told_and_left_as_the_books_have_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = open(folder.path()).await;
    let reports = "report_ref,found_on,unit,item_part_no,relevant\n\
        R-1,2026-03-01,COVE-2,HARNESS,yes\nR-2,2026-03-02,COVE-2,HARNESS,\n";
    bring_in(&store, pack(&[("reports.csv", reports)]), options()).await.expect("imported");
    let reports = reports.replace("2026-03-01", "2026-03-09").replace("HARNESS,yes", "HARNESS,no");
    let others = [
        ("units.csv", "unit,name\nCOVE-2,Second crew\nSTORE,\n"),
        ("parts.csv", "part_no,revision,name,kind\nHARNESS,A,Rescue harness of old,ITEM\n"),
        ("reports.csv", reports.as_str()),
    ];
    let others = others.map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec()));
    let others = PackSource::from_files(others.into(), Limits::UPLOAD).expect("a pack");
    let imported = bring_in(&store, others, options()).await.expect("told, not refused");
    assert_eq!(
        told(&imported),
        [
            ("units.csv".to_owned(), 0, 2, "line 2 (name)".to_owned()),
            ("parts.csv".to_owned(), 0, 1, "line 2 (name)".to_owned()),
            ("reports.csv".to_owned(), 0, 2, "line 2 (found_on, relevant)".to_owned()),
        ]
    );
    let report = store.find_report_file("R-1").await.expect("read").expect("there").report;
    assert_eq!((report.found_on.to_string().as_str(), report.relevant), ("2026-03-01", Some(true)));
}

/// As an older pack of the same books says less, and one of another program fewer columns.
#[tokio::test]
async fn an_empty_cell_and_a_missing_column_contradict_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = open(folder.path()).await;
    let reports =
        "report_ref,found_on,unit,item_part_no,relevant,quantity\nR-1,2026-03-01,COVE-2,HARNESS,yes,3\n";
    let spans = "unit,from,to,wear_hours_per_item_month\nCOVE-2,2025-01-01,2025-06-30,40\n";
    let first = [("reports.csv", reports), ("use.csv", spans)];
    bring_in(&store, pack(&first), options()).await.expect("imported");
    let less = [
        ("units.csv", "unit\nSTORE\n"),
        ("reports.csv", "report_ref,found_on,unit,item_part_no,relevant\nR-1,2026-03-01,COVE-2,HARNESS,\n"),
        ("use.csv", "unit,from,to,wear_hours_per_item_month\nCOVE-2,2025-01-01,,40\n"),
    ];
    let less = less.map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec()));
    let less = PackSource::from_files(less.into(), Limits::UPLOAD).expect("a pack");
    let imported = bring_in(&store, less, options()).await.expect("nothing is contradicted");
    assert!(told(&imported).iter().all(|(_, new, here, left)| (*new, *here, left.as_str()) == (0, 1, "")));
}

/// Every table with a key, with values that a database might hand back otherwise: fractions, spaces, signs.
#[tokio::test]
async fn books_that_come_back_to_themselves_clash_nowhere() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = open(folder.path()).await;
    let lots = "lot_no,part_no,revision,size,maker,quantity,made_on\nH-2,HARNESS,A,M,,90,2024-02-29\n\
        H-3,HARNESS,A,,Brant,7,\n";
    let files = [
        (
            "modes.csv",
            "kind,kind_name,mode,mode_name,default_severity,field_words\n\
             RUNG,Ladder,RUNG-1,Rung lets go,S,rung gave way; rung bent\n",
        ),
        (
            "units.csv",
            "unit,name,kind,contact_email\nCOVE-2,\"Cove, \"\"second\"\"\",wearing,cove@rescue.example\n",
        ),
        (
            "use.csv",
            "unit,from,to,activity,wear_hours_per_item_month,basis\nCOVE-2,2025-01-01,,cliff,31.7,measured\n",
        ),
        (
            "parts.csv",
            "part_no,revision,name,kind,released_on,replaces_revision,life_years\n\
             HARNESS,A,Rescue harness,ITEM,2020-01-01,,7.5\nHARNESS,B,Rescue harness,ITEM,,A,\nZIP-20,A,Zip,ZIP,,,\n",
        ),
        ("sizes.csv", "part_no,size,share_per_1000\nHARNESS,M,333.3333333333333\n"),
        (
            "structure.csv",
            "parent_part_no,parent_revision,child_part_no,child_revision,quantity,position,size\n\
             HARNESS,A,ZIP-20,A,2,left,M\nHARNESS,A,ZIP-20,A,0.1,,\n",
        ),
        ("weighings.csv", "part_no,revision,size,specimen,mass_g\nZIP-20,A,,1,12.300000000000001\n"),
        ("lots.csv", lots),
        ("lot_uses.csv", "lot_no,used_lot_no,quantity\nH-2,H-3,0.7\n"),
        (
            "serials.csv",
            "serial,lot_no,unit,from,to\nS-1,H-2,COVE-2,2025-01-01,2025-03-01\nS-1,H-2,,2025-03-01,\n",
        ),
        (
            "movements.csv",
            "moved_on,kind,lot_no,part_no,size,unit,quantity,row_ref\n2026-01-01,issue,H-2,HARNESS,M,COVE-2,5,A 1\n\
             2026-01-01,issue,H-2,,,COVE-2,5,\n2026-01-01,issue,,HARNESS,L,COVE-2,5,A 2\n",
        ),
        ("demand.csv", "month,part_no,quantity_drawn\n2026-01,ZIP-20,1\n2026-02,ZIP-20,9\n"),
        (
            "reports.csv",
            "report_ref,found_on,received_on,unit,item_part_no,lot_text,narrative,worn_weeks,made_month,relevant\n\
             R-1,2026-03-01,2026-03-04,COVE-2,HARNESS, H-2 ,\"split,\nagain\",2.25,2024-02,no\n",
        ),
        (
            "requirements.csv",
            "item_part_no,requirement_no,text,measure,limit_kind,limit\nHARNESS,3.2,Light.,mass_g,at_most,1999.9\n",
        ),
        ("fit_ranges.csv", "item_part_no,size,dimension,low_mm,high_mm\nHARNESS,M,chest,900.5,1000\n"),
        ("people.csv", "person,sex,mass_kg,chest_mm\nP-1,f,71.3,967.1\nP-2,,,\n"),
        (
            "changes.csv",
            "change_no,title,part_no,from_revision,to_revision,modes,state\n\
             CH-1,Bind,HARNESS,A,B,SEM-2 ZIP-1,approved\n",
        ),
    ];
    let first = files.map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec()));
    let first = || PackSource::from_files(first.clone().into(), Limits::UPLOAD).expect("a pack");
    bring_in(&store, first(), options()).await.expect("imported");
    let out = folder.path().join("out.zip");
    export(&store, &out, ExportOptions::default()).await.expect("exported");
    let back = PackSource::open(&out, Limits::COMMAND_LINE).expect("a pack");
    for again in [first(), back] {
        let imported = bring_in(&store, again, options()).await.expect("nothing clashes");
        let clean = |(_, new, _, left): &(String, u64, u64, String)| *new == 0 && left.is_empty();
        assert!(told(&imported).iter().all(clean), "{:?}", told(&imported));
    }
}
