//! Who may import whom: the table of the house, held against `cargo metadata`.

use serde_json::Value;

/// One row of the table.
struct Row {
    package: &'static str,
    /// Packages of the workspace it may import.
    may: &'static [&'static str],
    /// Packages from outside that it never imports; a name covers the names that start with it and a dash.
    never: &'static [&'static str],
}

/// Databases, services and mail: what the pure crates know nothing of.
const OUTSIDE_WORLD: &[&str] = &[
    "sea-orm",
    "sqlx",
    "axum",
    "tokio",
    "hyper",
    "http",
    "tower",
    "reqwest",
    "handlebars",
    "lettre",
    "mail-parser",
    "calamine",
    "validator",
];

const TABLE: &[Row] = &[
    Row {
        package: "stats",
        may: &[],
        never: &["serde", "serde_json", "chrono", "rand", "uuid", "csv", "sea-orm", "sqlx", "axum", "tokio"],
    },
    Row { package: "domain", may: &["stats"], never: OUTSIDE_WORLD },
    // Values in, a file out: what they mean is for others to know.
    Row { package: "documents", may: &[], never: OUTSIDE_WORLD },
    Row { package: "migrations", may: &[], never: &["axum", "handlebars", "lettre"] },
    Row { package: "store", may: &["domain", "migrations"], never: &["axum", "handlebars", "lettre"] },
    Row { package: "web", may: &["documents", "domain", "stats", "store"], never: &["sea-orm", "sqlx"] },
];

/// What domain types must not become: rows and pages convert them, they don't serialise.
const NO_SERIALISING: (&str, &[&str]) = ("domain", &["serde", "serde_json"]);

/// A package of the workspace and what it imports when it is built, development dependencies left out.
pub(super) struct Package {
    name: String,
    imports: Vec<String>,
}

/// Reads the packages out of `cargo metadata --no-deps`.
pub(super) fn packages(metadata: &Value) -> Vec<Package> {
    let list = metadata["packages"].as_array().expect("metadata lists packages");
    list.iter()
        .map(|package| Package {
            name: text(&package["name"]),
            imports: package["dependencies"]
                .as_array()
                .expect("a package lists its dependencies")
                .iter()
                .filter(|dependency| dependency["kind"] != "dev")
                .map(|dependency| text(&dependency["name"]))
                .collect(),
        })
        .collect()
}

fn text(value: &Value) -> String {
    value.as_str().expect("a name is a string").to_owned()
}

/// Every import the table doesn't allow, and every package that has no row.
pub(super) fn findings(packages: &[Package]) -> Vec<String> {
    let ours: Vec<&str> = packages.iter().map(|package| package.name.as_str()).collect();
    let mut found = Vec::new();
    for row in TABLE {
        if !ours.contains(&row.package) {
            found.push(format!("the table has a row for `{}`, which the workspace lacks", row.package));
        }
    }
    for package in packages {
        // The tests stand outside the house and may look into every room.
        if package.name == "tests" {
            continue;
        }
        let Some(row) = TABLE.iter().find(|row| row.package == package.name) else {
            found.push(format!("`{}` has no row in the import table", package.name));
            continue;
        };
        for import in &package.imports {
            let is_ours = ours.contains(&import.as_str());
            let serialises = package.name == NO_SERIALISING.0 && NO_SERIALISING.1.contains(&import.as_str());
            if is_ours && !row.may.contains(&import.as_str()) || covers(row.never, import) || serialises {
                found.push(format!("`{}` may not import `{import}`", package.name));
            }
        }
    }
    found
}

fn covers(names: &[&str], import: &str) -> bool {
    names
        .iter()
        .any(|name| import == *name || import.strip_prefix(name).is_some_and(|rest| rest.starts_with('-')))
}

#[cfg(test)]
mod tests {
    use super::{Package, TABLE, findings, packages};

    fn house_with(name: &str, import: &str) -> Vec<Package> {
        let mut house: Vec<Package> =
            TABLE.iter().map(|row| Package { name: row.package.to_owned(), imports: Vec::new() }).collect();
        match house.iter_mut().find(|package| package.name == name) {
            Some(package) => package.imports.push(import.to_owned()),
            None => house.push(Package { name: name.to_owned(), imports: vec![import.to_owned()] }),
        }
        house
    }

    #[test]
    fn forbidden_imports_are_found() {
        for (name, import) in [
            ("stats", "serde"),
            ("stats", "domain"),
            ("domain", "store"),
            ("domain", "tokio"),
            ("domain", "serde"),
            ("domain", "axum-extra"),
            ("documents", "domain"),
            ("documents", "sea-orm"),
            ("migrations", "domain"),
            ("store", "web"),
            ("store", "stats"),
            ("web", "sea-orm"),
            ("web", "sea-orm-migration"),
            ("web", "migrations"),
        ] {
            let found = findings(&house_with(name, import));
            assert_eq!(found, [format!("`{name}` may not import `{import}`")]);
        }
    }

    #[test]
    fn allowed_imports_pass_and_unknown_or_missing_packages_are_found() {
        assert!(findings(&house_with("web", "store")).is_empty());
        assert!(findings(&house_with("domain", "chrono")).is_empty());
        assert_eq!(findings(&house_with("extra", "libm")).len(), 1);
        assert_eq!(findings(&house_with("stats", "libm")[1..]).len(), 1);
    }

    #[test]
    fn development_dependencies_are_free() {
        let metadata = serde_json::json!({"packages": [{"name": "stats", "dependencies": [
            {"name": "serde", "kind": "dev"}, {"name": "libm", "kind": null}]}]});
        assert_eq!(packages(&metadata)[0].imports, ["libm"]);
    }
}
