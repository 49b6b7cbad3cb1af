//! What was typed into the report form, and the report it makes or what is wrong with it.

use std::ops::RangeInclusive;

use chrono::NaiveDate;
use domain::mail_address::MailAddress;
use domain::report::{Altered, FoundWhen, Harm, ItemFate, LotKnown, Report};

use store::NewContact;

use super::scanned;
use crate::tongue::Tongue;
use crate::view::Problem;

/// Longest story that is kept, in characters.
pub const LONGEST_STORY: usize = 4000;
/// Longest short answer, in characters.
const LONGEST_ANSWER: usize = 120;
/// Signs without width, which only join, part, turn or tag others.
const WITHOUT_WIDTH: [RangeInclusive<char>; 10] = [
    '\u{ad}'..='\u{ad}',
    '\u{34f}'..='\u{34f}',
    '\u{61c}'..='\u{61c}',
    '\u{180b}'..='\u{180f}',
    '\u{200b}'..='\u{200f}',
    '\u{202a}'..='\u{202e}',
    '\u{2060}'..='\u{206f}',
    '\u{fe00}'..='\u{fe0f}',
    '\u{feff}'..='\u{feff}',
    '\u{e0000}'..='\u{e0fff}',
];
/// Most items alike in one report.
const MOST_ALIKE: u32 = 10_000;

/// Every answer as it was typed, so that nothing is lost when the form comes back.
#[derive(Clone, Debug, Default, serde::Serialize)]
pub struct Answers {
    /// What happened, in their words.
    pub story: String,
    /// The item's part number.
    pub item: String,
    /// The part's number; empty where they can't say.
    pub part: String,
    /// The size.
    pub size: String,
    /// What could be said of the lot label.
    pub lot_known: String,
    /// What the label says.
    pub lot_text: String,
    /// The maker on the label.
    pub maker: String,
    /// The serial number.
    pub serial: String,
    /// When it was found (the moment, not the date).
    pub found_when: String,
    /// The date it was found.
    pub found_on: String,
    /// How long it was worn, a number.
    pub worn: String,
    /// ... of weeks, months or years.
    pub worn_unit: String,
    /// Whether it had been altered or repaired.
    pub altered: String,
    /// By whom.
    pub altered_by: String,
    /// Whether anybody was hurt.
    pub harm: String,
    /// What became of the item.
    pub fate: String,
    /// How many alike.
    pub quantity: String,
    /// What they were doing.
    pub activity: String,
    /// Where they want the answer mailed.
    pub contact: String,
    /// The text of a scanned label, as the symbol holds it.
    pub mark: String,
    /// The unit it is sent for, where the sender has a choice.
    pub unit: String,
    /// The form's own key, that makes sending twice harmless.
    pub client_key: String,
}

impl Answers {
    /// Whether anything beyond the few questions that stand open was answered.
    pub fn has_more(&self) -> bool {
        let more = [
            &self.size,
            &self.maker,
            &self.serial,
            &self.found_when,
            &self.found_on,
            &self.worn,
            &self.altered,
            &self.altered_by,
            &self.fate,
            &self.quantity,
            &self.activity,
            &self.contact,
        ];
        more.iter().any(|answer| !answer.trim().is_empty())
    }

    /// The answer to a question of the form, by the name of its field.
    pub fn field(&mut self, name: &str) -> Option<&mut String> {
        Some(match name {
            "story" => &mut self.story,
            "item" => &mut self.item,
            "part" => &mut self.part,
            "size" => &mut self.size,
            "lot_known" => &mut self.lot_known,
            "lot_text" => &mut self.lot_text,
            "maker" => &mut self.maker,
            "serial" => &mut self.serial,
            "found_when" => &mut self.found_when,
            "found_on" => &mut self.found_on,
            "worn" => &mut self.worn,
            "worn_unit" => &mut self.worn_unit,
            "altered" => &mut self.altered,
            "altered_by" => &mut self.altered_by,
            "harm" => &mut self.harm,
            "fate" => &mut self.fate,
            "quantity" => &mut self.quantity,
            "activity" => &mut self.activity,
            "contact" => &mut self.contact,
            "mark" => &mut self.mark,
            "unit" => &mut self.unit,
            "client_key" => &mut self.client_key,
            _ => return None,
        })
    }

