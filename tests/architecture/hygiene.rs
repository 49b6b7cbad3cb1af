//! Rules every file keeps: what it opens with, how long it is, nothing silenced, nothing left unwritten.

use super::lex::Source;

/// The most lines a file may have before its tests.
const MOST_LINES: usize = 400;

/// The file's first line is `//!` and a sentence.
pub(super) fn header(source: &Source) -> Vec<String> {
    let first = source.text.lines().next().unwrap_or_default();
    match first.strip_prefix("//! ") {
        Some(words) if words.split_whitespace().count() >= 3 => Vec::new(),
        _ => vec!["the first line isn't `//! ` and a sentence saying what the file is for".to_owned()],
    }
}

/// No more lines than a reader can hold.
pub(super) fn length(source: &Source) -> Vec<String> {
    let lines = source.production_lines();
    if lines > MOST_LINES {
        vec![format!("{lines} lines before its tests, {MOST_LINES} at most")]
    } else {
        Vec::new()
    }
}

/// Lints are answered with `expect` and a reason.
pub(super) fn lint_attributes(source: &Source) -> Vec<String> {
    let flat: String = source.code.split_whitespace().collect();
    let mut found = Vec::new();
    if flat.contains("#[allow(") || flat.contains("#![allow(") || flat.contains(",allow(") {
        found.push("`allow` silences a lint for good: use `expect` with a reason".to_owned());
    }
    for opening in ["#[expect(", "#![expect("] {
        for rest in flat.split(opening).skip(1) {
            let end = rest.find(")]").unwrap_or(rest.len());
            if !rest[..end].contains("reason=") {
                found.push(format!("`{opening}{}` gives no reason", &rest[..end]));
            }
        }
    }
    found
}

/// Nothing stands for work still to do, and no test is switched off.
pub(super) fn unfinished(source: &Source) -> Vec<String> {
    let mut found = Vec::new();
    for (number, line) in source.code.lines().enumerate() {
        let flat: String = line.split_whitespace().collect();
        for sign in ["todo!(", "unimplemented!(", "#[ignore]", "#[ignore="] {
            if flat.contains(sign) {
                found.push(format!("line {}: `{sign}`", number + 1));
            }
        }
    }
    for (number, comment) in &source.comments {
        if comment
            .split(|c: char| !c.is_alphanumeric())
            .any(|word| ["TODO", "FIXME", "XXX", "HACK"].contains(&word))
        {
            found.push(format!("line {number}: a comment that puts work off"));
        }
        if comment.starts_with("//")
            && ["```ignore", "```should_panic,ignore"].iter().any(|f| comment.contains(f))
        {
            found.push(format!("line {number}: an example that isn't run"));
        }
    }
    found
}

/// No text leads into a folder that only one machine has.
pub(super) fn machine_paths(text: &str) -> Vec<String> {
    // Put together here, so that this file doesn't find itself.
    let folders =
        [["/wo", "rk/"], ["/tm", "p/"], ["/ho", "me/"], ["/ro", "ot/"], ["/Us", "ers/"]].map(|p| p.concat());
    let mut found = Vec::new();
    for (number, line) in text.lines().enumerate() {
        for folder in &folders {
            // Part of a longer path or address, such as `.../home/`, leads elsewhere.
            let leads = line
                .match_indices(folder.as_str())
                .any(|(at, _)| !line[..at].ends_with(|c: char| c.is_alphanumeric() || "_-.}".contains(c)));
            if leads {
                found.push(format!("line {}: `{folder}`", number + 1));
            }
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::{MOST_LINES, header, length, lint_attributes, machine_paths, unfinished};
    use crate::architecture::lex::Source;

    fn bad(rule: impl Fn(&Source) -> Vec<String>, text: &str) -> bool {
        !rule(&Source::read(text)).is_empty()
    }

    #[test]
    fn a_file_without_its_sentence_is_found() {
        assert!(bad(header, "use std::fmt;\n"));
        assert!(bad(header, "//! lots\n"));
        assert!(bad(header, ""));
        assert!(!bad(header, "//! What a lot is.\n"));
    }

    #[test]
    fn a_long_file_is_found_and_its_tests_are_not_counted() {
        let lines = "fn a() {}\n".repeat(MOST_LINES);
        assert!(bad(length, &format!("{lines}fn b() {{}}\n")));
        assert!(!bad(length, &format!("{lines}#[cfg(test)]\nmod tests {{\n{lines}}}\n")));
    }

    #[test]
    fn silenced_lints_are_found() {
        assert!(bad(lint_attributes, "#[allow(dead_code)]\nfn a() {}"));
        assert!(bad(lint_attributes, "#![ allow (dead_code)]"));
        assert!(bad(lint_attributes, "#[cfg_attr(test, allow(dead_code))]\nfn a() {}"));
        assert!(bad(lint_attributes, "#[expect(dead_code)]\nfn a() {}"));
        assert!(!bad(lint_attributes, "#[expect(dead_code, reason = \"read by the template\")]\nfn a() {}"));
        assert!(!bad(lint_attributes, "// #[allow(dead_code)] is never used\nfn a() {}"));
    }

    #[test]
    fn work_left_undone_is_found() {
        for text in
            ["fn a() { todo!() }", "fn a() { unimplemented!(\"b\") }", "#[test]\n#[ignore]\nfn a() {}"]
        {
            assert!(bad(unfinished, text), "{text}");
        }
        assert!(bad(unfinished, "#[ignore = \"slow\"]\nfn a() {}"));
        assert!(bad(unfinished, &format!("// {}: later\n", ["TO", "DO"].concat())));
        assert!(bad(unfinished, "/// ```ignore\n/// a();\n/// ```\nfn a() {}"));
        assert!(!bad(unfinished, "let a = \"todo!()\";"));
    }

    #[test]
    fn a_folder_of_one_machine_is_found() {
        assert!(!machine_paths(&["see /wo", "rk/main"].concat()).is_empty());
        assert!(!machine_paths(&["\"/ho", "me/kim/x\""].concat()).is_empty());
        assert!(machine_paths(&["https://example.org/ho", "me/"].concat()).is_empty());
        assert!(machine_paths("crates/web/src/pages").is_empty());
    }
}
