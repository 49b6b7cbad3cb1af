//! Reports come in whatever happens: sent many times at once, through a power cut, too large, beside an import.

use std::sync::Arc;

use super::books::{count_reports, import_in_the_background, small_pack};
use super::database::{BOTH, Kind};
use super::program::Program;
use super::unit::Unit;

#[tokio::test]
async fn the_same_report_sent_ten_times_at_once_is_one_report_with_one_receipt() {
    for kind in BOTH {
        let demo = Program::demo(kind).await;
        let unit = Unit::of_demo(&demo);
        let before = count_reports(demo.place(), "before");
        let opened = unit.open().await;
        let sent = (0..10).map(|_| {
            let (unit, opened) = (unit.clone(), opened.clone());
            tokio::spawn(async move { unit.send(&opened, "strap came off at the buckle").await })
        });
        let mut receipts = Vec::new();
        for answer in sent.collect::<Vec<_>>() {
            let answer = answer.await.expect("no panic").expect("an answer");
            assert_eq!(answer.status(), 200, "{kind:?}: {}", demo.log());
            receipts.push(answer.url().path().to_owned());
        }
        receipts.dedup();
        assert_eq!(receipts.len(), 1, "{kind:?}");
        assert!(receipts[0].starts_with("/follow/"));
        assert_eq!(count_reports(demo.place(), "after"), before + 1, "{kind:?}");
    }
}

#[tokio::test]
async fn a_report_that_was_acknowledged_survives_a_power_cut_and_one_that_was_not_can_be_sent_again() {
    for kind in BOTH {
        let demo = Program::demo(kind).await;
        let unit = Unit::of_demo(&demo);
        let before = count_reports(demo.place(), "before");
        let mut forms = Vec::new();
        for _ in 0..12 {
            forms.push(unit.open().await);
        }
        let sent: Vec<_> = forms
            .iter()
            .cloned()
            .map(|opened| {
                let unit = unit.clone();
                tokio::spawn(async move { unit.send(&opened, "tube pulled out").await })
            })
            .collect();
        // Power goes while most are on their way: as soon as the first is acknowledged.
        let mut sent = sent.into_iter();
        let first = sent.next().expect("there are some").await.expect("no panic").expect("an answer");
        let place = demo.kill();
        let mut acknowledged = vec![first.url().path().to_owned()];
        for answer in sent {
            if let Ok(answer) = answer.await.expect("no panic")
                && answer.url().path().starts_with("/follow/")
            {
                acknowledged.push(answer.url().path().to_owned());
            }
        }
        let demo = Program::start("demo", Arc::clone(&place));
        for path in &acknowledged {
            let page = super::program::visitor().get(format!("{}{path}", demo.base)).send().await.unwrap();
            assert_eq!(page.status(), 200, "{kind:?}: an acknowledged report is gone");
        }
        // Everybody sends again what they had, for they can't know what arrived.
        let unit = Unit::of_demo(&demo);
        for opened in &forms {
            let answer = unit.send(opened, "tube pulled out").await.expect("an answer");
            assert_eq!(answer.status(), 200, "{kind:?}");
        }
        assert_eq!(count_reports(&place, "after"), before + forms.len(), "{kind:?}: each is there once");
    }
}

#[tokio::test]
async fn two_hundred_megabytes_are_refused_in_words_and_nothing_is_kept() {
    let demo = Program::demo(Kind::Sqlite).await;
    let unit = Unit::of_demo(&demo);
    let before = count_reports(demo.place(), "before");
    let answer = unit.send_bytes(&unit.form, 200 << 20).await.expect("an answer, not a dropped line");
    assert!(answer.status().is_client_error(), "{}", answer.status());
    let says = answer.text().await.expect("a page");
    assert!(says.contains("larger than can be taken"), "{says}");
    assert_eq!(count_reports(demo.place(), "after"), before);
    let opened = unit.open().await;
    assert_eq!(unit.send(&opened, "zip split").await.expect("an answer").status(), 200);
}

#[tokio::test]
async fn reports_are_acknowledged_while_books_are_imported() {
    for kind in BOTH {
        let demo = Program::demo(kind).await;
        let unit = Unit::of_demo(&demo);
        let pack = small_pack(demo.place(), 7, 120_000);
        // Its lots have the numbers of the demo's, which have gone into other lots already, and its rows under keys that the
        // demo has say something else: the good rows alone are taken.
        std::fs::remove_file(pack.join("lot_uses.csv")).expect("a file of the pack");
        let mut import = import_in_the_background(demo.place(), &pack, &["--keep-good"]);
        let mut acknowledged = 0;
        while import.try_wait().expect("a child of ours").is_none() {
            let opened = unit.open().await;
            let answer = unit.send(&opened, "closure let go").await.expect("an answer");
            assert_eq!(answer.status(), 200, "{kind:?}: {}", demo.log());
            acknowledged += 1;
            assert!(acknowledged < 600, "{kind:?}: the import doesn't end");
        }
        assert!(acknowledged > 1, "{kind:?}: the import was over before reports came");
        let code = import.wait().expect("it has ended");
        assert!(code.success(), "{kind:?}: the import fails beside reports");
    }
}
