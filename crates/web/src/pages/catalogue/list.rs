//! The page of the catalogue: modes by kind, found by words of either tongue, and the form to add one.

use domain::catalogue::{Catalogue, DefaultSeverity, EDITION, Kind, Mode};
use domain::permission::{Act, Actor, may};
use serde::{Deserialize, Serialize};

use super::typed::{Faults, NEW, Typed};
use crate::format;
use crate::templates::Page;
use crate::view::{Ask, Choice, Choices, Empty, Place, Select, Shell};

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
    form: Option<AddForm>,
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

#[derive(Serialize)]
struct AddForm {
    open: bool,
    kind: Select,
    new_kind: Ask,
    kind_name: Ask,
    code: Ask,
    name: Ask,
    field_words: Ask,
    severity: Choices,
    mechanism: Ask,
    how_found: Ask,
    usual_fix: Ask,
    test_methods: Ask,
}

/// A severity as a reader says it.
const fn severity_word(severity: DefaultSeverity) -> &'static str {
    match severity {
        DefaultSeverity::Safety => "safety: somebody can be hurt",
        DefaultSeverity::Mission => "mission: the item can't do its job",
        DefaultSeverity::Durability => "durability: wear or nuisance",
    }
}

impl CataloguePage {
    pub(super) fn new(
        actor: &Actor,
        catalogue: &Catalogue,
        filter: &Filter,
        (typed, faults): (&Typed, Faults),
    ) -> Self {
        let words: Vec<String> = filter.search.to_lowercase().split_whitespace().map(str::to_owned).collect();
        let wanted = |kind: &&Kind| filter.kind.is_empty() || kind.code == filter.kind;
        let groups: Vec<Group> = catalogue
            .kinds()
            .iter()
            .filter(wanted)
            .map(|kind| Group {
                code: kind.code.clone(),
                name: kind.name.clone(),
                modes: catalogue
                    .modes_of(&kind.code)
                    .filter(|mode| passes(kind, mode, &words))
                    .map(row)
                    .collect(),
            })
            .filter(|group| !group.modes.is_empty())
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
            form: may(actor, &Act::ExtendCatalogue).is_ok().then(|| form(catalogue, typed, &faults)),
        }
    }
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

fn form(catalogue: &Catalogue, typed: &Typed, faults: &Faults) -> AddForm {
    let kinds = catalogue.kinds().iter().map(|kind| {
        Choice::new(&kind.code, format!("{} ({})", kind.name, kind.code), kind.code == typed.kind)
    });
    let new = vec![Choice::new(NEW, "a new kind, named below", typed.kind == NEW)];
    let groups = vec![("In the catalogue".to_owned(), kinds.collect()), ("Not yet".to_owned(), new)];
    let severities = DefaultSeverity::ALL.iter().map(|severity| {
        Choice::new(severity.word(), severity_word(*severity), typed.severity == severity.word())
    });
    AddForm {
        open: faults.any(),
        kind: Select::new("kind", "Kind of part", "choose", groups).problem(faults.at("kind")),
        new_kind: Ask::text("new_kind", "Code of a new kind", &typed.new_kind)
            .code()
            .hint("Two to six capitals, only for a new kind")
            .problem(faults.at("new_kind")),
        kind_name: Ask::text("kind_name", "Name of a new kind", &typed.kind_name)
            .problem(faults.at("kind_name")),
        code: Ask::text("code", "Code of the mode", &typed.code)
            .code()
            .required()
            .hint("The kind's code, a hyphen and a number that is free, such as ZIP-20")
            .problem(faults.at("code")),
        name: Ask::text("name", "Name for engineers", &typed.name).required().problem(faults.at("name")),
        field_words: Ask::lines("field_words", "What units call it", &typed.field_words)
            .required()
            .hint("One phrase a line, as it is said on the radio; reports are matched by them")
            .problem(faults.at("field_words")),
        severity: Choices::one("severity", "How bad it usually is", severities.collect())
            .hint("A person decides in each case; this is where they begin")
            .problem(faults.at("severity")),
        mechanism: Ask::text("mechanism", "Mechanism", &typed.mechanism).problem(faults.at("mechanism")),
        how_found: Ask::text("how_found", "How it is found", &typed.how_found)
            .problem(faults.at("how_found")),
        usual_fix: Ask::text("usual_fix", "Usual cure", &typed.usual_fix).problem(faults.at("usual_fix")),
        test_methods: Ask::text("test_methods", "Test methods", &typed.test_methods)
            .problem(faults.at("test_methods")),
    }
}

impl Page for CataloguePage {
    const TEMPLATE: &'static str = "pages/catalogue/catalogue";

    fn samples() -> Vec<Self> {
        use domain::permission::Role;
        let actor = |role| Actor::Person { id: 1, name: "Oda Fell".into(), role, unit: None };
        let typed = Typed { kind: NEW.into(), ..Typed::default() };
        let wrong = typed.mode().err().unwrap_or_default();
        let filter = |search: &str, added: &str| Filter {
            search: search.into(),
            kind: String::new(),
            added: added.into(),
        };
        let page = |role, filter: &Filter, faults| {
            Self::new(&actor(role), Catalogue::shipped(), filter, (&typed, faults))
        };
        vec![
            page(Role::Engineer, &filter("", "ZIP-1"), wrong),
            page(Role::Engineer, &filter("<b>", ""), Faults::default()),
            page(Role::Board, &Filter { kind: "ZIP".into(), ..Filter::default() }, Faults::default()),
        ]
    }
}
