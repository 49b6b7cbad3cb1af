//! Books that move house: out of one kind of database, into the other, and out again the same to the byte.

use super::books::{export, files};
use super::database::Kind;
use super::place::Place;

/// Simulates a world small enough for a test, in which every file of a pack has rows, and takes its books in.
pub(super) fn take_in_a_small_world(place: &Place) {
    let world = place.file("world");
    let world = world.to_str().expect("a plain path");
    place.run(&["simulate", world, "--items", "300", "--years", "2", "--end-date", "2026-03-31"]);
    place.run(&["import", world]);
}

#[tokio::test]
async fn books_move_from_sqlite_to_postgresql_and_out_again_the_same_to_the_byte() {
    let (sqlite, postgres) = (Place::fresh(Kind::Sqlite).await, Place::fresh(Kind::Postgres).await);
    take_in_a_small_world(&sqlite);
    let pack = export(&sqlite, "out");
    postgres.run(&["import", pack.to_str().expect("a plain path")]);
    let (one, two) = (files(&pack), files(&export(&postgres, "out")));

    let names = |files: &[(String, Vec<u8>)]| files.iter().map(|(name, _)| name.clone()).collect::<Vec<_>>();
    let filled =
        one.iter().filter(|(_, bytes)| String::from_utf8_lossy(bytes).lines().nth(1).is_some()).count();
    assert!(filled >= 15, "{filled} files with rows are too few to believe: {:?}", names(&one));
    assert_eq!(names(&one), names(&two));
    for ((name, before), (_, after)) in one.iter().zip(&two) {
        assert!(before == after, "{name} is not the same after it went through PostgreSQL");
    }
}
