//! Whom the sizes of an item fit: counted in the joint table of the measured people, never from products of percentages.
//!
//! A person is accommodated when every governing dimension lies within the range of at least one size. This is coverage by
//! a size table; whether the item fits is shown by fitting people.

use std::collections::BTreeMap;

use stats::{Confidence, Interval, binomial};

use crate::field::{Field, PartId};
use crate::person::Person;

/// Ranges of one size by dimension: low and high in mm, both inclusive.
pub type SizeRanges = BTreeMap<String, (f64, f64)>;

/// Whom sizes fit, within one group.
#[derive(Clone, Debug, PartialEq)]
pub struct Coverage {
    /// The group: a sex as the survey words it, or `None` for everybody.
    pub group: Option<String>,
    /// People whose governing dimensions are all on record.
    pub people: u64,
    /// Of these, within the ranges of at least one size.
    pub accommodated: u64,
    /// Wilson limits of the share, 95 %.
    pub limits: Interval,
    /// People left out by a dimension that lies below, or above, the ranges of every size: dimension, below, above. A
    /// person may stand in several; one whom each dimension would fit in some size, but no size in all, stands in none.
    pub left_out: Vec<(String, u64, u64)>,
    /// The lightest of those accommodated, in kg.
    pub lightest_kg: Option<f64>,
}

impl Coverage {
    /// The share, in percent.
    pub fn percent(&self) -> f64 {
        100.0 * self.accommodated as f64 / self.people as f64
    }
}

/// The ranges of an item's sizes, by the name of the size.
pub fn ranges(field: &Field, item: PartId) -> BTreeMap<String, SizeRanges> {
    let mut sizes: BTreeMap<String, SizeRanges> = BTreeMap::new();
    for range in field.fit_ranges.iter().filter(|range| range.item == item) {
        let size = sizes.entry(field.sizes[range.size].to_owned()).or_default();
        size.insert(range.dimension.to_string(), (range.low_mm, range.high_mm));
    }
    sizes
}

/// Whom some sizes fit: everybody first, then each sex.
pub fn coverage(people: &[Person], sizes: &[SizeRanges]) -> Vec<Coverage> {
    let mut sexes: Vec<&str> = people.iter().filter_map(|person| person.sex.as_deref()).collect();
    sexes.sort_unstable();
    sexes.dedup();
    let all = std::iter::once(None).chain(sexes.into_iter().map(Some));
    all.filter_map(|group| of_group(people, sizes, group)).collect()
}

fn of_group(people: &[Person], sizes: &[SizeRanges], group: Option<&str>) -> Option<Coverage> {
    let mut dimensions: Vec<&String> = sizes.iter().flat_map(BTreeMap::keys).collect();
    dimensions.sort_unstable();
    dimensions.dedup();
    let (mut measured, mut accommodated, mut lightest_kg) = (0, 0, None::<f64>);
    let mut left_out: Vec<(String, u64, u64)> = dimensions.iter().map(|&d| (d.clone(), 0, 0)).collect();
    for person in people.iter().filter(|person| group.is_none() || person.sex.as_deref() == group) {
        let value = |dimension: &str| {
            let found = person.dimensions_mm.iter().find(|(name, _)| name == dimension);
            found.and_then(|(_, mm)| *mm)
        };
        let Some(values) = dimensions.iter().map(|d| value(d)).collect::<Option<Vec<f64>>>() else {
            continue;
        };
        measured += 1;
        if sizes.iter().any(|size| fits(size, value)) {
            accommodated += 1;
            if let Some(kg) = person.mass_kg {
                lightest_kg = Some(lightest_kg.map_or(kg, |known| known.min(kg)));
            }
            continue;
        }
        for ((dimension, below, above), mm) in left_out.iter_mut().zip(values) {
            let of_dimension = || sizes.iter().filter_map(|size| size.get(dimension));
            if of_dimension().all(|(low, _)| mm < *low) {
                *below += 1;
            } else if of_dimension().all(|(_, high)| mm > *high) {
                *above += 1;
            }
        }
    }
    let limits = binomial::wilson(accommodated, measured, Confidence::NINETY_FIVE).ok()?;
    (measured > 0 && !sizes.is_empty()).then(|| Coverage {
        group: group.map(str::to_owned),
        people: measured,
        accommodated,
        limits,
        left_out,
        lightest_kg,
    })
}

/// Whether one size fits; a dimension that it doesn't name doesn't bind it.
fn fits(size: &SizeRanges, value: impl Fn(&str) -> Option<f64>) -> bool {
    size.iter().all(|(dimension, (low, high))| value(dimension).is_some_and(|mm| *low <= mm && mm <= *high))
}

