//! Exhibits: tagged, found again wherever they went, and not released unawares while they are needed.

use domain::exhibit::{Exhibit, Matter, Release, Stay, hold_from};
use domain::permission::Role;
use domain::recurrence::{ComeBack, RecurrenceState};
use domain::report::{Harm, Report};
use store::{RecurrenceEdit, StoreError};

use crate::database::{behind_the_back, on_both};
use crate::everything::everything;
use crate::pack::bare_report;
use crate::reports::{bring_in, send, sorting};
use crate::samples::{at, day, somebody};

fn exhibit(report_ref: &str) -> Exhibit {
    Exhibit {
        report_ref: report_ref.into(),
        what: "front slide fastener".into(),
        received_on: day(5, 1),
        hold_until: hold_from(day(5, 1)),
        places: vec![Stay { place: "base store, shelf 4".into(), since: day(5, 1) }],
        released: None,
    }
}

fn release(why: Option<&str>) -> Release {
    Release { on: day(5, 4), to: "the maker".into(), why: why.map(Into::into) }
}

#[test]
fn an_exhibit_is_found_again_wherever_it_went() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let fell = somebody(store, "fell", Role::Engineer).await;
        send(store, 1, &bare_report("N-1")).await.expect("sent");
        let number = store.add_exhibit(&fell, at(2), &exhibit("N-1")).await.expect("taken in");
        assert_eq!(number, "E-2026-001");
        assert_eq!(store.add_exhibit(&fell, at(3), &exhibit("N-1")).await.expect("sent twice"), number);
        let alike = Exhibit { what: "front slide fastener, the second".into(), ..exhibit("N-1") };
        assert_eq!(store.add_exhibit(&fell, at(2), &alike).await.expect("another"), "E-2026-002");
        let bench = Stay { place: "bench".into(), since: day(5, 3) };
        store.move_exhibit(&fell, at(3), &number, &bench).await.expect("moved");
        let backwards = Stay { place: "shelf".into(), since: day(5, 2) };
        let refused = store.move_exhibit(&fell, at(3), &number, &backwards).await;
        assert!(matches!(refused, Err(StoreError::Refused(_))), "{refused:?}");
        store.hold_exhibit(&fell, at(4), &number, day(9, 1)).await.expect("held");
        let (kept, released_by) = store.find_exhibit(&number).await.expect("read").expect("there");
        let expected = Exhibit {
            hold_until: day(9, 1),
            places: vec![exhibit("N-1").places[0].clone(), bench],
            ..exhibit("N-1")
        };
        assert_eq!((kept.what, released_by), (expected, None));
        let of_report = store.exhibits_of_report("N-1").await.expect("read");
        assert_eq!(
            of_report.iter().map(|one| one.number.as_str()).collect::<Vec<_>>(),
            [&number, "E-2026-002"]
        );
        assert_eq!(of_report[1].what.places.len(), 1, "each has its own places");
        let all = store.list_exhibits().await.expect("read");
        assert_eq!(all.iter().map(|one| one.what.places.len()).collect::<Vec<_>>(), [1, 2]);
        if fresh.is_sqlite {
            // Whatever is wrong with the places of another exhibit, they are not read.
            send(store, 2, &bare_report("N-2")).await.expect("sent");
            store.add_exhibit(&fell, at(5), &exhibit("N-2")).await.expect("taken in");
            let spoilt = "UPDATE exhibit_place SET since = 'never' WHERE exhibit_id = \
                          (SELECT id FROM exhibit WHERE report_ref = 'N-2')";
            behind_the_back(&fresh.url, spoilt).await.expect("spoilt");
            assert!(store.exhibits_of_report("N-2").await.is_err());
            assert_eq!(store.exhibits_of_report("N-1").await.expect("read"), of_report);
            assert!(store.exhibits_of_report("N-3").await.expect("read").is_empty());
        }
        let nowhere = store.add_exhibit(&fell, at(5), &exhibit("NONE")).await;
        assert!(matches!(nowhere, Err(StoreError::Missing { noun: "report", .. })));
        let missing = store.hold_exhibit(&fell, at(5), "E-2026-009", day(9, 1)).await;
        assert!(matches!(missing, Err(StoreError::Missing { noun: "exhibit", .. })));
    });
}

