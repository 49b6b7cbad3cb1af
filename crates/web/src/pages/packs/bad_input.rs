//! Packs that can't be taken, or not as a whole, and the words of the page for each.

use std::io::{Cursor, Write as _};

use axum::http::StatusCode;
use domain::permission::Role;

use super::tests::{LOTS, PARTS, UNITS, answer, ended, kept, leads_to, plain, send, signed_in};
use crate::config::Config;
use crate::state::AppState;
use crate::testing::{get, post, service, state, text};

/// A file as a browser names and sends it.
type Sent<'a> = (&'a str, &'a [u8]);

fn zip(entries: &[(&str, &[u8])]) -> Vec<u8> {
    let mut writer = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in entries {
        writer.start_file(*name, zip::write::SimpleFileOptions::default()).unwrap();
        writer.write_all(bytes).unwrap();
    }
    writer.finish().unwrap().into_inner()
}

#[tokio::test]
async fn what_is_no_pack_is_refused_in_a_sentence_and_not_kept() {
    let state = state().await;
    let service = service(&state);
    let sid = signed_in(&state, &service, "fell", Role::Engineer).await;
    let bomb = zip(&[("units.csv", &vec![b'0'; 8 << 20])]);
    let leading_out = zip(&[("../units.csv", UNITS.as_bytes())]);
    let strange = zip(&[("orders.csv", b"a")]);
    let units = ("units.csv", UNITS.as_bytes());
    let cases: [(&[Sent], &str); 10] = [
        (&[], "Choose the files first: one zip, or CSV files of a pack."),
        (&[("", b"")], "Choose the files first: one zip, or CSV files of a pack."),
        (&[("pack.zip", b"no zip")], "pack.zip is called a zip, but it isn't one, so nothing was kept."),
        (
            &[("pack.zip", b"PK\x03\x04 and nothing")],
            "pack.zip can't be taken, so nothing was kept: is not a zip",
        ),
        (&[("pack.zip", &bomb)], "packed too tightly for a file of a pack; send it unpacked if it is one"),
        (&[("pack.zip", &leading_out)], "a name in the zip leads out of it"),
        (&[("pack.zip", &strange)], "orders.csv: a pack has no such file; it may hold modes.csv, units.csv"),
        (
            &[("orders.csv", b"a")],
            "This isn't a data pack, so nothing was kept: orders.csv: a pack has no such file",
        ),
        (&[units, ("pack.zip", &strange)], "Send either one zip or CSV files, not both; nothing was kept."),
        (&[units, units], "units.csv was sent twice. Nothing was kept."),
    ];
    for (files, says) in cases {
        let (status, page) = answer(&service, &sid, files).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{says}");
        assert!(page.contains(says) && page.contains("pack-problem"), "{says}: {page}");
        assert_eq!(kept(&state), 0, "{says}");
    }
}

#[tokio::test]
async fn names_with_folders_stay_in_the_folder_of_the_pack() {
    let state = state().await;
    let service = service(&state);
    let sid = signed_in(&state, &service, "fell", Role::Engineer).await;
    leads_to(&send(&service, &sid, &[("../../../units.csv", UNITS.as_bytes())]).await);
    leads_to(&send(&service, &sid, &[("C:\\books\\units.csv", UNITS.as_bytes())]).await);
    let (status, page) = answer(&service, &sid, &[("books/..", b"a")]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("A file has a name that can't be used. Nothing was kept."), "{page}");
    assert_eq!(kept(&state), 2);
    assert!(!state.config().storage.data_folder.join("units.csv").exists());
}

#[tokio::test]
async fn what_is_too_large_is_said_so_and_not_kept() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().to_str().unwrap().to_owned();
    let config = Config::read(&|name| match name {
        "BARTACK_DATA" => Some(data.clone()),
        "BARTACK_PACK_MIB" => Some("1".to_owned()),
        _ => None,
    });
    let state = AppState::new(config.unwrap()).await.unwrap();
    let service = service(&state);
    let sid = signed_in(&state, &service, "fell", Role::Engineer).await;
    for megabytes in [2, 6] {
        let large = vec![b'a'; megabytes << 20];
        let (status, page) = answer(&service, &sid, &[("units.csv", &large)]).await;
        assert_eq!(status, StatusCode::PAYLOAD_TOO_LARGE);
        assert!(page.contains("so nothing was kept.") && page.contains("pack-problem"), "{page}");
        assert_eq!(kept(&state), 0);
    }
}

