//! Names kept once: the same text always has the same id.

use std::collections::HashMap;
use std::sync::Arc;

use super::ids::{Id, Table};

/// Distinct names with their ids.
#[derive(Clone, Debug)]
pub struct Names<I> {
    by_id: Table<I, Arc<str>>,
    by_name: HashMap<Arc<str>, I>,
}

impl<I: Id> Names<I> {
    /// The id of a name; a new one when it was not known.
    pub fn intern(&mut self, name: &str) -> I {
        if let Some(&id) = self.by_name.get(name) {
            return id;
        }
        let name: Arc<str> = name.into();
        let id = self.by_id.push(Arc::clone(&name));
        self.by_name.insert(name, id);
        id
    }

    /// The id of a name.
    pub fn find(&self, name: &str) -> Option<I> {
        self.by_name.get(name).copied()
    }

    /// How many names.
    pub fn len(&self) -> usize {
        self.by_id.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.by_id.is_empty()
    }

    /// Every name with its id, in order of first sight.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = (I, &str)> {
        self.by_id.iter().map(|(id, name)| (id, &**name))
    }
}

impl<I> Default for Names<I>
where
    I: Id,
{
    fn default() -> Self {
        Self { by_id: Table::default(), by_name: HashMap::new() }
    }
}

impl<I: Id> std::ops::Index<I> for Names<I> {
    type Output = str;
    fn index(&self, id: I) -> &str {
        &self.by_id[id]
    }
}

/// Many short texts in one piece of memory, for keys that are shown but hardly ever searched.
#[derive(Clone, Debug, Default)]
pub struct PackedTexts {
    bytes: String,
    ends: Vec<u32>,
}

impl PackedTexts {
    /// Adds a text.
    pub fn push(&mut self, text: &str) {
        self.bytes.push_str(text);
        self.ends.push(u32::try_from(self.bytes.len()).expect("keys of all reports fit 4 GiB"));
    }

    /// The text at `index`, counted from 0.
    pub fn get(&self, index: usize) -> &str {
        let start = if index == 0 { 0 } else { self.ends[index - 1] as usize };
        &self.bytes[start..self.ends[index] as usize]
    }
}
