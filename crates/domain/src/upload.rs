//! A list of failures as a unit keeps it: which of its columns says what, how its dates are meant, and what can be
//! taken back of it.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::handling::ReportState;
use crate::report::Harm;
use crate::words::{Problem, words};

words! {
    /// What a column of such a list may say.
    pub enum Column {
        /// What happened.
        Story = "story",
        /// The end item's part number.
        Item = "item",
        /// Whether anybody was hurt.
        Harm = "harm",
        /// When it was found.
        FoundOn = "found_on",
        /// The part that failed.
        Part = "part",
        /// The size.
        Size = "size",
        /// What the lot label says.
        LotText = "lot_text",
        /// The maker on the label.
        Maker = "maker",
        /// The serial number.
        Serial = "serial",
        /// Weeks worn.
        Worn = "worn",
        /// What they were doing.
        Activity = "activity",
        /// When it was noticed.
        FoundWhen = "found_when",
        /// Whether it had been altered.
        Altered = "altered",
        /// By whom.
        AlteredBy = "altered_by",
        /// What became of the item.
        Fate = "fate",
        /// Items alike.
        Quantity = "quantity",
        /// The unit it happened to.
        Unit = "unit",
    }
}

impl Column {
    /// What the column is called on a page.
    pub const fn title(self) -> &'static str {
        match self {
            Self::Story => "What happened",
            Self::Item => "Item number",
            Self::Harm => "Anybody hurt",
            Self::FoundOn => "Found on",
            Self::Part => "Part that failed",
            Self::Size => "Size",
            Self::LotText => "Lot label",
            Self::Maker => "Maker",
            Self::Serial => "Serial number",
            Self::Worn => "Weeks worn",
            Self::Activity => "What they were doing",
            Self::FoundWhen => "Noticed when",
            Self::Altered => "Altered or mended",
            Self::AlteredBy => "Altered by whom",
            Self::Fate => "Where the item is",
            Self::Quantity => "Items alike",
            Self::Unit => "Unit",
        }
    }

    /// Whether no report can be read without it.
    pub const fn is_needed(self) -> bool {
        matches!(self, Self::Story | Self::Item | Self::Harm)
    }

    /// Headings by which units call it, besides its own word and title.
    const fn also(self) -> &'static [&'static str] {
        match self {
            Self::Story => {
                &["narrative", "description", "defect", "failure", "fault", "remarks", "problem", "text"]
            }
            Self::Item => &["item part no", "item no", "article", "nsn", "end item", "item number"],
            Self::Harm => &["injury", "hurt", "harmed", "safety", "near miss"],
            Self::FoundOn => &["date", "date found", "found", "failure date", "day"],
            Self::Part => &["part no", "part number", "component", "failed part"],
            Self::Size => &["item size"],
            Self::LotText => &["lot", "lot no", "lot number", "batch", "batch no"],
            Self::Maker => &["manufacturer", "made by", "vendor", "supplier"],
            Self::Serial => &["serial", "serial no", "sn", "s n"],
            Self::Worn => &["worn weeks", "weeks", "weeks in use", "age weeks"],
            Self::Activity => &["activity", "task", "doing", "mission"],
            Self::FoundWhen => &["when", "noticed"],
            Self::Altered => &["altered", "modified", "repaired", "mended"],
            Self::AlteredBy => &["modified by", "repaired by"],
            Self::Fate => &["item fate", "location", "where is it", "disposition"],
            Self::Quantity => &["qty", "count", "number", "pieces", "items"],
            Self::Unit => &["unit", "team", "station", "sent by", "unit code"],
        }
    }
}

/// A heading without what people write differently each time: case, blanks, signs.
pub fn plain_heading(heading: &str) -> String {
    let mut plain = String::with_capacity(heading.len());
    for sign in heading.chars().flat_map(char::to_lowercase) {
        if sign.is_alphanumeric() {
            plain.push(sign);
        } else if !plain.is_empty() && !plain.ends_with(' ') {
            plain.push(' ');
        }
    }
    plain.truncate(plain.trim_end().len());
    plain
}