#[test]
fn an_exhibit_goes_without_a_reason_only_when_nothing_speaks_for_it() {
    on_both(|fresh| async move {
        let store = &fresh.store;
        bring_in(store, &everything()).await;
        let fell = somebody(store, "fell", Role::Engineer).await;
        let harm = |report_ref, harm| Report { harm: Some(harm), ..bare_report(report_ref) };
        let none = ComeBack::default();
        send(store, 1, &harm("N-1", Harm::None)).await.expect("sent");
        assert_eq!(store.matter_of("N-1", &none).await.expect("read"), Matter::NotSorted);
        let number = store.add_exhibit(&fell, at(2), &exhibit("N-1")).await.expect("taken in");
        let refused = store.release_exhibit(&fell, at(3), &number, (&release(None), &none)).await;
        assert!(
            matches!(&refused, Err(StoreError::Refused(problem)) if problem.field == "why"),
            "{refused:?}"
        );
        let alone = domain::handling::Sorting { mode: "ZIP-6".into(), ..sorting(None) };
        store.sort_report(&fell, at(4), ("N-1", None), &alone).await.expect("sorted");
        assert_eq!(store.matter_of("N-1", &none).await.expect("read"), Matter::Closed, "one without harm");
        send(store, 5, &harm("N-2", Harm::None)).await.expect("sent");
        store.sort_report(&fell, at(5), ("N-2", None), &alone).await.expect("sorted");
        let open = Matter::Recurrence(RecurrenceState::Standing);
        assert_eq!(store.matter_of("N-1", &none).await.expect("read"), open, "two alike");
        let refused = store.release_exhibit(&fell, at(6), &number, (&release(None), &none)).await;
        assert!(
            matches!(&refused, Err(StoreError::Refused(problem)) if problem.field == "why"),
            "{refused:?}"
        );
        // Settled, it lets them go; once the figures say that it is back, it keeps them again.
        let part_no = sorting(None).part_no;
        let key = ((part_no.as_str(), "ZIP-6"), None);
        store.decide_recurrence(&fell, at(6), key, &RecurrenceEdit::TakeUp).await.expect("taken up");
        behind_the_back(&fresh.url, "UPDATE recurrence SET state = 'settled'").await.expect("settled");
        let settled = Matter::Recurrence(RecurrenceState::Settled);
        assert_eq!(store.matter_of("N-1", &none).await.expect("read"), settled);
        let back: ComeBack = [(part_no.clone(), "ZIP-6".to_owned())].into_iter().collect();
        let again = Matter::Recurrence(RecurrenceState::Back);
        assert_eq!(store.matter_of("N-1", &back).await.expect("read"), again);
        let refused = store.release_exhibit(&fell, at(6), &number, (&release(None), &back)).await;
        assert!(
            matches!(&refused, Err(StoreError::Refused(problem)) if problem.field == "why"),
            "{refused:?}"
        );
        store
            .release_exhibit(&fell, at(6), &number, (&release(Some("cut up on the bench")), &none))
            .await
            .expect("released");
        let (kept, by) = store.find_exhibit(&number).await.expect("read").expect("there");
        assert_eq!(kept.what.released, Some(release(Some("cut up on the bench"))));
        assert_eq!(by.as_deref(), Some("fell of the base"));
        let twice = store.release_exhibit(&fell, at(7), &number, (&release(Some("again")), &none)).await;
        assert!(matches!(twice, Err(StoreError::Refused(_))));
        send(store, 8, &harm("N-3", Harm::NearMiss)).await.expect("sent");
        let other = domain::handling::Sorting { mode: "ZIP-7".into(), ..sorting(None) };
        store.sort_report(&fell, at(8), ("N-3", None), &other).await.expect("sorted");
        assert_eq!(store.matter_of("N-3", &none).await.expect("read"), open, "one with harm");
        store.set_aside(&fell, at(9), ("N-3", None), "a double").await.expect("set aside");
        assert_eq!(store.matter_of("N-3", &none).await.expect("read"), Matter::Closed);
    });
}
