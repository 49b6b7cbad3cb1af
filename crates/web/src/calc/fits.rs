//! Whom the sizes of an item fit, counted in the joint table of measured people.

use std::collections::BTreeMap;

use domain::accommodation::{Coverage, SizeRanges, coverage};
use domain::person::Person;
use serde::Deserialize;
use serde_json::Value;

use super::answer::answer;
use super::input::{Number, read};
use super::say::number;
use super::{Answer, CalcError, Method};

pub(super) const METHODS: [Method; 1] = [Method {
    name: "accommodation",
    says: "Whom sizes fit: people all of whose dimensions lie within the ranges of at least one size, everybody and by sex, \
           with Wilson limits at 0.95.",
    example: r#"{"people": [{"sex": "F", "mm": {"chest": 905, "torso": 410}}, {"sex": "M", "mm": {"chest": 1050, "torso": 480}}], "sizes": [{"chest": [850, 950], "torso": [380, 455]}]}"#,
    run: accommodation,
}];

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PersonInput {
    sex: Option<String>,
    mm: BTreeMap<String, Number>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Input {
    people: Vec<PersonInput>,
    sizes: Vec<BTreeMap<String, (Number, Number)>>,
}

fn accommodation(input: &Value) -> Result<Answer, CalcError> {
    let i: Input = read(input)?;
    let people: Vec<Person> = i
        .people
        .into_iter()
        .map(|person| Person {
            person: String::new(),
            sex: person.sex,
            mass_kg: None,
            dimensions_mm: person.mm.into_iter().map(|(name, mm)| (name, Some(mm.0))).collect(),
        })
        .collect();
    let span = |(name, (low, high)): (String, (Number, Number))| (name, (low.0, high.0));
    let sizes: Vec<SizeRanges> =
        i.sizes.into_iter().map(|size| size.into_iter().map(span).collect()).collect();
    let groups = coverage(&people, &sizes);
    let said = groups.first().map_or_else(
        || "Nobody has every dimension of a size on record, so that nobody could be counted.".to_owned(),
        |all| format!("{} in 100 are accommodated, jointly over all dimensions.", number(all.percent())),
    );
    let told: Vec<Answer> = groups.iter().map(group).collect();
    Ok(answer! { "groups": told }.saying(said))
}

fn group(group: &Coverage) -> Answer {
    let left_out = group.left_out.iter().map(|(_, below, above)| below + above).sum::<u64>();
    answer! {
        "people": group.people,
        "accommodated": group.accommodated,
        "wilson_lower2": group.limits.low,
        "wilson_upper2": group.limits.high,
        "left_out_by_one_dimension": left_out,
    }
}