/// What each column of a list probably says: as its sender said last time, else by its name.
///
/// A heading is like a column if it is one of its names; failing that, if all words of a name stand in it. Each column is
/// proposed once, to the first heading that fits best; what fits nothing is left to the sender.
pub fn propose<S: AsRef<str>>(
    headings: &[S],
    learned: &BTreeMap<String, Option<Column>>,
) -> Vec<Option<Column>> {
    let plain: Vec<String> = headings.iter().map(|heading| plain_heading(heading.as_ref())).collect();
    let mut found: Vec<Option<Column>> = vec![None; plain.len()];
    let mut settled = vec![false; plain.len()];
    for (at, heading) in plain.iter().enumerate() {
        if let Some(column) = learned.get(heading) {
            settled[at] = true;
            found[at] = column.filter(|column| !found.contains(&Some(*column)));
        }
    }
    for fits in [is_called as fn(&str, Column) -> bool, speaks_of] {
        for (at, heading) in plain.iter().enumerate().filter(|(_, heading)| !heading.is_empty()) {
            if settled[at] || found[at].is_some() {
                continue;
            }
            let free = Column::ALL.iter().copied().filter(|column| !found.contains(&Some(*column)));
            found[at] = free.into_iter().find(|column| fits(heading, *column));
        }
    }
    found
}

fn names(column: Column) -> impl Iterator<Item = String> {
    [column.word(), column.title()].into_iter().chain(column.also().iter().copied()).map(plain_heading)
}

fn is_called(heading: &str, column: Column) -> bool {
    names(column).any(|name| name == heading)
}

/// Words that are a column's name where they stand alone, and beside others may mean anything: a report number, an item count.
const SAY_LITTLE: [&str; 4] = ["number", "count", "items", "pieces"];

fn speaks_of(heading: &str, column: Column) -> bool {
    let words: Vec<&str> = heading.split(' ').collect();
    let mut names = names(column).filter(|name| !SAY_LITTLE.contains(&name.as_str()));
    names.any(|name| name.split(' ').all(|word| words.contains(&word)))
}

words! {
    /// In which order a list writes its dates.
    pub enum DateOrder {
        /// 31.3.2026
        DayFirst = "day first",
        /// 3/31/2026
        MonthFirst = "month first",
    }
}

/// What the dates of a list tell of their order.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Told {
    /// Nothing has to be known: every date begins with its year, or there is none.
    NotNeeded,
    /// Some date can only be meant so.
    By(DateOrder),
    /// Every date could be meant either way: 03/04/2026.
    Either,
    /// Some can only be meant one way and some only the other.
    Mixed,
}

/// What dates tell of their order; what is no date tells nothing.
pub fn order_told<'a>(dates: impl IntoIterator<Item = &'a str>) -> Told {
    let (mut day_first, mut month_first, mut either) = (false, false, false);
    for (first, second, _) in dates.into_iter().filter_map(three_numbers) {
        match (first > 12, second > 12) {
            (true, false) => day_first = true,
            (false, true) => month_first = true,
            (false, false) => either |= first != second,
            (true, true) => {}
        }
    }
    match (day_first, month_first) {
        (true, true) => Told::Mixed,
        (true, false) => Told::By(DateOrder::DayFirst),
        (false, true) => Told::By(DateOrder::MonthFirst),
        (false, false) if either => Told::Either,
        (false, false) => Told::NotNeeded,
    }
}

/// Day and month in the order written, and the year; `None` for what is written otherwise.
fn three_numbers(text: &str) -> Option<(u32, u32, i32)> {
    let mut pieces = text.trim().split(['/', '.', '-']);
    let (first, second, year) = (pieces.next()?.trim(), pieces.next()?.trim(), pieces.next()?.trim());
    if pieces.next().is_some() || year.len() != 4 || first.len() > 2 || second.len() > 2 {
        return None;
    }
    Some((first.parse().ok()?, second.parse().ok()?, year.parse().ok()?))
}

