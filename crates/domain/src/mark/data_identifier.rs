//! Data identifiers of ANSI MH10.8.2: up to three digits and a capital letter, then the value.

use super::item_identifier::{self, Construct, ItemIdentifier};
use super::made::{self, Order};
use super::{Element, GS, Mark, NotAMark, Source, shortened, value};

const SOURCE: Source = Source::DataIdentifier;

/// Splits the elements of a format 06.
pub(super) fn elements(mark: &mut Mark, text: &str) -> Result<(), NotAMark> {
    for element in text.split(GS).filter(|element| !element.is_empty()) {
        let (identifier, value) = split(element)
            .ok_or_else(|| NotAMark::Element { element: shortened(element), source_name: SOURCE })?;
        mark.push(SOURCE, identifier, value);
    }
    Ok(())
}

fn split(element: &str) -> Option<(&str, &str)> {
    let digits = element.bytes().take_while(u8::is_ascii_digit).count();
    let letter = element.as_bytes().get(digits)?;
    (digits <= 3 && letter.is_ascii_uppercase()).then(|| element.split_at(digits + 1))
}

/// Reads what the elements say together, once all are there.
pub(super) fn conclude(mark: &mut Mark, told: &[Element], year: i32) {
    let get = |identifier: &str| value(told, SOURCE, identifier).map(str::to_owned);
    let (original, lot_of_item) = (get("1P"), get("1T"));
    let serial_in_enterprise = get("18S");
    mark.maker = mark.maker.take().or_else(|| {
        // The first five characters of 18S are the maker's code (an5).
        let of_serial = serial_in_enterprise.as_deref().and_then(|s| s.get(..5).map(str::to_owned));
        get("17V").or(of_serial).or_else(|| get("12V")).or_else(|| get("3V")).or_else(|| get("7L"))
    });
    mark.part_no = mark.part_no.take().or_else(|| get("30P").or_else(|| original.clone()));
    mark.lot = mark.lot.take().or_else(|| lot_of_item.clone().or_else(|| get("30T")));
    mark.serial = mark.serial.take().or_else(|| {
        let behind_code = serial_in_enterprise.as_deref().and_then(|s| s.get(5..)).filter(|s| !s.is_empty());
        get("S").or_else(|| behind_code.map(str::to_owned))
    });
    for (identifier, order) in
        [("16D", Order::YearMonthDay), ("17D", Order::DayMonthYear), ("D", Order::ShortYearMonthDay)]
    {
        if let Some(text) = get(identifier) {
            match made::read(&text, order, year) {
                Some(day) => mark.made = mark.made.or(Some(day)),
                None => mark.warn(format!("`{}` is not a date.", shortened(&text))),
            }
        }
    }
    if original.is_some() && lot_of_item.is_some() {
        mark.warn("The label carries both an original part number (1P) and an original lot number (1T): its item identifier is ambiguous and was not made.");
        return;
    }
    let identifier = whole(told).or_else(|| put_together(told));
    if let Some(identifier) = identifier {
        item_identifier::check(mark, &identifier);
        mark.item_identifier = Some(identifier);
    }
}

/// An identifier that stands in one element.
fn whole(told: &[Element]) -> Option<ItemIdentifier> {
    let equivalent = |text: &str| ItemIdentifier { text: text.to_owned(), construct: Construct::Equivalent };
    if let Some(text) = value(told, SOURCE, "18S") {
        return Some(ItemIdentifier { text: format!("D{text}"), construct: Construct::One });
    }
    ["25S", "I", "22S"].iter().find_map(|identifier| value(told, SOURCE, identifier)).map(equivalent)
}

/// Construct 2: enterprise, original part or lot, serial, in this order (MIL-STD-130N table A-II).
fn put_together(told: &[Element]) -> Option<ItemIdentifier> {
    const ENTERPRISES: [(&str, &str); 5] =
        [("17V", "D"), ("12V", "UN"), ("3V", ""), ("7L", "LD"), ("18V", "")];
    let serial = value(told, SOURCE, "S")?;
    let original = value(told, SOURCE, "1P").or_else(|| value(told, SOURCE, "1T"))?;
    let (agency, enterprise) = ENTERPRISES
        .iter()
        .find_map(|(identifier, agency)| Some((agency, value(told, SOURCE, identifier)?)))?;
    Some(ItemIdentifier {
        text: format!("{agency}{enterprise}{original}{serial}"),
        construct: Construct::Two,
    })
}