    /// Where they want the answer mailed; nothing where they left it or it is no address.
    pub fn contact(&self, tongue: Tongue) -> Option<NewContact> {
        let address = MailAddress::parse(&self.contact).ok()?;
        Some(NewContact { address, language: tongue.language() })
    }

    /// The report these answers make for a unit, under a reference of its own.
    ///
    /// # Errors
    /// Everything that is wrong, each beside its field, in the sender's tongue.
    pub fn report(
        &self,
        tongue: Tongue,
        report_ref: &str,
        unit: &str,
        today: NaiveDate,
    ) -> Result<Report, Vec<Problem>> {
        let mut read = Reading { tongue, problems: Vec::new() };
        let mut report = Report {
            report_ref: report_ref.to_owned(),
            found_on: read.date("found_on", &self.found_on, today),
            received_on: today,
            unit: unit.to_owned(),
            item_part_no: read.needed("item", &self.item, "wrong-item"),
            size: read.short("size", &self.size),
            serial: read.short("serial", &self.serial),
            lot_text: read.short("lot_text", scanned::typed_lot(&self.lot_text, today)),
            lot_known: read.word::<LotKnown>("lot_known", &self.lot_known),
            maker: read.short("maker", &self.maker),
            contract_no: None,
            made_month: None,
            part_no: read.short("part", &self.part),
            mode: None,
            narrative: Some(read.story(&self.story)),
            activity: read.short("activity", &self.activity),
            found_when: read.word::<FoundWhen>("found_when", &self.found_when),
            worn_weeks: read.weeks(&self.worn, &self.worn_unit),
            altered: read.word::<Altered>("altered", &self.altered),
            prompted_by: None,
            harm: read.needed_word::<Harm>("harm", &self.harm, "wrong-harm"),
            item_fate: read.word::<ItemFate>("fate", &self.fate),
            relevant: None,
            chargeable: None,
            quantity: read.quantity(&self.quantity),
        };
        read.short("altered_by", &self.altered_by);
        if !self.contact.trim().is_empty() && self.contact(tongue).is_none() {
            read.problem("contact", "wrong-contact");
        }
        scanned::fill(&mut report, &self.mark, &self.lot_text, today);
        if report.lot_known == Some(LotKnown::Read) && report.lot_text.is_none() {
            read.problem("lot_text", "wrong-lot_text");
        }
        if read.problems.is_empty() { Ok(report) } else { Err(read.problems) }
    }
}

/// Reads typed answers and collects what is wrong with them.
struct Reading {
    tongue: Tongue,
    problems: Vec<Problem>,
}

impl Reading {
    fn problem(&mut self, field: &'static str, key: &str) {
        self.problems.push(Problem::new(field, self.tongue.say(key)));
    }

    fn short(&mut self, field: &'static str, typed: &str) -> Option<String> {
        let text = typed.trim();
        if text.chars().count() > LONGEST_ANSWER {
            self.problem(field, "wrong-long");
        }
        if text.chars().any(char::is_control) {
            self.problem(field, "wrong-signs");
        }
        (!text.is_empty()).then(|| text.to_owned())
    }

    fn needed(&mut self, field: &'static str, typed: &str, key: &str) -> String {
        self.short(field, typed).unwrap_or_else(|| {
            self.problem(field, key);
            String::new()
        })
    }

    fn story(&mut self, typed: &str) -> String {
        // A browser sends line ends as two signs, which its writer counts as one; nothing else below a space belongs in it.
        let lines = typed.replace("\r\n", "\n");
        let told: String = lines.chars().filter(|sign| *sign == '\n' || !sign.is_control()).collect();
        let text = told.trim();
        if text.chars().all(shows_nothing) {
            self.problem("story", "wrong-story");
        } else if text.chars().count() > LONGEST_STORY {
            self.problem("story", "wrong-story-long");
        }
        text.to_owned()
    }