/// The day that is meant. Dates that begin with their year are read as such; others by the order.
///
/// # Errors
/// What was expected.
pub fn read_day(text: &str, order: Option<DateOrder>) -> Result<NaiveDate, String> {
    let text = text.trim();
    let day = text.split([' ', 'T']).next().unwrap_or_default();
    if let Ok(day) = NaiveDate::parse_from_str(day, "%Y-%m-%d") {
        return Ok(day);
    }
    let expected = || format!("expected a day such as 2026-03-31, found `{}`", shortened(text));
    let (first, second, year) = three_numbers(text).ok_or_else(expected)?;
    let (day, month) = match order {
        Some(DateOrder::DayFirst) => (first, second),
        Some(DateOrder::MonthFirst) => (second, first),
        None if first == second => (first, second),
        None => {
            return Err(format!(
                "`{}` may be meant two ways: say which comes first, day or month",
                shortened(text)
            ));
        }
    };
    NaiveDate::from_ymd_opt(year, month, day).ok_or_else(|| match order {
        Some(order) => format!("`{}` is no day, read {order}", shortened(text)),
        None => expected(),
    })
}

/// The head of a cell that may be long.
pub fn shortened(text: &str) -> String {
    clipped(text, 40)
}

/// The first letters of a text that may be longer.
pub fn clipped(text: &str, letters: usize) -> String {
    if text.chars().count() > letters {
        text.chars().take(letters).chain(['…']).collect()
    } else {
        text.to_owned()
    }
}

