//! The books of a very small invented service, for tests of pages that show figures.

use domain::permission::Actor;
use domain::report::Report;
use store::IntakeFacts;

use crate::pack::{ImportOptions, Limits, PackSource, import};
use crate::state::AppState;

const UNITS: &str = "unit,kind\nCOVE-2,wearing\nSTORE,store\n";
const PARTS: &str = "part_no,revision,name,kind,replaces_revision\n\
    RC-100,A,rescue carrier,ITEM,\nRC-100,B,rescue carrier,ITEM,A\n\
    RC-131,A,front slide fastener,ZIP,\nRC-131,B,front slide fastener,ZIP,A\n";
const STRUCTURE: &str = "parent_part_no,parent_revision,child_part_no,child_revision,quantity\n\
    RC-100,A,RC-131,A,1\nRC-100,B,RC-131,B,1\n";
const LOTS: &str =
    "lot_no,part_no,revision,maker\nTB-0418,RC-100,A,Harbour Loft\nTB-0501,RC-100,B,Harbour Loft\n";
const MOVEMENTS: &str = "moved_on,kind,lot_no,unit,quantity,condition\n\
    2024-03-03,issue,TB-0418,COVE-2,300,new\n2025-09-03,issue,TB-0501,COVE-2,100,new\n";
const CHANGES: &str = "change_no,title,part_no,from_revision,to_revision,modes,state,cut_in_lot,cut_in_on\n\
    CH-1,=Coated slider,RC-131,A,B,ZIP-1,cut in,TB-0501,2025-09-01\n";
const REPORTS: &str = "report_ref,found_on,received_on,unit,item_part_no,lot_text,lot_known,part_no,mode,narrative,harm,relevant,chargeable\n\
    R-1,2025-03-01,2025-03-04,COVE-2,RC-100,TB-0418,read,RC-131,ZIP-1,zip split <on> the ladder,near_miss,yes,yes\n\
    R-2,2025-05-01,2025-05-04,COVE-2,RC-100,TB-0418,read,RC-131,ZIP-1,zip open again,none,yes,yes\n\
    R-3,2025-07-01,2025-07-04,COVE-2,RC-100,TB-0418,read,RC-131,ZIP-1,zip burst,none,yes,yes\n";

/// Brings them in: one item in two lots, three reports of one mode with a near miss, and a change that is cut in.
pub(crate) async fn bring_in(state: &AppState) {
    bring_in_with(state, CHANGES).await;
}

/// The same, but the change was cut in and proved since.
pub(crate) async fn bring_in_proved(state: &AppState) {
    bring_in_with(state, &CHANGES.replace(",cut in,", ",proved,")).await;
}

/// An order to stop using one lot of fasteners.
pub(crate) const STOP_FASTENER: &str =
    "kind=stop+use&part_no=RC-131&lots=SO-155&from=2026-03-01&words=Hand+it+in.&authority=Chief";

/// Brings load packs in as well, of which one lot is known to be made from a lot of the same fasteners.
pub(crate) async fn bring_in_packs(state: &AppState) {
    let files = [
        ("parts.csv", "part_no,revision,name,kind\nLP-200,A,load pack,ITEM\n"),
        (
            "structure.csv",
            "parent_part_no,parent_revision,child_part_no,child_revision,quantity\nLP-200,A,RC-131,A,1\n",
        ),
        ("lots.csv", "lot_no,part_no,revision\nKL-7,LP-200,A\nKL-8,LP-200,A\nSO-155,RC-131,A\n"),
        ("lot_uses.csv", "lot_no,used_lot_no,quantity\nKL-7,SO-155,\n"),
        (
            "movements.csv",
            "moved_on,kind,lot_no,unit,quantity,condition\n\
             2025-01-03,issue,KL-7,COVE-2,30,new\n2025-01-03,issue,KL-8,COVE-2,30,new\n",
        ),
    ];
    take_in(state, &files).await;
}

/// Issues items of no known lot to a unit that gave an address; it holds an item of another kind, whose lot is known.
pub(crate) async fn bring_in_of_no_lot(state: &AppState) {
    bring_in_packs(state).await;
    let files = [
        ("units.csv", "unit,contact_email\nRIDGE-1,ridge@rescue.example\n"),
        (
            "movements.csv",
            "moved_on,kind,lot_no,part_no,unit,quantity,condition\n\
             2025-01-03,issue,,RC-100,RIDGE-1,40,new\n2025-01-03,issue,KL-8,,RIDGE-1,5,new\n",
        ),
    ];
    take_in(state, &files).await;
}

async fn bring_in_with(state: &AppState, changes: &str) {
    let files = [
        ("units.csv", UNITS),
        ("parts.csv", PARTS),
        ("structure.csv", STRUCTURE),
        ("lots.csv", LOTS),
        ("movements.csv", MOVEMENTS),
        ("changes.csv", changes),
        ("reports.csv", REPORTS),
    ];
    take_in(state, &files).await;
}

pub(crate) async fn take_in(state: &AppState, files: &[(&str, &str)]) {
    let files = files.iter().map(|(name, text)| ((*name).to_owned(), text.as_bytes().to_vec()));
    let source = PackSource::from_files(files.collect(), Limits::UPLOAD).expect("a pack");
    let options =
        ImportOptions { by: Actor::Program, now: state.now(), refused_to: None, strict: false, keep: 10 };
    import(state.store(), source, options, |_| {}).await.expect("imported");
}

/// Sends a report that is in the books once more, unsorted and under another reference.
pub(crate) async fn send_again(state: &AppState, report_ref: &str) {
    let known = state.store().find_report(report_ref).await.expect("read").expect("there");
    let report = Report {
        report_ref: format!("N-{report_ref}"),
        part_no: None,
        mode: None,
        relevant: None,
        chargeable: None,
        ..known
    };
    let facts = IntakeFacts {
        receipt_code: report.report_ref.clone(),
        client_key: state.secrets().token().digest(),
        secret_hash: state.secrets().token().digest(),
        unit_link_id: None,
        altered_by: None,
        contact: None,
        alarm: None,
    };
    let unit = Actor::UnitLink { unit: report.unit.clone() };
    state.store().send_report(&unit, state.now(), &report, &facts, &[]).await.expect("sent");
}