    fn word<T: std::str::FromStr>(&mut self, field: &'static str, typed: &str) -> Option<T> {
        if typed.is_empty() {
            return None;
        }
        let word = typed.parse().ok();
        if word.is_none() {
            self.problem(field, "wrong-choice");
        }
        word
    }

    fn needed_word<T: std::str::FromStr>(
        &mut self,
        field: &'static str,
        typed: &str,
        key: &str,
    ) -> Option<T> {
        if typed.is_empty() {
            self.problem(field, key);
            return None;
        }
        self.word(field, typed)
    }

    /// A day that is not still to come. `today` is UTC's, and east of it tomorrow has begun already: what a unit there
    /// calls today is kept as today, so that nothing is found after it was received.
    fn date(&mut self, field: &'static str, typed: &str, today: NaiveDate) -> NaiveDate {
        let typed = typed.trim();
        if typed.is_empty() {
            return today;
        }
        match NaiveDate::parse_from_str(typed, "%Y-%m-%d") {
            Ok(date) if Some(date) == today.succ_opt() => return today,
            Ok(date) if date > today => self.problem(field, "wrong-future"),
            Ok(date) if date < today - chrono::Duration::days(365 * 30) => {
                self.problem(field, "wrong-past");
            }
            Ok(date) => return date,
            Err(_) => self.problem(field, "wrong-date"),
        }
        today
    }

    /// Weeks worn; a month is 1/12 and a year 1 of 365.25 days.
    fn weeks(&mut self, typed: &str, unit: &str) -> Option<f64> {
        let typed = typed.trim();
        if typed.is_empty() {
            return None;
        }
        let weeks_each = match unit {
            "years" => 365.25 / 7.0,
            "months" => 365.25 / 12.0 / 7.0,
            _ => 1.0,
        };
        let number = typed.replace(',', ".").parse::<f64>().ok().filter(|n| (0.0..=5200.0).contains(n));
        let weeks = number.map(|n| n * weeks_each).filter(|weeks| *weeks <= 5200.0);
        if weeks.is_none() {
            self.problem("worn", "wrong-worn");
        }
        weeks
    }

    fn quantity(&mut self, typed: &str) -> u32 {
        let typed = typed.trim();
        if typed.is_empty() {
            return 1;
        }
        match typed.parse() {
            Ok(n) if (1..=MOST_ALIKE).contains(&n) => n,
            _ => {
                self.problem("quantity", "wrong-quantity");
                1
            }
        }
    }
}