/// A word of a fixed list as units write it: `Near miss` is `near_miss`.
pub fn plain_word(text: &str, all: &[&'static str]) -> Option<&'static str> {
    let wanted = plain_heading(text);
    all.iter().copied().find(|word| plain_heading(word) == wanted)
}

/// Whether anybody was hurt, as units answer it under a heading: a plain yes is what the heading asks about.
pub fn plain_harm(text: &str, heading: &str) -> Option<Harm> {
    let words: Vec<&'static str> = Harm::ALL.iter().map(|harm| harm.word()).collect();
    if let Some(word) = plain_word(text, &words) {
        return word.parse().ok();
    }
    match plain_heading(text).as_str() {
        "no" | "nobody" => Some(Harm::None),
        "nearly" | "almost" => Some(Harm::NearMiss),
        "yes" if plain_heading(heading).contains("near") => Some(Harm::NearMiss),
        "yes" => Some(Harm::Injury),
        _ => None,
    }
}

/// Why a report stays when the list it came with is taken back; `None` where it goes.
pub const fn stays(state: ReportState) -> Option<&'static str> {
    match state {
        ReportState::Received | ReportState::Asked => None,
        ReportState::Sorted => Some("an engineer has sorted it"),
        ReportState::Answered => Some("it is answered"),
        ReportState::SetAside => Some("it was set aside before"),
    }
}

/// Refuses to take a list back twice, or without saying why.
///
/// # Errors
/// The field that is wrong.
pub fn check_withdrawal(was: bool, why: &str) -> Result<(), Problem> {
    if was {
        return Err(Problem::new("withdrawn", "this list was taken back already"));
    }
    if why.trim().is_empty() {
        return Err(Problem::new("why", "say why it is taken back"));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn proposed(headings: &[&str]) -> Vec<Option<Column>> {
        propose(headings, &BTreeMap::new())
    }

    #[test]
    fn headings_are_known_by_their_names_and_by_the_words_in_them() {
        use Column::{FoundOn, Harm, Item, LotText, Quantity, Story};
        assert_eq!(
            proposed(&[
                "DATE FOUND",
                "Item part-no.",
                "Description of defect",
                "Injury?",
                "Lot No",
                "Qty",
                "Colour"
            ]),
            [Some(FoundOn), Some(Item), Some(Story), Some(Harm), Some(LotText), Some(Quantity), None]
        );
    }

    #[test]
    fn a_name_that_fits_whole_goes_before_one_that_fits_in_part() {
        use Column::{Part, Serial};
        assert_eq!(proposed(&["part no of the set", "part no"]), [None, Some(Part)]);
        assert_eq!(proposed(&["serial", "serial no"]), [Some(Serial), None], "each column once");
    }

    #[test]
    fn a_number_of_something_is_no_number_of_items() {
        assert_eq!(proposed(&["Report number", "Number"]), [None, Some(Column::Quantity)]);
    }

    #[test]
    fn what_the_sender_said_last_time_goes_before_names() {
        let learned =
            [("date".to_owned(), None), ("seen".to_owned(), Some(Column::FoundOn))].into_iter().collect();
        assert_eq!(
            propose(&["Date", "Seen", "Story"], &learned),
            [None, Some(Column::FoundOn), Some(Column::Story)]
        );
        let twice = [("a".to_owned(), Some(Column::Size)), ("b".to_owned(), Some(Column::Size))]
            .into_iter()
            .collect();
        assert_eq!(propose(&["a", "b"], &twice), [Some(Column::Size), None]);
    }

    #[test]
    fn an_order_is_told_by_any_date_that_can_be_meant_one_way_only() {
        assert_eq!(order_told(["2026-03-04", "", "soon"]), Told::NotNeeded);
        assert_eq!(order_told(["03/04/2026", "05.06.2026"]), Told::Either);
        assert_eq!(order_told(["03/03/2026"]), Told::NotNeeded);
        assert_eq!(order_told(["03/04/2026", "31/03/2026"]), Told::By(DateOrder::DayFirst));
        assert_eq!(order_told(["03/04/2026", "3/31/2026"]), Told::By(DateOrder::MonthFirst));
        assert_eq!(order_told(["31/03/2026", "3/31/2026"]), Told::Mixed);
    }

    #[test]
    fn a_date_is_read_in_its_order_and_refused_where_it_could_be_either() {
        let day = NaiveDate::from_ymd_opt(2026, 4, 3).expect("a day");
        assert_eq!(read_day("03/04/2026", Some(DateOrder::DayFirst)), Ok(day));
        assert_eq!(read_day("4.3.2026", Some(DateOrder::MonthFirst)), Ok(day));
        assert_eq!(read_day("2026-04-03 00:00:00", None), Ok(day));
        assert!(read_day("03/04/2026", None).expect_err("two ways").contains("two ways"));
        assert!(read_day("31/04/2026", Some(DateOrder::DayFirst)).expect_err("no day").contains("no day"));
        for strange in ["", "yesterday", "3/4/26", "99999999999/1/2026", "\u{0}"] {
            assert!(read_day(strange, Some(DateOrder::DayFirst)).is_err(), "{strange}");
        }
    }

    #[test]
    fn words_are_known_however_they_are_cased_and_joined() {
        let all = ["none", "near_miss", "injury"];
        assert_eq!(plain_word(" Near-Miss ", &all), Some("near_miss"));
        assert_eq!(plain_word("maybe", &all), None);
    }

    #[test]
    fn a_plain_answer_on_harm_is_taken_for_what_its_heading_asks() {
        for (text, heading, harm) in [
            ("No", "Anybody hurt", Some(Harm::None)),
            ("nearly", "Anybody hurt", Some(Harm::NearMiss)),
            ("YES", "Anybody hurt?", Some(Harm::Injury)),
            ("yes", "Near-miss", Some(Harm::NearMiss)),
            ("Near miss", "Injury", Some(Harm::NearMiss)),
            ("perhaps", "Injury", None),
        ] {
            assert_eq!(plain_harm(text, heading), harm, "{text} under {heading}");
        }
    }

    #[test]
    fn what_nobody_has_sorted_goes_with_its_list() {
        let going = ReportState::ALL.iter().filter(|state| stays(**state).is_none());
        assert_eq!(going.copied().collect::<Vec<_>>(), [ReportState::Received, ReportState::Asked]);
        assert!(check_withdrawal(false, " ").is_err() && check_withdrawal(true, "twice").is_err());
        assert_eq!(check_withdrawal(false, "wrong file"), Ok(()));
    }
}
