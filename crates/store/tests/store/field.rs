//! The field that analysis reads: everything that may be seen, and nothing else.

use domain::field::{Id as _, ReportId};
use domain::lot::Lot;
use domain::lot_use::LotUse;
use domain::movement::Movement;
use domain::permission::Actor;
use domain::report::Report;

use crate::database::on_both;
use crate::everything::everything;
use crate::pack::{Pack, bare_report, full_report};
use crate::reports::bring_in;
use crate::samples::at;

/// Books in which every number says which lot: a field can't be folded from others.
fn clear_books() -> Pack {
    let mut pack = everything();
    pack.lots.remove(1);
    pack.lot_uses = vec![LotUse { lot_no: "L-1".into(), used_lot_no: "L-2".into(), quantity: Some(400.0) }];
    pack.effectivity[0].to_lot = None;
    pack
}

#[test]
fn the_field_holds_what_is_visible() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let pack = clear_books();
        let mut import = store.begin_import(&Actor::Program, at(0), &[]).await.expect("begun");
        pack.stage(&mut import).await.expect("staged");
        let before = store.load_field().await.expect("read");
        assert_eq!((before.units.len(), before.reports.len()), (0, 0));
        import.publish(at(1), &[]).await.expect("published");
        let mut next = store.begin_import(&Actor::Program, at(2), &[]).await.expect("begun");
        next.add_reports(&[bare_report("R-9")]).await.expect("staged");

        let field = store.load_field().await.expect("read");
        assert_eq!(field.units.len(), pack.units.len());
        assert_eq!(field.lots.len(), pack.lots.len());
        assert_eq!(field.movements.len(), pack.movements.len());
        assert_eq!(field.reports.len(), 2, "the third is of an import under way");
        assert_eq!(field.inspections.len(), pack.inspections.len());
        assert_eq!(field.events.len(), pack.events.len());
        assert_eq!(field.changes.len(), pack.changes.len());
        assert_eq!(field.people, pack.people);
        assert!(field.find_revision("SF-20", "B").is_some());
        next.abandon().await.expect("abandoned");
    });
}

#[test]
fn a_row_that_cant_be_placed_is_left_out_and_told_and_the_rest_is_read() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        let mut pack = clear_books();
        let later = pack.lots[0].clone();
        pack.movements.push(Movement { lot_no: Some("L-2".into()), ..pack.movements[0].clone() });
        pack.reports.insert(1, Report { mode: Some("ZIP-90".into()), ..full_report("R-X") });
        bring_in(store, &pack).await;
        // A second maker's lot, as one that came in before packs were held against the numbers that rows name.
        let later = Pack { lots: vec![Lot { maker: Some("Brant".into()), ..later }], ..Pack::default() };
        bring_in(store, &later).await;

        let read = store.read_field(|_, _| ()).await.expect("read all the same");
        let field = &read.field;
        assert_eq!((field.lots.len(), field.units.len()), (pack.lots.len() + 1, pack.units.len()));
        let refs: Vec<&str> =
            (0..field.reports.len()).map(|at| field.report_ref(ReportId::from_index(at))).collect();
        assert_eq!((refs, read.rows.len()), (vec!["R-1", "R-2"], 2));
        // Of the movements one names no lot, one another.
        assert_eq!((field.movements.len(), pack.movements.len()), (2, 8));
        let told: Vec<String> = field.left_out.iter().map(ToString::to_string).collect();
        let of_movements = "Left out of all figures: 6 rows of movements.csv. The first is row 1; lot_no: `L-1` is a lot \
                            of several makers; which one is not said.";
        let of_reports = "Left out of all figures: 1 row of reports.csv. The first is report R-X; mode: no mode of the \
                          catalogue is known as `ZIP-90`.";
        assert!(told.iter().any(|one| one == of_movements), "{told:#?}");
        assert!(told.iter().any(|one| one == of_reports), "{told:#?}");
    });
}
