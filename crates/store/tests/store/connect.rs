//! However many wait to write, readers read.

use domain::permission::Actor;
use sea_orm::{ConnectionTrait as _, Database, Statement, TransactionTrait as _};
use store::NewMail;

use crate::database::{Fresh, on_both};
use crate::samples::at;

/// The number that `connect.rs` serialises writers by; it is for ever.
const WRITER_LOCK: i64 = 0x6261_7274_6163_6b01;

/// More than the connections of any pool there.
const MANY: usize = 24;

/// How many wait for a lock of the server.
async fn waiting(db: &sea_orm::DatabaseConnection) -> i64 {
    let sql = "SELECT count(*) FROM pg_locks l JOIN pg_database d ON d.oid = l.database \
               WHERE d.datname = current_database() AND l.locktype = 'advisory' AND NOT l.granted";
    let row = db.query_one_raw(Statement::from_string(db.get_database_backend(), sql)).await;
    row.expect("read").expect("a row").try_get_by_index(0).expect("a number")
}

#[test]
fn many_who_wait_to_write_keep_nobody_from_reading_and_all_get_their_turn() {
    on_both(|fresh| async move {
        let Fresh { store, url, is_sqlite } = fresh;
        let db = Database::connect(&url).await.expect("opens");
        let writer = db.begin().await.expect("begun");
        let lock = if is_sqlite {
            "UPDATE setting SET value = value WHERE 1 = 0".to_owned()
        } else {
            format!("SELECT pg_advisory_xact_lock({WRITER_LOCK})")
        };
        writer.execute_unprepared(&lock).await.expect("locked");
        let writers: Vec<_> = (0..MANY)
            .map(|n| {
                let store = store.clone();
                let mail = NewMail {
                    key: format!("digest 2026-W10 {n}"),
                    to: "oda@rescue.example".into(),
                    subject: "x".into(),
                    text: "x".into(),
                    html: "x".into(),
                    is_personal: false,
                    stop_url: None,
                };
                tokio::spawn(async move { store.queue_mail(&Actor::Program, at(1), &[mail]).await })
            })
            .collect();
        let mut readings = 0;
        // Until as many wait as can, and a while on: a reading that finds no connection fails.
        while readings < 100 || (!is_sqlite && waiting(&db).await < 2) {
            assert!(store.list_units().await.expect("a connection for readers").is_empty());
            readings += 1;
        }
        writer.rollback().await.expect("let go");
        for writer in writers {
            assert_eq!(writer.await.expect("runs").expect("its turn"), 1);
        }
        db.close().await.expect("closes");
    });
}