#[tokio::test]
async fn every_bad_row_is_listed_with_its_reason_and_nothing_taken_until_asked() {
    let state = state().await;
    let service = service(&state);
    let sid = signed_in(&state, &service, "fell", Role::Engineer).await;
    let movements = "moved_on,kind,lot_no,unit,quantity\n2026-01-02,issue,H-1,COVE-2,5\n2026-01-02,issue,H-9,COVE-2,5\n\
        2026-04-01,issue,H-1,COVE-2,5\n2026-01-05,return,H-1,COVE-2,8\n2026-01-02,issue,\"H-1,COVE-2,5\n";
    let files =
        [("units.csv", UNITS), ("parts.csv", PARTS), ("lots.csv", LOTS), ("movements.csv", movements)];
    let address = leads_to(&send(&service, &sid, &files.map(|(name, text)| (name, text.as_bytes()))).await);
    let page = plain(&text(get(&service, &address, &sid).await).await);
    for says in [
        "9 rows in 4 files: 6 good, 3 refused.",
        "no lot has this number",
        "is in the future (today is 2026-03-03)",
        "a quote is opened and not closed",
        "2026-01-05, COVE-2, lot H-1: return of 8, 5 on record",
        "Keep the 6 good rows",
    ] {
        assert!(page.contains(says), "{says}: {page}");
    }
    assert!(!page.contains("Take it all in"), "{page}");
    let list = text(get(&service, &format!("{address}/refusals.csv"), &sid).await).await;
    assert!(
        list.starts_with(
            "file,line,column,value,reason\nmovements.csv,3,lot_no,H-9,no lot has this number\n"
        ),
        "{list}"
    );

    let taking = format!("{address}/take");
    assert_eq!(post(&service, &taking, &sid, "rows=all").await.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(state.store().list_imports().await.unwrap().is_empty());
    leads_to(&post(&service, &taking, &sid, "rows=good").await);
    let page = ended(&service, &sid, &address).await;
    assert!(page.contains("Taken in: 6 new rows in the books.") && page.contains("left-out.csv"), "{page}");
    let left_out = text(get(&service, &format!("{address}/left-out.csv"), &sid).await).await;
    assert_eq!(left_out.lines().count(), 4, "{left_out}");
}

#[tokio::test]
async fn a_file_with_a_wrong_column_bars_the_whole_pack() {
    let state = state().await;
    let service = service(&state);
    let sid = signed_in(&state, &service, "fell", Role::Engineer).await;
    let files: [(&str, &[u8]); 2] = [("units.csv", b"unit,colour\nA,red\n"), ("parts.csv", PARTS.as_bytes())];
    let address = leads_to(&send(&service, &sid, &files).await);
    let page = plain(&text(get(&service, &address, &sid).await).await);
    assert!(page.contains("column `colour` is not known; expected unit, name, kind"), "{page}");
    assert!(page.contains("no row of the pack can be taken in"), "{page}");
    assert!(!page.contains("Take it all in") && !page.contains("Keep the"), "{page}");
    for rows in ["all", "good"] {
        let refused = post(&service, &format!("{address}/take"), &sid, &format!("rows={rows}")).await;
        assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY);
    }
    assert!(state.store().list_imports().await.unwrap().is_empty());
}

#[tokio::test]
async fn many_refusals_come_in_pages() {
    let state = state().await;
    let service = service(&state);
    let sid = signed_in(&state, &service, "fell", Role::Engineer).await;
    let rows: Vec<String> = (0..150).map(|n| format!("U-{n},ship")).collect();
    let units = format!("unit,kind\n{}\n", rows.join("\n"));
    let address = leads_to(&send(&service, &sid, &[("units.csv", units.as_bytes())]).await);
    let first = plain(&text(get(&service, &address, &sid).await).await);
    assert!(first.contains("Reasons 1 to 100 of 150 listed.") && first.contains("page=1"), "{first}");
    let second = plain(&text(get(&service, &format!("{address}?page=1"), &sid).await).await);
    assert!(second.contains("Reasons 101 to 150 of 150 listed.") && second.contains("page=0"), "{second}");
    let beyond = get(&service, &format!("{address}?page=4000000000"), &sid).await;
    assert_eq!(beyond.status(), StatusCode::OK);
}
