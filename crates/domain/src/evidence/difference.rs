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
///
/// Figures go together by what they are of, their name and their unit. A set may have several alike, as of a requirement that
/// sets a limit for each size under one number: they go together in their order.
pub fn compare(first: &[Figure], second: &[Figure]) -> Vec<FigureLine> {
    let mut left: Vec<Option<&Figure>> = second.iter().map(Some).collect();
    let mut lines = Vec::with_capacity(first.len());
    for one in first {
        let other = left.iter_mut().find(|other| other.is_some_and(|other| key(other) == key(one)));
        lines.push(line(one, Some(one), other.and_then(Option::take)));
    }
    lines.extend(left.into_iter().flatten().map(|one| line(one, None, Some(one))));
    lines
}

fn key(figure: &Figure) -> [&str; 3] {
    [&figure.group, &figure.name, &figure.unit]
}

fn line(one: &Figure, first: Option<&Figure>, second: Option<&Figure>) -> FigureLine {
    let value = |figure: Option<&Figure>| figure.map(|figure| figure.value.clone());
    FigureLine {
        group: one.group.clone(),
        name: one.name.clone(),
        unit: one.unit.clone(),
        first: value(first),
        second: value(second),
    }
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

    /// A limit for M and one for L under one number, met and not met; the second is judged otherwise later, and a third comes.
    #[test]
    fn figures_of_one_name_go_together_in_their_order() {
        let words = |words: &str| figure("verdict", Value::Words(words.into()));
        let was = [words("met"), words("not met")];
        assert!(compare(&was, &was).iter().all(FigureLine::agrees));
        let is = [words("met"), words("can't tell"), words("met")];
        let agree: Vec<bool> = compare(&was, &is).iter().map(FigureLine::agrees).collect();
        assert_eq!(agree, [true, false, false]);
    }

    /// The pull of 90 lbf is that of 400 N (0.453 592 37 kg times 9.806 65 m/s2 each), and still a figure of its own.
    #[test]
    fn figures_in_two_units_are_two_figures() {
        let of = |unit: &str, value| Figure { unit: unit.into(), ..figure("mean", Value::Number(value)) };
        let lines = compare(&[of("lbf", 90.0)], &[of("N", 400.0), of("lbf", 90.0)]);
        assert_eq!(lines.iter().map(FigureLine::agrees).collect::<Vec<_>>(), [true, false]);
        assert_eq!((lines[1].unit.as_str(), &lines[1].first), ("N", &None));
    }

    #[test]
    fn a_count_and_a_number_of_the_same_size_agree() {
        assert!(same(&Value::Count(3), &Value::Number(3.0)));
        assert!(!same(&Value::Words("met".into()), &Value::Words("not met".into())));
    }
}
