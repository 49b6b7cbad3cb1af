//! Holds the licence of every dependency against the list in `deny.toml`, and the one TLS stack.

/// Crates that would bring a second TLS stack.
const OTHER_TLS: [&str; 3] = ["openssl-sys", "native-tls", "aws-lc-sys"];

/// The licences `deny.toml` allows: the quoted names in its first `allow` list.
pub(super) fn allowed(deny: &str) -> Vec<String> {
    let list = deny.split_once("\nallow = [").map_or("", |(_, rest)| rest);
    let lines = list.lines().take_while(|line| line.trim() != "]");
    lines.filter_map(|line| line.trim().strip_prefix('"')?.split('"').next()).map(ToOwned::to_owned).collect()
}

/// Each line of `cargo tree`, written `name version|licence`, that the list doesn't allow.
pub(super) fn findings(tree: &str, allowed: &[String]) -> Vec<String> {
    let mut found = Vec::new();
    for line in tree.lines() {
        let Some((package, licence)) = line.trim().trim_end_matches(" (*)").split_once('|') else { continue };
        if OTHER_TLS.iter().any(|name| package.split(' ').next() == Some(name)) {
            found.push(format!("{package}: rustls with ring is the one TLS stack here"));
        }
        if !permits(licence, allowed) {
            found.push(format!("{package}: `{licence}` is not on the list"));
        }
    }
    found.sort();
    found.dedup();
    found
}

/// Whether an SPDX expression can be met with allowed licences only; `/` is the old way to write `OR`.
fn permits(expression: &str, allowed: &[String]) -> bool {
    let spaced = expression.replace('/', " OR ").replace('(', " ( ").replace(')', " ) ");
    let mut words = spaced.split_whitespace().peekable();
    either(&mut words, allowed) && words.next().is_none()
}

type Words<'a> = std::iter::Peekable<std::str::SplitWhitespace<'a>>;

fn either(words: &mut Words<'_>, allowed: &[String]) -> bool {
    let mut met = both(words, allowed);
    while words.next_if_eq(&"OR").is_some() {
        // Read to the end even when one side is enough.
        met |= both(words, allowed);
    }
    met
}

fn both(words: &mut Words<'_>, allowed: &[String]) -> bool {
    let mut met = one(words, allowed);
    while words.next_if_eq(&"AND").is_some() {
        met &= one(words, allowed);
    }
    met
}

fn one(words: &mut Words<'_>, allowed: &[String]) -> bool {
    if words.next_if_eq(&"(").is_some() {
        let met = either(words, allowed);
        return words.next() == Some(")") && met;
    }
    let Some(name) = words.next() else { return false };
    match words.next_if_eq(&"WITH").and_then(|_| words.next()) {
        Some(exception) => allowed.contains(&format!("{name} WITH {exception}")),
        None => allowed.iter().any(|a| a == name),
    }
}

#[cfg(test)]
mod tests {
    use super::{allowed, findings, permits};

    fn list() -> Vec<String> {
        allowed(
            "[licenses]\nallow = [\n  \"MIT\",\n  # why\n  \"ISC\",\n  \"A WITH b\",\n]\nother = [\n  \"GPL-3.0\",\n]\n",
        )
    }

    #[test]
    fn the_list_is_read_to_its_end_and_no_further() {
        assert_eq!(list(), ["MIT", "ISC", "A WITH b"]);
    }

    #[test]
    fn expressions_are_met_by_one_side_of_or_and_both_of_and() {
        for good in ["MIT", "GPL-3.0 OR MIT", "GPL-3.0/MIT", "MIT AND ISC", "(MIT OR X) AND ISC", "A WITH b"]
        {
            assert!(permits(good, &list()), "{good}");
        }
        for bad in ["", "GPL-3.0", "MIT AND GPL-3.0", "(MIT OR X) AND Y", "A", "A WITH c", "(MIT"] {
            assert!(!permits(bad, &list()), "{bad}");
        }
    }

    #[test]
    fn a_licence_off_the_list_and_a_second_tls_stack_are_found() {
        let tree = "one v1.0.0|MIT\ntwo v2.0.0|GPL-3.0 (*)\nopenssl-sys v0.9.0|MIT\n\n";
        assert_eq!(findings(tree, &list()).len(), 2);
    }
}
