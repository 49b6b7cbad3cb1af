//! Parts of forms and empty pages.

use std::borrow::Cow;

use serde::Serialize;

/// What is wrong with one field, in a sentence that says how to mend it.
#[derive(Clone, Debug, Serialize)]
pub struct Problem {
    field: String,
    says: String,
}

impl Problem {
    /// For the field with this id. A field made by hand points at it: `aria-describedby="<field>-problem"`,
    /// `aria-invalid="true"`; [`Ask`] and [`Choices`] do so themselves.
    pub fn new(field: impl Into<String>, says: impl Into<String>) -> Self {
        Self { field: field.into(), says: says.into() }
    }

    /// Whether it is about the field with this id.
    pub fn is_of(&self, field: &str) -> bool {
        self.field == field
    }

    /// The field's id.
    pub fn field(&self) -> &str {
        &self.field
    }

    /// The sentence.
    pub fn says(&self) -> &str {
        &self.says
    }
}

/// A field to write in: `{{> partials/ask ask}}`.
#[derive(Clone, Debug, Serialize)]
pub struct Ask {
    id: Cow<'static, str>,
    label: String,
    hint: Option<String>,
    value: String,
    kind: &'static str,
    lines: bool,
    code: bool,
    required: bool,
    problem: Option<Problem>,
}

impl Ask {
    /// One line of text. The id is also the name that the form sends.
    pub fn text(
        id: impl Into<Cow<'static, str>>,
        label: impl Into<String>,
        value: impl Into<String>,
    ) -> Self {
        Self::of_kind("text", id, label, value)
    }

    /// Another kind of input: `number`, `date`, `email`, `password`.
    pub fn of_kind(
        kind: &'static str,
        id: impl Into<Cow<'static, str>>,
        label: impl Into<String>,
        value: impl Into<String>,
    ) -> Self {
        let (id, label, value) = (id.into(), label.into(), value.into());
        Self { id, label, hint: None, value, kind, lines: false, code: false, required: false, problem: None }
    }

    /// Its id.
    pub fn id(&self) -> &str {
        &self.id
    }

    /// Several lines of text.
    pub fn lines(
        id: impl Into<Cow<'static, str>>,
        label: impl Into<String>,
        value: impl Into<String>,
    ) -> Self {
        Self { lines: true, ..Self::text(id, label, value) }
    }

    /// In the type of lot and part numbers.
    pub fn code(mut self) -> Self {
        self.code = true;
        self
    }

    /// Can't be left out.
    pub fn required(mut self) -> Self {
        self.required = true;
        self
    }

    /// A sentence under the label.
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }

    /// What is wrong with it, if anything.
    pub fn problem(mut self, says: Option<impl Into<String>>) -> Self {
        self.problem = says.map(|says| Problem::new(self.id.clone(), says));
        self
    }
}

/// A list that unfolds, for many choices: `{{> partials/select select}}`.
#[derive(Clone, Debug, Serialize)]
pub struct Select {
    id: &'static str,
    label: String,
    nothing: String,
    groups: Vec<(String, Vec<Choice>)>,
    problem: Option<Problem>,
}

impl Select {
    /// Groups of choices, each with its name or none; `nothing` stands for no choice, where that is allowed.
    pub fn new(
        id: &'static str,
        label: impl Into<String>,
        nothing: impl Into<String>,
        groups: Vec<(String, Vec<Choice>)>,
    ) -> Self {
        Self { id, label: label.into(), nothing: nothing.into(), groups, problem: None }
    }

    /// Its id.
    pub const fn id(&self) -> &str {
        self.id
    }

    /// What is wrong with it, if anything.
    pub fn problem(mut self, says: Option<impl Into<String>>) -> Self {
        self.problem = says.map(|says| Problem::new(self.id, says));
        self
    }
}

/// One or more of a list, each a whole row to touch: `{{> partials/choices choices}}`.
#[derive(Clone, Debug, Serialize)]
pub struct Choices {
    id: Cow<'static, str>,
    label: String,
    hint: Option<String>,
    kind: &'static str,
    options: Vec<Choice>,
    problem: Option<Problem>,
}

/// One row of a list.
#[derive(Clone, Debug, Serialize)]
pub struct Choice {
    value: String,
    label: String,
    hint: Option<String>,
    chosen: bool,
}

impl Choices {
    /// One of a list.
    pub fn one(id: impl Into<Cow<'static, str>>, label: impl Into<String>, options: Vec<Choice>) -> Self {
        Self { id: id.into(), label: label.into(), hint: None, kind: "radio", options, problem: None }
    }

    /// Its id.
    pub fn id(&self) -> &str {
        &self.id
    }

    /// Any of a list.
    pub fn any(id: impl Into<Cow<'static, str>>, label: impl Into<String>, options: Vec<Choice>) -> Self {
        Self { kind: "checkbox", ..Self::one(id, label, options) }
    }

    /// A sentence under the label.
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }

    /// What is wrong with it, if anything.
    pub fn problem(mut self, says: Option<impl Into<String>>) -> Self {
        self.problem = says.map(|says| Problem::new(self.id.clone(), says));
        self
    }
}

impl Choice {
    /// A row; `chosen` is what the form held.
    pub fn new(value: impl Into<String>, label: impl Into<String>, chosen: bool) -> Self {
        Self { value: value.into(), label: label.into(), hint: None, chosen }
    }

    /// A second line.
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }
}

/// An empty page says what to do first.
#[derive(Clone, Debug, Serialize)]
pub struct Empty {
    says: String,
    first: Option<(String, String)>,
}

impl Empty {
    /// Nothing here, and nothing to be done about it.
    pub fn rest(says: impl Into<String>) -> Self {
        Self { says: says.into(), first: None }
    }

    /// Nothing here, and what to do first.
    pub fn first(says: impl Into<String>, todo: impl Into<String>, address: impl Into<String>) -> Self {
        Self { says: says.into(), first: Some((todo.into(), address.into())) }
    }
}
