//! Holds `.env.sample` against the variables the configuration reads.

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
    use super::{composed, findings, read_by, sampled};
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
}
