//! A fresh database for one test: a SQLite file in the test's folder, or a new database on the test server.

use std::path::Path;
use std::sync::atomic::{AtomicU32, Ordering};

use sea_orm::{ConnectionTrait, Statement};

/// Which kind of database a test runs on.
#[derive(Clone, Copy, Debug)]
pub(super) enum Kind {
    /// The embedded default.
    Sqlite,
    /// The server `BARTACK_TEST_POSTGRES` leads to.
    Postgres,
}

/// Both, for tests that must hold on each.
pub(super) const BOTH: [Kind; 2] = [Kind::Sqlite, Kind::Postgres];

/// A database that is gone when this value is.
pub(super) struct Database {
    /// Its address, as `DATABASE_URL` takes it.
    pub(super) url: String,
    on_server: Option<String>,
}

impl Database {
    /// Makes an empty database; an SQLite file goes into `folder`.
    pub(super) async fn fresh(kind: Kind, folder: &Path) -> Self {
        match kind {
            Kind::Sqlite => {
                Self { url: format!("sqlite://{}/bartack.sqlite", folder.display()), on_server: None }
            }
            Kind::Postgres => {
                // Unique among the tests of this run and of runs beside it.
                static NEXT: AtomicU32 = AtomicU32::new(0);
                let number = NEXT.fetch_add(1, Ordering::Relaxed);
                let name = format!("bartack_test_{}_{number}", std::process::id());
                on_server(&[
                    format!("DROP DATABASE IF EXISTS {name} WITH (FORCE)"),
                    format!("CREATE DATABASE {name}"),
                ])
                .await;
                let server = server();
                let (before, _) = server.rsplit_once('/').expect("an address with a database");
                Self { url: format!("{before}/{name}"), on_server: Some(name) }
            }
        }
    }
}

impl Database {
    /// The number that a query gives.
    pub(super) async fn number(&self, sql: &str) -> i64 {
        let connection = sea_orm::Database::connect(&self.url).await.expect("the database answers");
        let row = connection.query_one_raw(Statement::from_string(connection.get_database_backend(), sql));
        let number = row.await.expect("a good query").expect("one row").try_get_by_index(0);
        connection.close().await.expect("the connection closes");
        number.expect("a number")
    }
}

impl Drop for Database {
    fn drop(&mut self) {
        let Some(name) = self.on_server.take() else { return };
        // A runtime of its own: the test's may be the very one that is dropping this.
        let dropped = std::thread::spawn(move || {
            tokio::runtime::Runtime::new()
                .expect("a runtime")
                .block_on(on_server(&[format!("DROP DATABASE IF EXISTS {name} WITH (FORCE)")]));
        })
        .join();
        assert!(dropped.is_ok() || std::thread::panicking(), "the test's database could not be dropped");
    }
}

/// The server's address; a test that needs PostgreSQL fails without it, it is never passed over.
fn server() -> String {
    std::env::var("BARTACK_TEST_POSTGRES").expect(
        "BARTACK_TEST_POSTGRES is not set: run `tests/run`, which starts a PostgreSQL of its own, \
         or set it to the address of a server where databases may be made and dropped",
    )
}

async fn on_server(statements: &[String]) {
    let connection = sea_orm::Database::connect(server()).await.expect("the test server answers");
    for statement in statements {
        connection.execute_unprepared(statement).await.unwrap_or_else(|e| panic!("{statement}: {e}"));
    }
    connection.close().await.expect("the connection closes");
}
