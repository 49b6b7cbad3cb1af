//! A report as a program sends it: the fields of `reports.csv` that the form asks for, read as the form reads them.

use chrono::NaiveDate;
use domain::report::{Altered, FoundWhen, Harm, ItemFate, LotKnown, Report};
use serde::de::{Error as _, Unexpected};
use serde::{Deserialize, Deserializer, Serialize};
use store::NewContact;
use utoipa::ToSchema;
use utoipa::openapi::schema::{Object, ObjectBuilder, SchemaType, Type};

use crate::api::problem::FieldProblem;
use crate::pages::report::answers::Answers;
use crate::tongue::Tongue;

/// A report to be sent. What is left out or `null` isn't known.
#[derive(Debug, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::api) struct NewReport {
    /// Your own key of this report: sent again with it, the report is kept once. 8 to 120 signs without spaces.
    #[schema(value_type = String, required = true, min_length = 8, max_length = 120, pattern = "^[!-~]+$",
        examples("workshop-2026-0117"))]
    client_key: Option<String>,
    /// The unit that reports; a unit's key may leave it out.
    #[schema(max_length = 120, examples("COVE-2"))]
    pub(super) unit: Option<String>,
    /// The end item.
    #[schema(value_type = String, required = true, min_length = 1, max_length = 120, examples("RC-100"))]
    item_part_no: Option<String>,
    /// What happened, in the reporter's words: 1 to 4,000 letters.
    #[schema(value_type = String, required = true, min_length = 1, max_length = 4000, pattern = "\\S",
        examples("zip bust open climbing out of the boat"))]
    narrative: Option<String>,
    #[schema(schema_with = harm, required = true)]
    harm: Option<String>,
    /// When it was found: not in the future, not more than 30 years ago; today where it is left out. Days are those of
    /// UTC: tomorrow's, which has begun already east of it, is taken and kept as today.
    #[schema(value_type = Option<NaiveDate>)]
    found_on: Option<String>,
    /// The part that failed, where the reporter can say.
    #[schema(max_length = 120, pattern = "^[^\\u0000-\\u001F\\u007F-\\u009F]*$", examples("RC-131"))]
    part_no: Option<String>,
    /// The item's size.
    #[schema(max_length = 120, pattern = "^[^\\u0000-\\u001F\\u007F-\\u009F]*$", examples("M"))]
    size: Option<String>,
    /// The item's serial number.
    #[schema(max_length = 120, pattern = "^[^\\u0000-\\u001F\\u007F-\\u009F]*$")]
    serial: Option<String>,
    #[schema(schema_with = lot_known)]
    lot_known: Option<String>,
    /// What the lot label says, as written.
    #[schema(max_length = 120, pattern = "^[^\\u0000-\\u001F\\u007F-\\u009F]*$", examples("TB-0418"))]
    lot_text: Option<String>,
    /// The maker on the label.
    #[schema(max_length = 120, pattern = "^[^\\u0000-\\u001F\\u007F-\\u009F]*$")]
    maker: Option<String>,
    /// What they were doing.
    #[schema(max_length = 120, pattern = "^[^\\u0000-\\u001F\\u007F-\\u009F]*$")]
    activity: Option<String>,
    #[schema(schema_with = found_when)]
    found_when: Option<String>,
    /// Weeks worn, as the reporter judges.
    #[schema(minimum = 0, maximum = 5200)]
    worn_weeks: Option<f64>,
    #[schema(schema_with = altered)]
    altered: Option<String>,
    /// Who altered or mended it, in words.
    #[schema(max_length = 120, pattern = "^[^\\u0000-\\u001F\\u007F-\\u009F]*$")]
    altered_by: Option<String>,
    /// Where the reporter wants the answer mailed. It is kept apart from the report, given out by no route, and deleted a
    /// set time after the final answer.
    #[schema(format = Email, max_length = 254, examples("oda.fell@cove.example"))]
    contact_email: Option<String>,
    #[schema(schema_with = item_fate)]
    item_fate: Option<String>,
    /// Items alike in this one report; 1 where it is left out.
    #[schema(value_type = Option<u32>, minimum = 1, maximum = 10000)]
    #[serde(default, deserialize_with = "whole")]
    quantity: Option<u64>,
}

