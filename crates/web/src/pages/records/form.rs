//! A form that stands alone on its page: what it is about, fields one below the other, one button.

use axum::response::Response;
use serde::Serialize;

use crate::error::AppError;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Ask, Choice, Choices, Faults, Place, Select, Shell};

/// The page.
#[derive(Serialize)]
pub struct FormPage {
    shell: Shell,
    heading: String,
    about: Option<(String, String)>,
    lead: Vec<String>,
    refused: bool,
    stray: Vec<String>,
    fields: Vec<Field>,
    action: String,
    button: &'static str,
    #[serde(skip)]
    faults: Faults,
}

/// One field, of one of these kinds.
#[derive(Default, Serialize)]
struct Field {
    ask: Option<Ask>,
    choices: Option<Choices>,
    select: Option<Select>,
}

impl FormPage {
    /// A form without fields yet; `action` is where it is sent.
    pub(crate) fn new(
        shell: Shell,
        heading: impl Into<String>,
        (action, button): (String, &'static str),
        faults: Faults,
    ) -> Self {
        Self {
            shell,
            heading: heading.into(),
            about: None,
            lead: Vec::new(),
            refused: !faults.is_empty(),
            stray: faults.rest(),
            fields: Vec::new(),
            action,
            button,
            faults,
        }
    }

    /// What it is about: words, and where they lead.
    pub(crate) fn about(mut self, words: impl Into<String>, address: impl Into<String>) -> Self {
        self.about = Some((words.into(), address.into()));
        self
    }

    /// A paragraph above the fields.
    pub(crate) fn says(mut self, words: impl Into<String>) -> Self {
        self.lead.push(words.into());
        self
    }

    /// A field to write in.
    pub(crate) fn ask(mut self, ask: Ask) -> Self {
        let problem = self.faults.take(ask.id());
        self.field(Field { ask: Some(ask.problem(problem)), ..Field::default() })
    }

    /// One or any of a list.
    pub(crate) fn choices(mut self, choices: Choices) -> Self {
        let problem = self.faults.take(choices.id());
        self.field(Field { choices: Some(choices.problem(problem)), ..Field::default() })
    }

    /// A list that unfolds.
    pub(crate) fn select(mut self, select: Select) -> Self {
        let problem = self.faults.take(select.id());
        self.field(Field { select: Some(select.problem(problem)), ..Field::default() })
    }

    fn field(mut self, field: Field) -> Self {
        self.stray = self.faults.rest();
        self.fields.push(field);
        self
    }

    /// Sends the page back with what was typed, as something that was not kept.
    pub(crate) fn refuse(&self, state: &AppState) -> Result<Response, AppError> {
        state.refused(self)
    }
}

impl Page for FormPage {
    const TEMPLATE: &'static str = "pages/records/form";

    fn samples() -> Vec<Self> {
        use domain::words::Problem;
        let shell = || Shell::sample("Set the condition", Place::Lots);
        let form = |faults| Self::new(shell(), "Set the condition", ("/lots/TB-1".into(), "Keep it"), faults);
        let choice = || vec![Choice::new("free", "free", true)];
        let fields = |form: Self| {
            form.ask(Ask::text("why", "Why", ""))
                .choices(Choices::one("what", "What", choice()))
                .select(Select::new("who", "Who", "nobody yet", vec![(String::new(), choice())]))
        };
        vec![
            fields(form(Faults::default())),
            fields(form(Problem::new("why", "expected why").into()))
                .about("Lot TB-1", "/lots/TB-1")
                .says("It stays."),
            form(Problem::new("elsewhere", "it was withdrawn already").into()),
        ]
    }
}
