//! Proves the rules of the house from `cargo metadata` and the sources, so that the papers can't go stale.
//!
//! Each rule is a function from text to findings, tried on a bad sample beside it and then on the workspace here.

mod hygiene;
mod imports;
mod lex;
mod licences;
mod papers;
mod purity;
mod settings;
mod signatures;
mod templates;
mod workspace;

use lex::Source;
use workspace::Workspace;

/// Fails with every finding, one a line.
fn hold(findings: &[String]) {
    assert!(findings.is_empty(), "{} found:\n{}", findings.len(), findings.join("\n"));
}

/// Applies a rule to every Rust file whose path starts with one of the folders, and names the file in each finding.
fn over_sources(folders: &[&str], rule: impl Fn(&str, &Source) -> Vec<String>) -> Vec<String> {
    let workspace = Workspace::open();
    let files = workspace.rust_files(folders);
    assert!(!files.is_empty(), "no Rust file under {folders:?}: the rule would pass on nothing");
    files
        .iter()
        .flat_map(|(path, text)| {
            let source = Source::read(text);
            rule(path, &source).into_iter().map(move |finding| format!("{path}: {finding}"))
        })
        .collect()
}

/// Every folder with Rust of ours.
const EVERYWHERE: &[&str] = &["crates/", "migrations/", "tests/"];

#[test]
fn every_crate_imports_only_what_its_row_allows() {
    hold(&imports::findings(&imports::packages(&Workspace::open().metadata())));
}

#[test]
fn every_file_opens_with_a_sentence_saying_what_it_is_for() {
    hold(&over_sources(EVERYWHERE, |_, source| hygiene::header(source)));
}

#[test]
fn no_file_has_more_than_400_lines_before_its_tests() {
    hold(&over_sources(EVERYWHERE, |_, source| hygiene::length(source)));
}

#[test]
fn lints_are_expected_with_a_reason_and_never_allowed() {
    hold(&over_sources(EVERYWHERE, |_, source| hygiene::lint_attributes(source)));
}

#[test]
fn nothing_is_left_unwritten_or_ignored() {
    hold(&over_sources(EVERYWHERE, |_, source| hygiene::unfinished(source)));
}

#[test]
fn no_file_names_a_folder_of_somebodys_machine() {
    let workspace = Workspace::open();
    let files = workspace.text_files();
    assert!(files.len() > 10, "too few files to believe");
    let found: Vec<String> = files
        .iter()
        .flat_map(|(path, text)| {
            hygiene::machine_paths(text).into_iter().map(move |f| format!("{path}: {f}"))
        })
        .collect();
    hold(&found);
}

#[test]
fn time_and_chance_are_drawn_in_two_files_only() {
    hold(&over_sources(EVERYWHERE, purity::clock_and_chance));
}

#[test]
fn the_pure_crates_touch_no_clock_file_or_thread_of_the_system() {
    hold(&over_sources(&["crates/stats/src/", "crates/domain/src/"], |_, source| purity::system(source)));
}

#[test]
fn only_the_store_and_the_migrations_name_sea_orm() {
    hold(&over_sources(&["crates/stats/", "crates/domain/", "crates/web/"], |_, source| {
        purity::names(source, &["sea_orm", "sea_orm_migration", "sqlx", "sea_query"])
    }));
}

#[test]
fn web_holds_no_sql() {
    hold(&over_sources(&["crates/web/src/"], |_, source| purity::sql(source)));
}

#[test]
fn the_store_shows_no_sea_orm_type() {
    hold(&over_sources(&["crates/store/src/"], |_, source| signatures::findings(source)));
}

#[test]
fn templates_escape_what_they_show_and_hold_no_script_or_style() {
    let workspace = Workspace::open();
    let found: Vec<String> = workspace
        .files(&["templates/"], "hbs")
        .iter()
        .flat_map(|(path, text)| templates::findings(text).into_iter().map(move |f| format!("{path}: {f}")))
        .collect();
    hold(&found);
}

#[test]
fn the_sample_settings_are_the_ones_the_program_reads() {
    let workspace = Workspace::open();
    let mut read = settings::read_by(&Source::read(&workspace.read("crates/web/src/config.rs")));
    assert!(!read.is_empty(), "no variable was found in the configuration");
    read.extend(settings::composed(&workspace.read("docker-compose.yml")));
    read.insert(settings::READ_BESIDE.to_owned());
    hold(&settings::findings(&read, &settings::sampled(&workspace.read(".env.sample"))));
}

#[test]
fn docker_compose_hands_every_sample_setting_on() {
    let workspace = Workspace::open();
    hold(&settings::withheld(&workspace.read("docker-compose.yml"), &workspace.read(".env.sample")));
}

#[test]
fn the_papers_name_only_files_that_exist() {
    let workspace = Workspace::open();
    for paper in ["README.md", "DEVELOPERS.md"] {
        hold(&papers::missing(&workspace.read(paper), |path| workspace.holds(path)));
    }
}

#[test]
fn every_dependency_may_be_given_on_under_our_licence() {
    let workspace = Workspace::open();
    let allowed = licences::allowed(&workspace.read("deny.toml"));
    let tree = workspace.cargo(&[
        "tree",
        "--workspace",
        "--prefix=none",
        "--format={p}|{l}",
        "--offline",
        "--locked",
    ]);
    assert!(tree.lines().count() > 100, "too few dependencies to believe:\n{tree}");
    hold(&licences::findings(&tree, &allowed));
}