/// A whole number as JSON writes them: `1.0` is one too, and some programs write no other.
fn whole<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Option<u64>, D::Error> {
    let number = Option::<f64>::deserialize(deserializer)?;
    match number.filter(|number| *number < 0.0 || number.fract() != 0.0) {
        Some(other) => Err(D::Error::invalid_value(Unexpected::Float(other), &"a whole number, 0 or more")),
        None => Ok(number.map(|number| number as u64)),
    }
}

/// The words of a fixed list.
fn words<'a>(says: &str, all: impl Iterator<Item = &'a str>) -> ObjectBuilder {
    ObjectBuilder::new().schema_type(Type::String).description(Some(says)).enum_values(Some(all))
}

/// The same where it may be left out.
fn maybe<'a>(says: &str, all: impl Iterator<Item = &'a str>) -> Object {
    let all: Vec<Option<&str>> = all.map(Some).chain([None]).collect();
    let kind = SchemaType::from_iter([Type::String, Type::Null]);
    ObjectBuilder::new().schema_type(kind).description(Some(says)).enum_values(Some(all)).build()
}

fn harm() -> Object {
    words("Whether anybody was hurt.", Harm::ALL.iter().map(|word| word.word())).build()
}

fn lot_known() -> Object {
    maybe(
        "What could be said of the lot label; `read` wants `lot_text`, `absent` and `not_looked` none.",
        LotKnown::ALL.iter().map(|word| word.word()),
    )
}

fn found_when() -> Object {
    maybe("When it was found.", FoundWhen::ALL.iter().map(|word| word.word()))
}

fn altered() -> Object {
    maybe("Whether the item had been changed since it was made.", Altered::ALL.iter().map(|word| word.word()))
}

fn item_fate() -> Object {
    maybe("What became of the item.", ItemFate::ALL.iter().map(|word| word.word()))
}

/// Fields of the form that have another name here.
const NAMES: [(&str, &str); 6] = [
    ("contact", "contact_email"),
    ("story", "narrative"),
    ("item", "item_part_no"),
    ("part", "part_no"),
    ("worn", "worn_weeks"),
    ("fate", "item_fate"),
];

impl NewReport {
    /// The report, as the form's own checks read it.
    ///
    /// # Errors
    /// Everything that is wrong, each with its field.
    pub(in crate::api) fn report(
        &self,
        report_ref: &str,
        unit: &str,
        today: NaiveDate,
    ) -> Result<Report, Vec<FieldProblem>> {
        let mut problems = Vec::new();
        let key = self.client_key();
        if !(8..=120).contains(&key.len()) || !key.bytes().all(|byte| byte.is_ascii_graphic()) {
            problems.push(FieldProblem::new(
                "client_key",
                "Make a key of 8 to 120 letters, digits and signs without spaces, another for each report.",
            ));
        }
        problems.extend(self.label_unread());
        match self.answers().report(Tongue::ENGLISH, report_ref, unit, today) {
            Ok(report) if problems.is_empty() => Ok(report),
            Ok(_) => Err(problems),
            Err(wrong) => {
                problems.extend(wrong.iter().map(|problem| {
                    let name = NAMES.iter().find(|(form, _)| *form == problem.field());
                    FieldProblem::new(name.map_or(problem.field(), |(_, here)| here), problem.says())
                }));
                Err(problems)
            }
        }
    }

    /// A label that is said to be missing or not looked at, and yet to read something: on the form one of the two was a slip of
    /// the hand, but a program means both.
    fn label_unread(&self) -> Option<FieldProblem> {
        let (known, text) = (self.lot_known.as_deref()?, self.lot_text.as_deref()?);
        let is_unread = [LotKnown::Absent, LotKnown::NotLooked].iter().any(|word| word.word() == known);
        if !is_unread || text.trim().is_empty() {
            return None;
        }
        let says = format!(
            "This says `{known}`, and `lot_text` what it reads: send `read` here, or leave `lot_text` out."
        );
        Some(FieldProblem::new("lot_known", says))
    }

    /// The sender's own key.
    pub(super) fn client_key(&self) -> &str {
        self.client_key.as_deref().unwrap_or_default()
    }

    /// Who altered the item, in words.
    pub(super) fn altered_by(&self) -> Option<String> {
        self.altered_by.as_deref().map(str::trim).filter(|text| !text.is_empty()).map(str::to_owned)
    }

    /// Where the reporter wants the answer mailed.
    pub(super) fn contact(&self) -> Option<NewContact> {
        self.answers().contact(Tongue::ENGLISH)
    }

