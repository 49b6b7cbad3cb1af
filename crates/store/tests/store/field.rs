//! The field that analysis reads: everything that may be seen, and nothing else.

use domain::catalogue::Catalogue;
use domain::lot_use::LotUse;
use domain::permission::Actor;

use crate::database::on_both;
use crate::everything::everything;
use crate::pack::{Pack, bare_report};
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
        let before = store.load_field(Catalogue::shipped()).await.expect("read");
        assert_eq!((before.units.len(), before.reports.len()), (0, 0));
        import.publish(at(1), &[]).await.expect("published");
        let mut next = store.begin_import(&Actor::Program, at(2), &[]).await.expect("begun");
        next.add_reports(&[bare_report("R-9")]).await.expect("staged");

        let field = store.load_field(Catalogue::shipped()).await.expect("read");
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
