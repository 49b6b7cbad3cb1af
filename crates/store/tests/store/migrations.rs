//! The schema goes up, down and up again, and the whole history leaves nothing behind.

use migrations::{Migrations as _, Migrator};
use sea_orm::{ConnectionTrait as _, Database, Statement};

use crate::database::on_both_unmigrated;

/// Every table, index, trigger and function there is, but the history's own.
async fn things(db: &sea_orm::DatabaseConnection) -> Vec<String> {
    let sql = match db.get_database_backend() {
        sea_orm::DbBackend::Sqlite => {
            "SELECT type || ' ' || name || ' ' || coalesce(sql, '') FROM sqlite_master \
             WHERE name NOT LIKE 'sqlite%' AND tbl_name <> 'seaql_migrations' ORDER BY 1"
        }
        _ => {
            "SELECT x FROM (
               SELECT 'column ' || table_name || '.' || column_name || ' ' || data_type || ' ' || is_nullable AS x
                 FROM information_schema.columns
                 WHERE table_schema = 'public' AND table_name <> 'seaql_migrations'
               UNION ALL SELECT 'index ' || indexdef FROM pg_indexes
                 WHERE schemaname = 'public' AND tablename <> 'seaql_migrations'
               UNION ALL SELECT 'trigger ' || trigger_name FROM information_schema.triggers
               UNION ALL SELECT 'key ' || conname || ' ' || confdeltype::text FROM pg_constraint
                 WHERE contype = 'f' AND connamespace = 'public'::regnamespace
               UNION ALL SELECT 'function ' || proname FROM pg_proc
                 WHERE pronamespace = 'public'::regnamespace) AS everything ORDER BY x"
        }
    };
    let rows =
        db.query_all_raw(Statement::from_string(db.get_database_backend(), sql)).await.expect("listed");
    rows.iter().map(|row| row.try_get_by_index(0).expect("a text")).collect()
}

#[test]
fn the_schema_goes_up_down_and_up_again() {
    on_both_unmigrated(|url| async move {
        let db = Database::connect(&url).await.expect("opens");
        Migrator::up(&db, None).await.expect("up");
        let first = things(&db).await;
        assert!(first.len() > 80, "{first:?}");
        Migrator::down(&db, None).await.expect("down");
        assert_eq!(things(&db).await, Vec::<String>::new());
        Migrator::up(&db, None).await.expect("up again");
        assert_eq!(things(&db).await, first);
        db.close().await.expect("closes");
    });
}

/// Steps that change rows and no table; each has a test of its own.
const OF_ROWS_ALONE: [&str; 2] = [INJURY_FIRST, OUTBOX_GIVEN_UP];
const INJURY_FIRST: &str = "m20261127_000416_injury_first";
const MODES_IMPORTED: &str = "m20261127_000419_catalogue_mode_imported";
const OUTBOX_GIVEN_UP: &str = "m20261127_000418_outbox_given_up";

fn names() -> Vec<String> {
    Migrator::migrations().iter().map(|step| step.name().to_owned()).collect()
}

#[test]
fn an_injury_that_waits_gets_a_place_before_near_misses_and_loses_it_again() {
    on_both_unmigrated(|url| async move {
        let db = Database::connect(&url).await.expect("opens");
        let steps = names().iter().position(|name| name == INJURY_FIRST).expect("known");
        Migrator::up(&db, Some(u32::try_from(steps).expect("few"))).await.expect("up to it");
        for row in [
            "unit (code, kind) VALUES ('COVE-2', 'wearing')",
            "part (part_no) VALUES ('RC-100')",
            "report (report_ref, found_on, received_on, unit, item_part_no, quantity, harm, waits) VALUES \
             ('A', '2026-04-01', '2026-04-02', 'COVE-2', 'RC-100', 1, 'injury', 0), \
             ('B', '2026-04-01', '2026-04-02', 'COVE-2', 'RC-100', 1, 'near_miss', 0), \
             ('C', '2026-04-01', '2026-04-02', 'COVE-2', 'RC-100', 1, 'none', 1), \
             ('D', '2026-04-01', '2026-04-02', 'COVE-2', 'RC-100', 1, NULL, 2), \
             ('E', '2026-04-01', '2026-04-02', 'COVE-2', 'RC-100', 1, 'injury', NULL)",
        ] {
            db.execute_unprepared(&format!("INSERT INTO {row}")).await.expect("written");
        }
        let places = async || {
            let sql = "SELECT waits FROM report ORDER BY report_ref";
            let all = Statement::from_string(db.get_database_backend(), sql);
            let rows = db.query_all_raw(all).await.expect("read");
            let place = |row: &sea_orm::QueryResult| row.try_get_by_index::<Option<i16>>(0).expect("a place");
            rows.iter().map(place).collect::<Vec<_>>()
        };
        Migrator::up(&db, Some(1)).await.expect("up");
        assert_eq!(places().await, [Some(0), Some(1), Some(2), Some(3), None]);
        Migrator::down(&db, Some(1)).await.expect("down");
        assert_eq!(places().await, [Some(0), Some(0), Some(1), Some(2), None]);
        db.close().await.expect("closes");
    });
}