    fn answers(&self) -> Answers {
        let text = |field: &Option<String>| field.clone().unwrap_or_default();
        // An empty answer of the form means "not known"; here that is said by leaving the field out.
        let exact = |field: &Option<String>| match field.as_deref() {
            Some(word) if word.trim().is_empty() || word.trim() != word => "?".to_owned(),
            word => word.unwrap_or_default().to_owned(),
        };
        Answers {
            story: text(&self.narrative),
            item: text(&self.item_part_no),
            part: text(&self.part_no),
            size: text(&self.size),
            lot_known: exact(&self.lot_known),
            lot_text: text(&self.lot_text),
            mark: String::new(),
            maker: text(&self.maker),
            serial: text(&self.serial),
            found_when: exact(&self.found_when),
            found_on: exact(&self.found_on),
            worn: self.worn_weeks.map(|weeks| weeks.to_string()).unwrap_or_default(),
            worn_unit: "weeks".to_owned(),
            altered: exact(&self.altered),
            altered_by: text(&self.altered_by),
            harm: exact(&self.harm),
            fate: exact(&self.item_fate),
            quantity: self.quantity.map(|n| n.to_string()).unwrap_or_default(),
            activity: text(&self.activity),
            contact: text(&self.contact_email),
            client_key: String::new(),
            unit: String::new(),
        }
    }

    /// The sample of the document.
    pub(in crate::api) fn sample() -> Self {
        let text = |text: &str| Some(text.to_owned());
        Self {
            client_key: text("workshop-2026-0117"),
            unit: text("COVE-2"),
            item_part_no: text("RC-100"),
            narrative: text("zip bust open climbing out of the boat"),
            harm: text("near_miss"),
            found_on: text("2026-03-01"),
            lot_known: text("read"),
            lot_text: text("TB-0418"),
            found_when: text("in_use"),
            worn_weeks: Some(26.0),
            quantity: Some(1),
            ..Self::default()
        }
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{from_value, json};

    use super::*;

    fn today() -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 3, 3).unwrap()
    }

    #[test]
    fn a_label_that_nobody_read_and_its_text_are_refused_together_and_taken_apart() {
        for known in ["absent", "not_looked"] {
            let both = NewReport { lot_known: Some(known.into()), ..NewReport::sample() };
            let wrong = both.report("", "COVE-2", today()).expect_err("it says both");
            assert_eq!(wrong.iter().map(|one| one.field.as_str()).collect::<Vec<_>>(), ["lot_known"]);
            assert!(wrong[0].says.contains(known) && wrong[0].says.contains("`lot_text`"), "{wrong:?}");
            for lot_text in [None, Some(" ".to_owned())] {
                let unread = NewReport { lot_known: both.lot_known.clone(), lot_text, ..NewReport::sample() };
                let report = unread.report("", "COVE-2", today()).expect("nothing is wrong");
                assert_eq!((report.lot_known.map(LotKnown::word), report.lot_text), (Some(known), None));
            }
        }
        let half = NewReport { lot_known: Some("unreadable".into()), ..NewReport::sample() };
        let report = half.report("", "COVE-2", today()).expect("half of it may be legible");
        assert_eq!(report.lot_text.as_deref(), Some("TB-0418"));
    }

    #[test]
    fn a_number_of_items_is_whole_however_it_is_written() {
        let quantity = |sent: serde_json::Value| {
            from_value::<NewReport>(json!({ "quantity": sent })).map(|report| report.quantity)
        };
        for (sent, read) in [(json!(3), Some(3)), (json!(3.0), Some(3)), (json!(null), None)] {
            assert_eq!(quantity(sent).unwrap(), read);
        }
        assert_eq!(from_value::<NewReport>(json!({})).unwrap().quantity, None);
        for wrong in [json!(2.5), json!(-1), json!("3")] {
            assert!(quantity(wrong.clone()).is_err(), "{wrong}");
        }
        // Far too many is a matter of the form's own check, which says how many there may be.
        let many = NewReport { quantity: quantity(json!(1e30)).unwrap(), ..NewReport::sample() };
        let wrong = many.report("", "COVE-2", today()).expect_err("too many");
        assert_eq!((wrong[0].field.as_str(), wrong.len()), ("quantity", 1));
        assert!(wrong[0].says.contains("from 1 to 10,000"), "{wrong:?}");
    }
}