/// Whether a sign leaves nothing to read.
fn shows_nothing(sign: char) -> bool {
    sign.is_whitespace() || WITHOUT_WIDTH.iter().any(|signs| signs.contains(&sign))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn today() -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 3, 3).expect("a date")
    }

    fn answers() -> Answers {
        Answers {
            story: "zip bust open climbing out of the boat".into(),
            item: "RC-100".into(),
            harm: "none".into(),
            ..Answers::default()
        }
    }

    fn problems(answers: &Answers) -> Vec<String> {
        let problems =
            answers.report(Tongue::ENGLISH, "R", "COVE-2", today()).expect_err("something is wrong");
        problems.iter().map(|p| serde_json::to_value(p).expect("json")["field"].to_string()).collect()
    }

    #[test]
    fn three_answers_are_enough() {
        let report = answers().report(Tongue::ENGLISH, "R", "COVE-2", today()).expect("enough");
        assert_eq!((report.found_on, report.quantity, report.worn_weeks), (today(), 1, None));
        assert_eq!(report.check(today()), Ok(()));
    }

    #[test]
    fn a_unit_for_which_tomorrow_has_begun_may_say_its_own_date() {
        // At 00:30 of 4 Mar in a place two hours east, it is 22:30 of 3 Mar in UTC.
        let found = |on: &str| Answers { found_on: on.into(), ..answers() };
        let report = found("2026-03-04").report(Tongue::ENGLISH, "R", "COVE-2", today()).expect("enough");
        assert_eq!((report.found_on, report.received_on), (today(), today()));
        assert_eq!(report.check(today()), Ok(()));
        assert_eq!(problems(&found("2026-03-05")), ["\"found_on\""]);
    }

    #[test]
    fn every_wrong_answer_is_named_at_once() {
        let wrong = Answers {
            found_on: "2027-01-01".into(),
            found_when: "yesterday".into(),
            worn: "long".into(),
            quantity: "0".into(),
            lot_known: "read".into(),
            size: "x".repeat(200),
            altered: "maybe".into(),
            fate: "?".into(),
            contact: "oda@cove.example\r\nBcc: all@cove.example".into(),
            ..Answers::default()
        };
        let named = problems(&wrong);
        for field in [
            "found_on",
            "item",
            "size",
            "story",
            "found_when",
            "worn",
            "altered",
            "harm",
            "fate",
            "quantity",
            "contact",
        ] {
            assert!(named.contains(&format!("\"{field}\"")), "{field} is not among {named:?}");
        }
        assert!(named.contains(&"\"lot_text\"".to_owned()));
    }

    #[test]
    fn an_address_is_no_part_of_the_report() {
        let answers = Answers { contact: " oda@cove.example ".into(), ..answers() };
        let report = answers.report(Tongue::ENGLISH, "R", "COVE-2", today()).expect("enough");
        assert!(!format!("{report:?}").contains("cove.example"));
        assert_eq!(answers.contact(Tongue::ENGLISH).expect("given").address.as_str(), "oda@cove.example");
        assert!(answers.has_more());
    }

    #[test]
    fn months_and_years_become_weeks() {
        let worn = |n: &str, unit: &str| {
            let answers = Answers { worn: n.into(), worn_unit: unit.into(), ..answers() };
            answers
                .report(Tongue::ENGLISH, "R", "COVE-2", today())
                .expect("enough")
                .worn_weeks
                .expect("given")
        };
        assert_eq!(worn("6", "weeks"), 6.0);
        assert!((worn("12", "months") - worn("1", "years")).abs() < 1e-9);
        assert!((worn("1,5", "years") - 78.267_857).abs() < 1e-5);
    }

    #[test]
    fn a_story_keeps_its_lines_and_loses_what_is_no_text() {
        let answers = Answers { story: "one\r\ntwo\u{0}\u{7}".into(), ..answers() };
        let report = answers.report(Tongue::ENGLISH, "R", "COVE-2", today()).expect("enough");
        assert_eq!(report.narrative.as_deref(), Some("one\ntwo"));
    }

    #[test]
    fn a_story_of_signs_that_nobody_sees_tells_nothing() {
        let told = |story: &str| Answers { story: story.into(), ..answers() };
        for story in [" \n ", "\u{0}\u{7}", "\u{7} \u{0}", "\u{200b}\u{200b}", "\u{2066} \u{feff}\u{2069}"] {
            assert_eq!(problems(&told(story)), ["\"story\""], "{story:?}");
        }
        // Among letters such signs stay: they join and turn what some scripts write.
        let report = told("\u{0} torn\u{200d}off ").report(Tongue::ENGLISH, "R", "COVE-2", today());
        assert_eq!(report.expect("enough").narrative.as_deref(), Some("torn\u{200d}off"));
    }

    #[test]
    fn a_line_end_counts_as_one_letter() {
        let full = "one\r\n".repeat(LONGEST_STORY / 4) + "\r\n";
        let answers = |story: String| Answers { story, ..answers() };
        assert!(answers(full.clone()).report(Tongue::ENGLISH, "R", "COVE-2", today()).is_ok());
        assert_eq!(problems(&answers(full + "two")), ["\"story\""]);
    }
}