/// The lightest person whom one size fits, in kg.
pub fn lightest_kg(people: &[Person], size: &SizeRanges) -> Option<f64> {
    coverage(people, std::slice::from_ref(size)).first()?.lightest_kg
}

#[cfg(test)]
mod tests {
    use super::*;

    fn person(sex: &str, chest: f64, torso: f64, mass_kg: f64) -> Person {
        Person {
            person: format!("{sex}{chest}{torso}"),
            sex: Some(sex.into()),
            mass_kg: Some(mass_kg),
            dimensions_mm: vec![("chest".into(), Some(chest)), ("waist_back".into(), Some(torso))],
        }
    }

    fn size(chest: (f64, f64), torso: (f64, f64)) -> SizeRanges {
        BTreeMap::from([("chest".into(), chest), ("waist_back".into(), torso)])
    }

    /// The joint table per 1,000 of ANSUR II (Gordon and others 2014, NATICK/TR-15/007; counted from its public files):
    /// chest 850-950, 950-1050, 1050-1150, 1150-1250 mm; waist back below 455 mm or not. One person stands for each.
    fn joint_table() -> Vec<Person> {
        let table = [("M", [45, 97, 43, 7], [57, 274, 328, 125]), ("F", [405, 283, 60, 6], [28, 55, 38, 10])];
        let mut people = Vec::new();
        for (sex, short, long) in table {
            for (torso, counts) in [(430.0, short), (480.0, long)] {
                for (band, count) in counts.into_iter().enumerate() {
                    let chest = 900.0 + 100.0 * band as f64;
                    people.extend((0..count).map(|_| person(sex, chest, torso, 60.0 + 10.0 * band as f64)));
                }
            }
        }
        people
    }

    /// Sizes for chests of 950 to 1150 mm in both lengths: of men 97 + 43 + 274 + 328 of the 976 in the table, of women
    /// 283 + 60 + 55 + 38 of 885 (added by hand).
    #[test]
    fn people_are_counted_in_the_joint_table_by_sex() {
        let sizes = [
            size((950.0, 1050.0), (0.0, 455.0)),
            size((1050.0, 1150.0), (0.0, 455.0)),
            size((950.0, 1150.0), (455.0, 600.0)),
        ];
        let found = coverage(&joint_table(), &sizes);
        let told: Vec<_> = found.iter().map(|c| (c.group.as_deref(), c.accommodated, c.people)).collect();
        assert_eq!(told, [(None, 1178, 1861), (Some("F"), 436, 885), (Some("M"), 742, 976)]);
        let women = &found[1];
        // 405 + 28 lie below every size by the chest, 6 + 10 above; the torso leaves nobody out by itself.
        assert_eq!(women.left_out, [("chest".to_owned(), 433, 16), ("waist_back".to_owned(), 0, 0)]);
        assert_eq!(women.lightest_kg, Some(70.0));
    }

    /// By hand: of 885 women 436 have such a chest and 754 a short torso, so that a product of shares says 42.0 %; counted,
    /// 283 + 60 have both, 38.8 %.
    #[test]
    fn a_product_of_percentages_would_say_something_else() {
        let both = coverage(&joint_table(), &[size((950.0, 1150.0), (0.0, 455.0))]);
        let women = &both[1];
        assert_eq!((women.accommodated, women.people), (343, 885));
        let product = 436.0 / 885.0 * 754.0 / 885.0;
        assert!((product - women.accommodated as f64 / 885.0).abs() > 0.03, "{product}");
    }

    /// Wilson limits of 1645 of 1986: 81.11 to 84.42 % (computed from the public data).
    #[test]
    fn the_share_has_wilson_limits() {
        let mut people = vec![person("F", 900.0, 430.0, 60.0); 1645];
        people.extend(vec![person("F", 1300.0, 430.0, 90.0); 341]);
        let found = &coverage(&people, &[size((824.0, 1094.0), (384.0, 470.0))])[1];
        let percent = |share: f64| (1e4 * share).round() / 100.0;
        assert_eq!((percent(found.limits.low), percent(found.limits.high)), (81.11, 84.42));
    }

    #[test]
    fn who_was_not_measured_does_not_count_and_nobody_gives_nothing() {
        let mut people = vec![person("F", 900.0, 430.0, 60.0), person("F", 900.0, 430.0, 50.0)];
        people[0].dimensions_mm[1].1 = None;
        let found = coverage(&people, &[size((850.0, 950.0), (0.0, 455.0))]);
        assert_eq!((found[0].people, found[0].accommodated), (1, 1));
        assert_eq!(coverage(&[], &[size((0.0, 1.0), (0.0, 1.0))]), []);
        assert_eq!(coverage(&people, &[]), []);
    }
}
