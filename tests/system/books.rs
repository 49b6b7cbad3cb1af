//! Books brought in and taken out on the command line, and an import that is cut off.

use std::path::{Path, PathBuf};
use std::process::{Child, Stdio};

use super::database::{BOTH, Kind};
use super::place::Place;

/// Simulates a pack of about so many items into a place, under numbers that no other seed uses.
pub(super) fn small_pack(place: &Place, seed: u32, items: u32) -> PathBuf {
    let pack = place.file(&format!("pack-{seed}"));
    let (seed, items) = (seed.to_string(), items.to_string());
    let out = pack.to_str().expect("a plain path");
    place.run(&["simulate", out, "--seed", &seed, "--items", &items, "--years", "4", "--varied"]);
    pack
}

/// Starts an import and doesn't wait for it.
pub(super) fn import_in_the_background(place: &Place, pack: &Path, options: &[&str]) -> Child {
    let pack = pack.to_str().expect("a plain path");
    let mut command = place.command(&[&["import", pack], options].concat());
    command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().expect("the import starts")
}

/// How many reports the books hold, counted in an export of that name.
pub(super) fn count_reports(place: &Place, name: &str) -> usize {
    let export = export(place, name);
    let reports = std::fs::read_to_string(export.join("reports.csv")).unwrap_or_default();
    // Words of reporters may hold line ends, but none of the tests here writes any.
    reports.lines().count().saturating_sub(1)
}

/// Exports the books and says where.
pub(super) fn export(place: &Place, name: &str) -> PathBuf {
    let out = place.file(name);
    place.run(&["export", out.to_str().expect("a plain path")]);
    out
}

/// Every file of a pack with its bytes, by name.
pub(super) fn files(pack: &Path) -> Vec<(String, Vec<u8>)> {
    let mut files: Vec<(String, Vec<u8>)> = std::fs::read_dir(pack)
        .expect("a folder")
        .map(|entry| {
            let path = entry.expect("a file").path();
            let name = path.file_name().expect("a name").to_string_lossy().into_owned();
            (name, std::fs::read(&path).expect("readable"))
        })
        .collect();
    files.sort();
    files
}

#[tokio::test]
async fn an_import_that_is_cut_off_leaves_nothing_and_can_be_done_again() {
    for kind in BOTH {
        let whole = Place::fresh(kind).await;
        let pack = small_pack(&whole, 3, 1500);
        whole.run(&["import", pack.to_str().expect("a plain path")]);
        let wanted = files(&export(&whole, "wanted"));

        let cut = Place::fresh(kind).await;
        let empty = files(&export(&cut, "empty"));
        let mut import = import_in_the_background(&cut, &pack, &[]);
        wait_until_it_writes(&cut, kind, &mut import).await;
        import.kill().expect("it runs");
        let code = import.wait().expect("it ends");
        assert!(!code.success(), "{kind:?}: the import was over before it was cut off");
        assert_eq!(files(&export(&cut, "after")), empty, "{kind:?}: half a pack is visible");
        cut.run(&["import", pack.to_str().expect("a plain path")]);
        assert!(files(&export(&cut, "again")) == wanted, "{kind:?}: a second import differs from a first");
    }
}

/// Waits until an import has begun to write rows that nobody may see yet.
async fn wait_until_it_writes(place: &Place, kind: Kind, import: &mut Child) {
    while import.try_wait().expect("a child of ours").is_none() {
        if place.rows_of("SELECT count(*) FROM part_revision").await > 0 {
            return;
        }
        tokio::time::sleep(std::time::Duration::from_millis(5)).await;
    }
    panic!("{kind:?}: the import ended before it wrote anything");
}
