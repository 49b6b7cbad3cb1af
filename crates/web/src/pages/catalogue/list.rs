//! The page of the catalogue: modes by kind, found by words of either tongue.

use domain::catalogue::{Catalogue, DefaultSeverity, EDITION, Kind, Mode};
use domain::permission::{Act, Actor, may};
use serde::{Deserialize, Serialize};

use crate::format;
use crate::templates::Page;
use crate::view::{Empty, Place, Shell};

/// What a reader looks for.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct Filter {
    search: String,
    kind: String,
    added: String,
}

/// The catalogue.
#[derive(Serialize)]
pub struct CataloguePage {
    shell: Shell,
    edition: String,
    search: String,
    kinds: Vec<KindChoice>,
    shown: String,
    added: Option<String>,
    groups: Vec<Group>,
    empty: Empty,
    extends: bool,
}

#[derive(Serialize)]
struct KindChoice {
    code: String,
    name: String,
    chosen: bool,
}

#[derive(Serialize)]
struct Group {
    code: String,
    name: String,
    count: String,
    open: bool,
    modes: Vec<Row>,
}

#[derive(Serialize)]
struct Row {
    code: String,
    name: String,
    units_say: String,
    severity: &'static str,
    harm: bool,
    more: Vec<(&'static str, String)>,
}

/// A severity as a reader says it.
pub(super) const fn severity_word(severity: DefaultSeverity) -> &'static str {
    match severity {
        DefaultSeverity::Safety => "safety: somebody can be hurt",
        DefaultSeverity::Mission => "mission: the item can't do its job",
        DefaultSeverity::Durability => "durability: wear or nuisance",
    }
}

impl CataloguePage {
    pub(super) fn new(actor: &Actor, catalogue: &Catalogue, filter: &Filter) -> Self {
        let words: Vec<String> = filter.search.to_lowercase().split_whitespace().map(str::to_owned).collect();
        // The whole catalogue folds away under its kinds; what was looked for lies open.
        let open = !words.is_empty() || !filter.kind.is_empty();
        let groups: Vec<Group> = catalogue
            .kinds()
            .iter()
            .filter(|kind| filter.kind.is_empty() || kind.code == filter.kind)
            .filter_map(|kind| group(catalogue, kind, &words, open))
            .collect();
        let shown: usize = groups.iter().map(|group| group.modes.len()).sum();
        Self {
            shell: Shell::inside("Catalogue", actor, Place::Catalogue),
            edition: edition(catalogue),
            search: filter.search.clone(),
            kinds: catalogue.kinds().iter().map(|kind| choice(kind, &filter.kind)).collect(),
            shown: format!(
                "{} of {} shown.",
                format::count(shown as u64),
                format::counted(catalogue.modes().len() as u64, "mode", "modes")
            ),
            added: catalogue.mode(&filter.added).map(|mode| mode.code.clone()),
            groups,
            empty: Empty::first("No mode has these words.", "Show the whole catalogue", "/catalogue"),
            extends: may(actor, &Act::ExtendCatalogue).is_ok(),
        }
    }
}

fn group(catalogue: &Catalogue, kind: &Kind, words: &[String], open: bool) -> Option<Group> {
    let found = catalogue.modes_of(&kind.code).filter(|mode| passes(kind, mode, words));
    let modes: Vec<Row> = found.map(row).collect();
    (!modes.is_empty()).then(|| Group {
        code: kind.code.clone(),
        name: kind.name.clone(),
        count: format::counted(modes.len() as u64, "mode", "modes"),
        open,
        modes,
    })
}

fn edition(catalogue: &Catalogue) -> String {
    let added = catalogue.modes().len() - Catalogue::shipped().modes().len();
    let added = match added {
        0 => "nothing added here".to_owned(),
        many => format!("{} added here", format::counted(many as u64, "mode", "modes")),
    };
    format!("Edition {EDITION}, {added}.")
}

fn choice(kind: &Kind, chosen: &str) -> KindChoice {
    KindChoice { code: kind.code.clone(), name: kind.name.clone(), chosen: kind.code == chosen }
}

/// Whether every word stands somewhere in a mode or its kind.
fn passes(kind: &Kind, mode: &Mode, words: &[String]) -> bool {
    let whole = [
        &kind.name,
        &mode.code,
        &mode.name,
        &mode.mechanism,
        &mode.how_found,
        &mode.usual_fix,
        &mode.test_methods,
        &mode.field_words.join(" "),
    ]
    .map(|text| text.to_lowercase())
    .join(" ");
    words.iter().all(|word| whole.contains(word))
}

fn row(mode: &Mode) -> Row {
    let more = [
        ("Mechanism", &mode.mechanism),
        ("How it is found", &mode.how_found),
        ("Usual cure", &mode.usual_fix),
        ("Test methods", &mode.test_methods),
    ];
    Row {
        code: mode.code.clone(),
        name: mode.name.clone(),
        units_say: mode.field_words.join("; "),
        severity: severity_word(mode.default_severity),
        harm: mode.default_severity == DefaultSeverity::Safety,
        more: more
            .into_iter()
            .filter(|(_, text)| !text.is_empty())
            .map(|(name, text)| (name, text.clone()))
            .collect(),
    }
}

impl Page for CataloguePage {
    const TEMPLATE: &'static str = "pages/catalogue/catalogue";

    fn samples() -> Vec<Self> {
        use domain::permission::Role;
        let actor = |role| Actor::Person { id: 1, name: "Oda Fell".into(), role, unit: None };
        let filter = |search: &str, added: &str| Filter {
            search: search.into(),
            kind: String::new(),
            added: added.into(),
        };
        let page = |role, filter: &Filter| Self::new(&actor(role), Catalogue::shipped(), filter);
        vec![
            page(Role::Engineer, &filter("", "ZIP-1")),
            page(Role::Engineer, &filter("<b>", "")),
            page(Role::Board, &Filter { kind: "ZIP".into(), ..Filter::default() }),
        ]
    }
}
