//! Parts of forms and empty pages.

use serde::Serialize;

/// What is wrong with one field. The field points at it: `aria-describedby="<field>-problem"`, `aria-invalid`.
#[derive(Clone, Debug, Serialize)]
pub struct Problem {
    field: String,
    says: String,
}

impl Problem {
    /// For the field with this id, in a sentence that says how to mend it.
    pub fn new(field: impl Into<String>, says: impl Into<String>) -> Self {
        Self { field: field.into(), says: says.into() }
    }
}

/// An empty page says what to do first.
#[derive(Clone, Debug, Serialize)]
pub struct Empty {
    /// Why there is nothing.
    pub says: String,
    /// What to do first, and where.
    pub first: Option<(String, String)>,
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