#[test]
fn mail_that_was_given_up_stays_so_when_mail_is_tried_for_longer() {
    on_both_unmigrated(|url| async move {
        let db = Database::connect(&url).await.expect("opens");
        let steps = names().iter().position(|name| name == OUTBOX_GIVEN_UP).expect("known");
        Migrator::up(&db, Some(u32::try_from(steps).expect("few"))).await.expect("up to it");
        for (key, attempts, sent) in
            [("gone", 8, "NULL"), ("sent", 8, "'2026-04-02 00:00:00+00:00'"), ("waits", 3, "NULL")]
        {
            let row = format!(
                "INSERT INTO outbox (key, to_address, subject, body_text, body_html, made_at, run_at, attempts, sent_at, \
                 is_personal) VALUES ('{key}', 'a@b.example', 's', 't', 'h', '2026-04-01 00:00:00+00:00', \
                 '2026-04-01 00:00:00+00:00', {attempts}, {sent}, FALSE)"
            );
            db.execute_unprepared(&row).await.expect("written");
        }
        let tries = async || {
            let all =
                Statement::from_string(db.get_database_backend(), "SELECT attempts FROM outbox ORDER BY key");
            let rows = db.query_all_raw(all).await.expect("read");
            rows.iter().map(|row| row.try_get_by_index::<i64>(0).expect("a number")).collect::<Vec<_>>()
        };
        Migrator::up(&db, Some(1)).await.expect("up");
        assert_eq!(tries().await, [25, 8, 3]);
        Migrator::down(&db, Some(1)).await.expect("down");
        assert_eq!(tries().await, [8, 8, 3]);
        db.close().await.expect("closes");
    });
}

#[test]
fn modes_that_were_added_stay_when_their_table_is_made_anew_for_packs() {
    on_both_unmigrated(|url| async move {
        let db = Database::connect(&url).await.expect("opens");
        let steps = names().iter().position(|name| name == MODES_IMPORTED).expect("known");
        Migrator::up(&db, Some(u32::try_from(steps).expect("few"))).await.expect("up to it");
        for code in ["ZIP-91", "ZIP-90"] {
            let row = format!(
                "INSERT INTO catalogue_mode (kind, kind_name, code, name, mechanism, how_found, usual_fix, test_methods, \
                 default_severity, field_words, added_by, added_at) VALUES ('ZIP', '', '{code}', 'n', '', '', '', '', 'M', \
                 'w', 'FELL', '2026-04-01 00:00:00+00:00')"
            );
            db.execute_unprepared(&row).await.expect("written");
        }
        let codes = async || {
            let all = "SELECT code FROM catalogue_mode ORDER BY id";
            let all = Statement::from_string(db.get_database_backend(), all);
            let rows = db.query_all_raw(all).await.expect("read");
            rows.iter().map(|row| row.try_get_by_index::<String>(0).expect("a code")).collect::<Vec<_>>()
        };
        Migrator::up(&db, Some(1)).await.expect("up");
        assert_eq!(codes().await, ["ZIP-91", "ZIP-90"]);
        Migrator::down(&db, Some(1)).await.expect("down");
        assert_eq!(codes().await, ["ZIP-91", "ZIP-90"]);
        db.close().await.expect("closes");
    });
}

#[test]
fn every_step_can_be_undone_by_itself() {
    on_both_unmigrated(|url| async move {
        let db = Database::connect(&url).await.expect("opens");
        let mut before = things(&db).await;
        for step in names() {
            Migrator::up(&db, Some(1)).await.unwrap_or_else(|e| panic!("{step} up: {e}"));
            let after = things(&db).await;
            if !OF_ROWS_ALONE.contains(&step.as_str()) {
                assert_ne!(before, after, "{step} did nothing");
            }
            Migrator::down(&db, Some(1)).await.unwrap_or_else(|e| panic!("{step} down: {e}"));
            assert_eq!(things(&db).await, before, "{step} left something behind");
            Migrator::up(&db, Some(1)).await.unwrap_or_else(|e| panic!("{step} up again: {e}"));
            assert_eq!(things(&db).await, after);
            before = after;
        }
        db.close().await.expect("closes");
    });
}

#[test]
fn every_foreign_key_has_an_index() {
    on_both_unmigrated(|url| async move {
        let db = Database::connect(&url).await.expect("opens");
        Migrator::up(&db, None).await.expect("up");
        // The first column of some index of the same table is the column of the key.
        let sql = match db.get_database_backend() {
            sea_orm::DbBackend::Sqlite => {
                "SELECT m.name || '.' || f.\"from\" FROM sqlite_master m JOIN pragma_foreign_key_list(m.name) f \
                 WHERE m.type = 'table' AND NOT EXISTS (SELECT 1 FROM pragma_index_list(m.name) l \
                 JOIN pragma_index_info(l.name) i WHERE i.seqno = 0 AND i.name = f.\"from\")"
            }
            _ => {
                "SELECT conrelid::regclass || '.' || a.attname FROM pg_constraint c \
                 JOIN pg_attribute a ON a.attrelid = c.conrelid AND a.attnum = c.conkey[1] \
                 WHERE c.contype = 'f' AND NOT EXISTS (SELECT 1 FROM pg_index i \
                 WHERE i.indrelid = c.conrelid AND i.indkey[0] = c.conkey[1])"
            }
        };
        let rows =
            db.query_all_raw(Statement::from_string(db.get_database_backend(), sql)).await.expect("listed");
        let bare: Vec<String> = rows.iter().map(|row| row.try_get_by_index(0).expect("a text")).collect();
        assert_eq!(bare, Vec::<String>::new());
        db.close().await.expect("closes");
    });
}
