//! No type of the database library stands in a public signature of the store.

use std::collections::{BTreeMap, BTreeSet};

use super::lex::Source;

/// Every public item of the crate, in a module that is public all the way up, whose signature names the library.
pub(super) fn findings(files: &[(String, String)]) -> Vec<String> {
    let sources: BTreeMap<&str, Source> =
        files.iter().map(|(path, text)| (path.as_str(), Source::read(text))).collect();
    let mut found = Vec::new();
    for (path, source) in &sources {
        if is_public(path, &sources) {
            let foreign = foreign_names(source);
            for (line, signature) in public_signatures(source) {
                if let Some(name) = foreign.iter().find(|name| has_word(&signature, name)) {
                    found.push(format!("{path}: line {line}: `{name}` in a public signature"));
                }
            }
        }
    }
    found
}

/// Whether a file's module, and each module above it, is declared `pub mod` or re-exported.
fn is_public(path: &str, sources: &BTreeMap<&str, Source>) -> bool {
    let Some((folder, file)) = path.rsplit_once('/') else { return false };
    if file == "lib.rs" {
        return true;
    }
    let (folder, name) = match file.strip_suffix(".rs") {
        Some("mod") => folder.rsplit_once('/').unwrap_or((folder, "")),
        Some(name) => (folder, name),
        None => return false,
    };
    let parents = [format!("{folder}/lib.rs"), format!("{folder}.rs"), format!("{folder}/mod.rs")];
    let Some(parent) = parents.iter().find(|parent| sources.contains_key(parent.as_str())) else {
        return false;
    };
    let code = &sources[parent.as_str()].code;
    let declared = code.lines().any(|line| line.trim() == format!("pub mod {name};"));
    // A private module whose items are lifted out with `pub use` is as public as they are.
    let lifted = code.lines().any(|line| line.trim().starts_with(&format!("pub use {name}::")))
        || code.lines().any(|line| line.trim().starts_with(&format!("pub use self::{name}::")));
    (declared || lifted) && is_public(parent, sources)
}

/// The names this file gives to things of the library, and the library's own name.
fn foreign_names(source: &Source) -> BTreeSet<String> {
    let mut names: BTreeSet<String> =
        ["sea_orm", "sea_orm_migration", "sqlx", "sea_query"].map(ToOwned::to_owned).into();
    for statement in source.code.split(';') {
        let Some(at) = statement.find("use sea_orm") else { continue };
        let words =
            statement[at..].split(|c: char| !c.is_alphanumeric() && c != '_').filter(|w| !w.is_empty());
        let listed: Vec<&str> = words.skip(2).collect();
        for (n, word) in listed.iter().enumerate() {
            // Of `A as B` only `B` is a name here; lower-case words are modules.
            if *word != "as"
                && listed.get(n + 1) != Some(&"as")
                && word.starts_with(|c: char| c.is_uppercase())
            {
                names.insert((*word).to_owned());
            }
        }
    }
    names
}

/// The text of each `pub` item from its keyword to the end of its signature or fields, with its line.
fn public_signatures(source: &Source) -> Vec<(usize, String)> {
    let lines: Vec<&str> = source.code.lines().take(source.production_lines()).collect();
    let mut found = Vec::new();
    for (n, line) in lines.iter().enumerate() {
        let start = line.trim_start();
        if !start.starts_with("pub ") || start.starts_with("pub mod ") {
            continue;
        }
        let fields = start.starts_with("pub enum ");
        found.push((n + 1, until_end(&lines[n..], fields)));
    }
    found
}

/// Joins lines up to the `{`, `;` or field's `,` that closes a signature; an enum runs to its closing brace.
fn until_end(lines: &[&str], whole_body: bool) -> String {
    let mut text = String::new();
    let mut depth = 0_i32;
    for line in lines {
        for c in line.chars() {
            match c {
                '(' | '[' => depth += 1,
                ')' | ']' => depth -= 1,
                '{' if whole_body => depth += 1,
                '}' if whole_body && depth == 1 => return text,
                '}' if whole_body => depth -= 1,
                // `use a::{B, C}` has braces inside its signature.
                '{' if depth == 0 && !text.contains("pub use ") => return text,
                ';' if depth == 0 => return text,
                _ => {}
            }
            text.push(c);
        }
        text.push('\n');
        // A field stands on its own lines and ends with a comma.
        if depth == 0 && line.trim_end().ends_with(',') && !text.contains(" fn ") && !whole_body {
            return text;
        }
    }
    text
}

fn has_word(text: &str, word: &str) -> bool {
    text.split(|c: char| !c.is_alphanumeric() && c != '_').any(|w| w == word)
}

#[cfg(test)]
mod tests {
    use super::findings;

    fn crate_of(files: &[(&str, &str)]) -> Vec<String> {
        let files: Vec<(String, String)> =
            files.iter().map(|(path, text)| (format!("s/src/{path}"), (*text).to_owned())).collect();
        findings(&files)
    }

    #[test]
    fn a_library_type_in_a_public_signature_is_found() {
        for text in [
            "use sea_orm::DatabaseConnection;\npub fn of(db: &DatabaseConnection) -> u32 { 1 }",
            "pub async fn find(\n    id: u32,\n) -> Result<u32, sea_orm::DbErr> {\n}",
            "use sea_orm::{DbErr as E};\npub enum StoreError {\n    Db(E),\n}",
            "use sea_orm::DbErr;\npub struct S {\n    pub inner: DbErr,\n}",
            "pub use sea_orm::{DbErr, Value};",
        ] {
            assert_eq!(crate_of(&[("lib.rs", text)]).len(), 1, "{text}");
        }
    }

    #[test]
    fn modules_count_as_public_only_all_the_way_up() {
        let leak = "pub fn leak() -> sea_orm::DbErr { x }";
        assert_eq!(crate_of(&[("lib.rs", "pub mod lot;"), ("lot.rs", leak)]).len(), 1);
        assert_eq!(crate_of(&[("lib.rs", "mod lot;\npub use lot::leak;"), ("lot.rs", leak)]).len(), 1);
        assert!(crate_of(&[("lib.rs", "mod lot;"), ("lot.rs", leak)]).is_empty());
        assert!(
            crate_of(&[("lib.rs", "mod rows;"), ("rows.rs", "pub mod lot;"), ("rows/lot.rs", leak)])
                .is_empty()
        );
    }

    #[test]
    fn the_library_inside_bodies_and_private_items_passes() {
        let text = "use sea_orm::{DbErr, EntityTrait};\npub(crate) fn a(e: DbErr) {}\nfn b(e: DbErr) {}\n\
                    pub struct Store {\n    db: DbErr,\n}\npub fn c(x: u32) -> u32 {\n    let e: DbErr = x;\n}\n";
        assert!(crate_of(&[("lib.rs", text)]).is_empty(), "{:?}", crate_of(&[("lib.rs", text)]));
    }
}
