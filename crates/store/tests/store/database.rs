//! A fresh database for one test: a SQLite file in a folder of its own, or a new database on the test server.

use std::future::Future;
use std::sync::atomic::{AtomicU32, Ordering};

use sea_orm::{ConnectionTrait as _, Database};
use store::Store;

/// An empty database, and the store on it.
pub(crate) struct Fresh {
    pub(crate) store: Store,
    pub(crate) url: String,
    pub(crate) is_sqlite: bool,
}

/// Runs one test on both databases, each empty and migrated.
pub(crate) fn on_both<F: Future<Output = ()>>(test: impl Fn(Fresh) -> F) {
    run(async {
        let folder = tempfile::tempdir().expect("a folder");
        let url = format!("sqlite://{}/books.sqlite", folder.path().display());
        test(fresh(&url).await).await;
    });
    run(async {
        let url = make().await;
        test(fresh(&url).await).await;
        remove(&url).await;
    });
}

/// The addresses of two empty databases, one of a kind, for tests that migrate by themselves.
pub(crate) fn on_both_unmigrated<F: Future<Output = ()>>(test: impl Fn(String) -> F) {
    run(async {
        let folder = tempfile::tempdir().expect("a folder");
        test(format!("sqlite://{}/books.sqlite?mode=rwc", folder.path().display())).await;
    });
    run(async {
        let url = make().await;
        test(url.clone()).await;
        remove(&url).await;
    });
}

fn run(test: impl Future<Output = ()>) {
    tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .expect("a runtime")
        .block_on(test);
}

async fn fresh(url: &str) -> Fresh {
    let store = Store::connect(url).await.unwrap_or_else(|e| panic!("{url}: {e}"));
    Fresh { store, url: url.to_owned(), is_sqlite: url.starts_with("sqlite") }
}

/// The server's address; a test that needs PostgreSQL fails without it, it is never passed over.
fn server() -> String {
    std::env::var("BARTACK_TEST_POSTGRES").expect(
        "BARTACK_TEST_POSTGRES is not set: run `tests/run`, which starts a PostgreSQL of its own, \
         or set it to the address of a server where databases may be made and dropped",
    )
}

async fn make() -> String {
    // Unique among the tests of this run and of runs beside it.
    static NEXT: AtomicU32 = AtomicU32::new(0);
    let number = NEXT.fetch_add(1, Ordering::Relaxed);
    let name = format!("bartack_store_{}_{number}", std::process::id());
    on_server(&format!("DROP DATABASE IF EXISTS {name} WITH (FORCE)")).await;
    on_server(&format!("CREATE DATABASE {name}")).await;
    let server = server();
    let (before, _) = server.rsplit_once('/').expect("an address with a database");
    format!("{before}/{name}")
}

async fn remove(url: &str) {
    let (_, name) = url.rsplit_once('/').expect("an address with a database");
    on_server(&format!("DROP DATABASE IF EXISTS {name} WITH (FORCE)")).await;
}

async fn on_server(statement: &str) {
    let connection = Database::connect(server()).await.expect("the test server answers");
    connection.execute_unprepared(statement).await.unwrap_or_else(|e| panic!("{statement}: {e}"));
    connection.close().await.expect("the connection closes");
}

/// Runs a statement behind the store's back.
pub(crate) async fn behind_the_back(url: &str, statement: &str) -> Result<u64, sea_orm::DbErr> {
    let connection = Database::connect(url).await.expect("the database opens");
    let done = connection.execute_unprepared(statement).await.map(|done| done.rows_affected());
    connection.close().await.expect("the connection closes");
    done
}
