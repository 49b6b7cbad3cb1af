//! Names kept once: the same text always has the same id.
//!
//! They lie in layers, as short texts do, so that a copy shares all that was there before: what is added to a copy makes
//! a new layer, and a layer that has grown to half of the one below it is laid into it.

use std::collections::HashMap;
use std::sync::Arc;

use super::ids::Id;

/// Distinct names with their ids.
#[derive(Clone, Debug)]
pub struct Names<I> {
    layers: Vec<Arc<Layer<I>>>,
}

#[derive(Clone, Debug)]
struct Layer<I> {
    /// How many names lie below.
    first: usize,
    by_id: Vec<Arc<str>>,
    by_name: HashMap<Arc<str>, I>,
}

impl<I: Id> Names<I> {
    /// The id of a name; a new one when it was not known.
    pub fn intern(&mut self, name: &str) -> I {
        if let Some(id) = self.find(name) {
            return id;
        }
        let id = I::from_index(self.len());
        let name: Arc<str> = name.into();
        let first = self.len();
        if let Some(top) = self.layers.last_mut().and_then(Arc::get_mut) {
            top.add(name, id);
        } else {
            let mut top = Layer { first, by_id: Vec::new(), by_name: HashMap::new() };
            top.add(name, id);
            self.layers.push(Arc::new(top));
        }
        settle(&mut self.layers, |layer| layer.by_id.len(), Layer::lay);
        id
    }

    /// The id of a name.
    pub fn find(&self, name: &str) -> Option<I> {
        self.layers.iter().find_map(|layer| layer.by_name.get(name).copied())
    }

    /// How many names.
    pub fn len(&self) -> usize {
        self.layers.last().map_or(0, |top| top.first + top.by_id.len())
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.layers.is_empty()
    }

    /// Every name with its id, in order of first sight.
    pub fn iter(&self) -> impl Iterator<Item = (I, &str)> {
        let names = self.layers.iter().flat_map(|layer| &layer.by_id);
        names.enumerate().map(|(at, name)| (I::from_index(at), &**name))
    }
}

impl<I: Id> Layer<I> {
    fn add(&mut self, name: Arc<str>, id: I) {
        self.by_id.push(Arc::clone(&name));
        self.by_name.insert(name, id);
    }

    fn lay(&mut self, above: &Self) {
        self.by_id.extend(above.by_id.iter().cloned());
        self.by_name.extend(above.by_name.iter().map(|(name, &id)| (Arc::clone(name), id)));
    }
}

impl<I> Default for Names<I> {
    fn default() -> Self {
        Self { layers: Vec::new() }
    }
}

impl<I: Id> std::ops::Index<I> for Names<I> {
    type Output = str;
    fn index(&self, id: I) -> &str {
        let layer = &self.layers[self.layers.partition_point(|layer| layer.first <= id.index()) - 1];
        &layer.by_id[id.index() - layer.first]
    }
}

/// Lays each layer into the one below while it is half as large, so that there are few of them.
fn settle<L: Clone>(layers: &mut Vec<Arc<L>>, size: impl Fn(&L) -> usize, lay: impl Fn(&mut L, &L)) {
    while let [.., below, top] = layers.as_mut_slice()
        && 2 * size(top) > size(below)
    {
        lay(Arc::make_mut(below), top);
        layers.pop();
    }
}

/// Many short texts in one piece of memory, for keys that are shown but hardly ever searched.
#[derive(Clone, Debug, Default)]
pub struct PackedTexts {
    layers: Vec<Arc<Packed>>,
}

#[derive(Clone, Debug, Default)]
struct Packed {
    first: usize,
    bytes: String,
    ends: Vec<u32>,
}

impl PackedTexts {
    /// Adds a text.
    pub fn push(&mut self, text: &str) {
        let first = self.layers.last().map_or(0, |top| top.first + top.ends.len());
        if let Some(top) = self.layers.last_mut().and_then(Arc::get_mut) {
            top.push(text);
        } else {
            let mut top = Packed { first, ..Packed::default() };
            top.push(text);
            self.layers.push(Arc::new(top));
        }
        settle(&mut self.layers, |layer| layer.ends.len(), Packed::lay);
    }

    /// The text at `index`, counted from 0.
    pub fn get(&self, index: usize) -> &str {
        let layer = &self.layers[self.layers.partition_point(|layer| layer.first <= index) - 1];
        layer.get(index - layer.first)
    }
}

impl Packed {
    fn push(&mut self, text: &str) {
        self.bytes.push_str(text);
        self.ends.push(u32::try_from(self.bytes.len()).expect("keys of all reports fit 4 GiB"));
    }

    fn get(&self, at: usize) -> &str {
        let start = if at == 0 { 0 } else { self.ends[at - 1] as usize };
        &self.bytes[start..self.ends[at] as usize]
    }

    fn lay(&mut self, above: &Self) {
        (0..above.ends.len()).for_each(|at| self.push(above.get(at)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::field::LotTextId;

    #[test]
    fn what_a_copy_learns_the_first_does_not_know() {
        let (mut names, mut keys) = (Names::<LotTextId>::default(), PackedTexts::default());
        let mut copies = Vec::new();
        for n in 0..300 {
            assert_eq!(names.intern(&format!("T-{n}")).index(), n);
            keys.push(&format!("R-{n}"));
            copies.push((names.clone(), keys.clone()));
        }
        assert!(names.layers.len() < 12, "{}", names.layers.len());
        for (n, (names, keys)) in copies.iter().enumerate() {
            assert_eq!((names.len(), names.find(&format!("T-{}", n + 1))), (n + 1, None));
            let told: Vec<_> = names.iter().map(|(id, name)| (id.index(), name.to_owned())).collect();
            assert_eq!(told, (0..=n).map(|n| (n, format!("T-{n}"))).collect::<Vec<_>>());
            assert_eq!(&names[LotTextId::from_index(n / 2)], format!("T-{}", n / 2));
            assert_eq!((keys.get(0), keys.get(n)), ("R-0", format!("R-{n}").as_str()));
        }
        assert_eq!(names.intern("T-7").index(), 7);
    }
}
