//! A place where the program runs: a folder and a database of one test, which outlive any one start of the program.

use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use tempfile::TempDir;

use super::database::{Database, Kind};
use super::program::binary;

/// A folder and a database, both gone when this value is.
pub(super) struct Place {
    database: Database,
    folder: TempDir,
}

impl Place {
    /// An empty one.
    pub(super) async fn fresh(kind: Kind) -> Self {
        let folder = TempDir::new().expect("a folder for the test");
        Self { database: Database::fresh(kind, folder.path()).await, folder }
    }

    /// The folder.
    pub(super) fn path(&self) -> &Path {
        self.folder.path()
    }

    /// A name in the folder.
    pub(super) fn file(&self, name: &str) -> PathBuf {
        self.path().join(name)
    }

    /// The program on this folder and database, not started yet.
    pub(super) fn command(&self, args: &[&str]) -> Command {
        let mut command = Command::new(binary());
        command
            .args(args)
            .env("DATABASE_URL", &self.database.url)
            .env("BARTACK_DATA", self.path())
            .env_remove("BARTACK_PUBLIC_URL")
            .stdin(Stdio::null());
        command
    }

    /// The number that a query gives on the database, whoever else is at it.
    pub(super) async fn rows_of(&self, sql: &str) -> i64 {
        self.database.number(sql).await
    }

    /// Runs the program to its end, which must be a good one, and gives what it printed.
    pub(super) fn run(&self, args: &[&str]) -> String {
        let Output { status, stdout, stderr } = self.command(args).output().expect("the program starts");
        let stderr = String::from_utf8_lossy(&stderr);
        assert!(status.success(), "bartack {args:?}: {stderr}");
        String::from_utf8(stdout).expect("the program prints text")
    }
}
