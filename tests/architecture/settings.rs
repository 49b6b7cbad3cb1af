//! Holds `.env.sample` against the variables the configuration reads, and `docker-compose.yml` against `.env.sample`.

use std::collections::BTreeSet;

use super::lex::Source;

/// The names of environment variables in the file: string literals made of capitals, digits and underscores only.
pub(super) fn read_by(config: &Source) -> BTreeSet<String> {
    let before = config.production_lines();
    config
        .strings
        .iter()
        .filter(|(number, _)| *number <= before)
        .map(|(_, words)| words.clone())
        .filter(|words| is_variable(words))
        .collect()
}

/// The names docker compose fills in: `${NAME}`, `${NAME:-default}`, `${NAME:?message}`.
pub(super) fn composed(compose: &str) -> BTreeSet<String> {
    compose
        .split("${")
        .skip(1)
        .map(|rest| rest.split([':', '}']).next().unwrap_or_default().to_owned())
        .filter(|name| is_variable(name))
        .collect()
}

/// What a library reads by itself: the log's filter.
pub(super) const READ_BESIDE: &str = "RUST_LOG";

/// The names in the sample: lines `NAME=` or, for what has a default, `# NAME=`.
pub(super) fn sampled(sample: &str) -> BTreeSet<String> {
    sample
        .lines()
        .filter_map(|line| line.trim_start_matches("# ").split_once('='))
        .map(|(name, _)| name.to_owned())
        .filter(|name| is_variable(name))
        .collect()
}

/// The settings in the sample that name a folder: the comment before them begins so.
pub(super) fn folders(sample: &str) -> BTreeSet<String> {
    let begins = |block: &&str| {
        let first = block.lines().next().unwrap_or_default().trim_start_matches("# ");
        first.starts_with("Folder ") || first.starts_with("A folder ")
    };
    // A setting ends its block, though another may follow it without a line between.
    let mut blocks = vec![String::new()];
    for line in sample.lines() {
        let block = blocks.last_mut().expect("one at least");
        block.push_str(line);
        block.push('\n');
        if line.is_empty() || !sampled(line).is_empty() {
            blocks.push(String::new());
        }
    }
    blocks.iter().map(String::as_str).filter(begins).flat_map(sampled).collect()
}

/// What docker compose keeps from the program: settings that it doesn't hand on or sets by itself, and folders that it
/// doesn't bind in.
pub(super) fn withheld(compose: &str, sample: &str) -> Vec<String> {
    let asked = composed(compose);
    let hands_on_all = compose.contains("env_file:") && compose.contains("- path: .env\n");
    let sets = |name: &String| compose.lines().any(|line| line.trim().starts_with(&format!("{name}:")));
    let binds = |name: &String| {
        let begins = format!("- \"${{{name}:-");
        compose.lines().any(|line| line.trim().starts_with(&begins))
    };
    let (all, folders) = (sampled(sample), folders(sample));
    let mut found = Vec::new();
    for name in all.difference(&asked) {
        if sets(name) || !hands_on_all {
            found.push(format!("`{name}` of .env.sample doesn't reach the program in docker compose"));
        }
    }
    let unbound = folders.iter().filter(|name| !binds(name));
    found.extend(unbound.map(|name| format!("the folder `{name}` is bound into no container")));
    found
}

/// Secrets may also come from a file named by `<NAME>_FILE`; that twin needs no line of its own.
fn is_variable(name: &str) -> bool {
    name.len() >= 4
        && name.contains('_')
        && !name.ends_with("_FILE")
        && name.starts_with(|c: char| c.is_ascii_uppercase())
        && name.chars().all(|c| c.is_ascii_uppercase() || c.is_ascii_digit() || c == '_')
}

/// What one side has and the other lacks.
pub(super) fn findings(read: &BTreeSet<String>, sampled: &BTreeSet<String>) -> Vec<String> {
    let mut found = Vec::new();
    found.extend(read.difference(sampled).map(|name| format!("`{name}` is read but not in .env.sample")));
    found.extend(sampled.difference(read).map(|name| format!("`{name}` is in .env.sample but never read")));
    found
}

#[cfg(test)]
mod tests {
    use super::{composed, findings, folders, read_by, sampled, withheld};
    use crate::architecture::lex::Source;

    #[test]
    fn a_variable_that_one_side_lacks_is_found() {
        let config =
            Source::read("let a = var(\"DATABASE_URL\"); let b = var(\"BARTACK_SALT\"); // \"NOT_READ\"");
        let sample = "# Where the data lives.\nDATABASE_URL=sqlite://x\n# BARTACK_GONE=1\n";
        let found = findings(&read_by(&config), &sampled(sample));
        assert_eq!(found.len(), 2, "{found:?}");
        assert!(found[0].contains("BARTACK_SALT") && found[1].contains("BARTACK_GONE"));
    }

    #[test]
    fn agreement_passes() {
        let config = Source::read("let a = var(\"DATABASE_URL\"); let b = var(&format!(\"{a}_FILE\"));");
        assert!(findings(&read_by(&config), &sampled("DATABASE_URL=\n")).is_empty());
    }

    #[test]
    fn what_compose_fills_in_is_read_too() {
        let found = composed("a: \"x${DATABASE_PASSWORD:?set it}y\"\nb: ${RUST_LOG}\nc: $$PLAIN_TEXT");
        assert_eq!(found.into_iter().collect::<Vec<_>>(), ["DATABASE_PASSWORD", "RUST_LOG"]);
    }

    #[test]
    fn what_compose_keeps_from_the_program_is_found() {
        let sample = "# Folder for all.\n# MY_DATA=data\n\n# A folder of mail.\n# MY_BOX=\n# How many\n# days.\n# MY_DAYS=3\n";
        assert_eq!(folders(sample).into_iter().collect::<Vec<_>>(), ["MY_BOX", "MY_DATA"]);
        let some = "environment:\n  MY_DATA: \"${MY_DATA:-data}\"\n";
        assert_eq!(withheld(some, sample).len(), 4, "{:?}", withheld(some, sample));
        let all =
            "env_file:\n  - path: .env\nenvironment:\n  MY_DAYS: 4\nvolumes:\n  - \"${MY_DATA:-data}:/a\"\n";
        let found = withheld(all, sample);
        assert!(found.len() == 2 && found[0].contains("MY_DAYS") && found[1].contains("MY_BOX"), "{found:?}");
        let whole = all.replace("  MY_DAYS: 4\n", "") + "  - \"${MY_BOX:-box}:/b\"\n";
        assert!(withheld(&whole, sample).is_empty(), "{:?}", withheld(&whole, sample));
    }
}
