//! No type of the database library stands in a public signature of the store.

use std::collections::BTreeSet;

use super::lex::Source;

/// Every public item whose signature names the library.
///
/// A `pub` in a private module counts too: it may be a method of a public type, and what nobody outside can reach
/// has to say `pub(crate)` anyway (the lint `unreachable_pub`).
pub(super) fn findings(source: &Source) -> Vec<String> {
    let foreign = foreign_names(source);
    public_signatures(source)
        .into_iter()
        .filter_map(|(line, signature)| {
            let name = foreign.iter().find(|name| has_word(&signature, name))?;
            Some(format!("line {line}: `{name}` in a public signature"))
        })
        .collect()
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
    use crate::architecture::lex::Source;

    fn found(text: &str) -> usize {
        findings(&Source::read(text)).len()
    }

    #[test]
    fn a_library_type_in_a_public_signature_is_found() {
        for text in [
            "use sea_orm::DatabaseConnection;\npub fn of(db: &DatabaseConnection) -> u32 { 1 }",
            "pub async fn find(\n    id: u32,\n) -> Result<u32, sea_orm::DbErr> {\n}",
            "use sea_orm::{DbErr as E};\npub enum StoreError {\n    Db(E),\n}",
            "use sea_orm::DbErr;\npub struct S {\n    pub inner: DbErr,\n}",
            "pub use sea_orm::{DbErr, Value};",
            "use sea_orm::DbErr;\nimpl Store {\n    pub fn last(&self) -> Option<DbErr> {\n        None\n    }\n}",
        ] {
            assert_eq!(found(text), 1, "{text}");
        }
    }

    #[test]
    fn the_library_inside_bodies_and_private_items_passes() {
        let text = "use sea_orm::{DbErr, EntityTrait};\npub(crate) fn a(e: DbErr) {}\nfn b(e: DbErr) {}\n\
                    pub struct Store {\n    db: DbErr,\n}\npub fn c(x: u32) -> u32 {\n    let e: DbErr = x;\n}\n";
        assert_eq!(found(text), 0);
    }
}
