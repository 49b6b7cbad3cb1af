//! Two sets of figures side by side: as frozen and as worked out anew, or as decided and as now known.

use super::figures::{Figure, Value};

/// How far a number may be off, relative to its size: machines round differently in the last places, and no more.
const ROUNDING: f64 = 1e-9;

/// One figure in both sets.
#[derive(Clone, Debug, PartialEq)]
pub struct FigureLine {
    /// What it is a figure of.
    pub group: String,
    /// Which.
    pub name: String,
    /// Its unit.
    pub unit: String,
    /// In the first set; `None` where the set lacks it.
    pub first: Option<Value>,
    /// In the second.
    pub second: Option<Value>,
}

impl FigureLine {
    /// Whether both sets have it and say the same, to rounding.
    pub fn agrees(&self) -> bool {
        match (&self.first, &self.second) {
            (Some(first), Some(second)) => same(first, second),
            _ => false,
        }
    }
}

fn same(first: &Value, second: &Value) -> bool {
    match (first.number(), second.number()) {
        (Some(a), Some(b)) => (a - b).abs() <= ROUNDING * a.abs().max(b.abs()),
        (None, None) => first == second,
        _ => false,
    }
}

/// Every figure of either set: those of the first in their order, then those that only the second has.
pub fn compare(first: &[Figure], second: &[Figure]) -> Vec<FigureLine> {
    let find = |set: &[Figure], one: &Figure| {
        set.iter()
            .find(|other| (&other.group, &other.name) == (&one.group, &one.name))
            .map(|f| f.value.clone())
    };
    let line = |one: &Figure, first, second| FigureLine {
        group: one.group.clone(),
        name: one.name.clone(),
        unit: one.unit.clone(),
        first,
        second,
    };
    let of_first = first.iter().map(|one| line(one, Some(one.value.clone()), find(second, one)));
    let only_second = second.iter().filter(|one| find(first, one).is_none());
    of_first.chain(only_second.map(|one| line(one, None, Some(one.value.clone())))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn figure(name: &str, value: Value) -> Figure {
        Figure { group: "Grams".into(), name: name.into(), unit: "g".into(), value }
    }

    #[test]
    fn rounding_agrees_and_a_gram_does_not() {
        let was = [figure("before", Value::Number(2948.35)), figure("after", Value::Number(2900.0))];
        let is = [figure("before", Value::Number(2948.35 + 1e-10)), figure("after", Value::Number(2901.0))];
        let agree: Vec<bool> = compare(&was, &is).iter().map(FigureLine::agrees).collect();
        assert_eq!(agree, [true, false]);
    }

    #[test]
    fn a_figure_that_only_one_set_has_agrees_with_nothing() {
        let was = [figure("before", Value::Unknown)];
        let is = [figure("after", Value::Count(2))];
        let lines = compare(&was, &is);
        assert_eq!(lines.len(), 2);
        assert!(lines.iter().all(|line| !line.agrees()));
        assert!(compare(&was, &was)[0].agrees(), "not known then and now");
    }

    #[test]
    fn a_count_and_a_number_of_the_same_size_agree() {
        assert!(same(&Value::Count(3), &Value::Number(3.0)));
        assert!(!same(&Value::Words("met".into()), &Value::Words("not met".into())));
    }
}
