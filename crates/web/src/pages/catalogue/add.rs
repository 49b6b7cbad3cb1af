//! The form to add a mode to the catalogue.

use domain::catalogue::{Catalogue, DefaultSeverity};
use domain::permission::Actor;
use serde::Serialize;

use super::list::severity_word;
use super::typed::{NEW, Typed};
use crate::templates::Page;
use crate::view::{Ask, Choice, Choices, Faults, Place, Select, Shell};

/// The form.
#[derive(Serialize)]
pub struct AddModePage {
    shell: Shell,
    refused: bool,
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

impl AddModePage {
    pub(super) fn new(actor: &Actor, catalogue: &Catalogue, typed: &Typed, faults: &Faults) -> Self {
        let ask =
            |id: &'static str, label: &str, value: &str| Ask::text(id, label, value).problem(faults.of(id));
        let kinds = catalogue.kinds().iter().map(|kind| {
            Choice::new(&kind.code, format!("{} ({})", kind.name, kind.code), kind.code == typed.kind)
        });
        let new = vec![Choice::new(NEW, "a new kind, named below", typed.kind == NEW)];
        let groups = vec![("In the catalogue".to_owned(), kinds.collect()), ("Not yet".to_owned(), new)];
        let severities = DefaultSeverity::ALL.iter().map(|severity| {
            Choice::new(severity.word(), severity_word(*severity), typed.severity == severity.word())
        });
        Self {
            shell: Shell::inside("Add a mode", actor, Place::Catalogue),
            refused: !faults.is_empty(),
            kind: Select::new("kind", "Kind of part", "choose", groups).problem(faults.of("kind")),
            new_kind: ask("new_kind", "Code of a new kind", &typed.new_kind)
                .code()
                .hint("A few capitals, such as ZIP; only for a new kind"),
            kind_name: ask("kind_name", "Name of a new kind", &typed.kind_name),
            code: ask("code", "Code of the mode", &typed.code)
                .code()
                .required()
                .hint("The kind's code, a hyphen and a number that is free, such as ZIP-20"),
            name: ask("name", "Name for engineers", &typed.name).required(),
            field_words: Ask::lines("field_words", "What units call it", &typed.field_words)
                .required()
                .hint("One phrase a line, as it is said on the radio; reports are matched by them")
                .problem(faults.of("field_words")),
            severity: Choices::one("severity", "How bad it usually is", severities.collect())
                .hint("A person decides in each case; this is where they begin")
                .problem(faults.of("severity")),
            mechanism: ask("mechanism", "Mechanism", &typed.mechanism),
            how_found: ask("how_found", "How it is found", &typed.how_found),
            usual_fix: ask("usual_fix", "Usual cure", &typed.usual_fix),
            test_methods: ask("test_methods", "Test methods", &typed.test_methods),
        }
    }
}

impl Page for AddModePage {
    const TEMPLATE: &'static str = "pages/catalogue/add";

    fn samples() -> Vec<Self> {
        let name = "Oda Fell".to_owned();
        let actor = Actor::Person { id: 1, name, role: domain::permission::Role::Engineer, unit: None };
        let typed = Typed { kind: NEW.into(), ..Typed::default() };
        let wrong = typed.mode().err().unwrap_or_default();
        let page = |faults: &Faults| Self::new(&actor, Catalogue::shipped(), &typed, faults);
        vec![page(&Faults::default()), page(&wrong)]
    }
}
