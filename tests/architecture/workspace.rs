//! Finds the workspace's files on disk, leaving out what is built, fetched or made at run time.

use std::path::{Path, PathBuf};
use std::process::Command;

/// What no rule looks into, by path from the root: none of it is ours, or none of it is kept.
const NOT_OURS: [&str; 9] = [
    ".git",
    "target",
    "data",
    ".env",
    "tests/shots",
    "tests/browser/node_modules",
    "crates/stats/fuzz/target",
    "crates/stats/fuzz/corpus",
    "crates/stats/fuzz/artifacts",
];

/// The checked-out tree.
pub(super) struct Workspace {
    root: PathBuf,
}

impl Workspace {
    /// The tree this test was built from.
    pub(super) fn open() -> Self {
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("the package lies in the workspace");
        Self { root: root.to_path_buf() }
    }

    /// The text of one file, by its path from the root.
    pub(super) fn read(&self, path: &str) -> String {
        std::fs::read_to_string(self.root.join(path)).unwrap_or_else(|e| panic!("{path}: {e}"))
    }

    /// Whether a file or folder lies at this path from the root.
    pub(super) fn holds(&self, path: &str) -> bool {
        self.root.join(path).exists()
    }

    /// Path and text of every file with this ending under one of the folders, in order of path.
    pub(super) fn files(&self, folders: &[&str], ending: &str) -> Vec<(String, String)> {
        let mut found = self.text_files();
        found.retain(|(path, _)| {
            folders.iter().any(|folder| path.starts_with(folder))
                && Path::new(path).extension().is_some_and(|e| e == ending)
        });
        found
    }

    /// Path and text of every Rust file under one of the folders.
    pub(super) fn rust_files(&self, folders: &[&str]) -> Vec<(String, String)> {
        self.files(folders, "rs")
    }

    /// Path and text of every file that reads as text; pictures and fonts are passed over.
    pub(super) fn text_files(&self) -> Vec<(String, String)> {
        let mut found = Vec::new();
        self.walk(&self.root, &mut found);
        found.sort();
        found
    }

    fn walk(&self, folder: &Path, found: &mut Vec<(String, String)>) {
        let entries = std::fs::read_dir(folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display()));
        for entry in entries {
            let path = entry.expect("a readable folder").path();
            let inside =
                path.strip_prefix(&self.root).expect("walked from the root").to_string_lossy().into_owned();
            if NOT_OURS.contains(&inside.as_str()) {
                continue;
            }
            if path.is_dir() {
                self.walk(&path, found);
            } else if let Ok(text) = std::fs::read_to_string(&path) {
                found.push((inside, text));
            }
        }
    }

    /// What `cargo metadata` says of the workspace's own packages.
    pub(super) fn metadata(&self) -> serde_json::Value {
        let text = self.cargo(&["metadata", "--format-version=1", "--no-deps", "--offline"]);
        serde_json::from_str(&text).expect("cargo writes JSON")
    }

    /// What a cargo command prints.
    pub(super) fn cargo(&self, arguments: &[&str]) -> String {
        let output = Command::new(env!("CARGO"))
            .args(arguments)
            .current_dir(&self.root)
            .output()
            .expect("cargo starts");
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).expect("cargo writes UTF-8")
    }
}
