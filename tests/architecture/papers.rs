//! Holds the paths that README and DEVELOPERS name against what is there.

/// The top-level folders and files a named path can start with.
const ROOTS: [&str; 7] =
    ["crates/", "migrations/", "templates/", "tests/", ".ci/", "docker-compose", ".env."];

/// Each path between back quotes that leads nowhere.
pub(super) fn missing(text: &str, exists: impl Fn(&str) -> bool) -> Vec<String> {
    let quoted = text.split('`').skip(1).step_by(2);
    quoted
        .filter_map(|words| words.split_whitespace().next())
        .filter(|path| ROOTS.iter().any(|root| path.starts_with(root)) && !path.contains('<'))
        .filter(|path| !exists(path))
        .map(|path| format!("`{path}` is named but isn't there"))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::missing;

    #[test]
    fn a_path_that_leads_nowhere_is_found() {
        let text = "See `crates/web/src/gone.rs`, `tests/run quick`, `templates/pages/<noun>/` and `lot`.";
        let found = missing(text, |path| path == "tests/run");
        assert_eq!(found, ["`crates/web/src/gone.rs` is named but isn't there"]);
    }
}
