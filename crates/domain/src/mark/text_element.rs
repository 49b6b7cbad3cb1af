//! Text element identifiers of format 12: three capitals, a blank, the value (MIL-STD-130N table III, from memory).

use super::item_identifier::{self, Construct, ItemIdentifier};
use super::{Element, GS, Mark, NotAMark, Source, shortened, value};

const SOURCE: Source = Source::TextElement;

/// Splits the elements of a format 12.
pub(super) fn elements(mark: &mut Mark, text: &str) -> Result<(), NotAMark> {
    for element in text.split(GS).filter(|element| !element.is_empty()) {
        let (identifier, value) = element
            .split_once(' ')
            .filter(|(identifier, _)| {
                identifier.len() == 3 && identifier.bytes().all(|b| b.is_ascii_uppercase())
            })
            .ok_or_else(|| NotAMark::Element { element: shortened(element), source_name: SOURCE })?;
        mark.push(SOURCE, identifier, value.trim());
    }
    Ok(())
}

/// Reads what the elements say together. Identifiers of other meaning are kept as elements and not interpreted.
pub(super) fn conclude(mark: &mut Mark, told: &[Element]) {
    let get = |identifier: &str| value(told, SOURCE, identifier).map(str::to_owned);
    let maker = get("MFR").or_else(|| get("CAG")).or_else(|| get("SPL"));
    let (in_enterprise, in_part, original) = (get("SER"), get("SEQ"), get("PNO"));
    let current = get("PNR");
    if maker.is_none()
        && in_enterprise.is_none()
        && in_part.is_none()
        && original.is_none()
        && current.is_none()
    {
        return;
    }
    let identifier = match (&maker, &in_part, &original, &in_enterprise) {
        (Some(maker), Some(serial), Some(original), _) => {
            Some(ItemIdentifier { text: format!("D{maker}{original}{serial}"), construct: Construct::Two })
        }
        (Some(maker), None, _, Some(serial)) => {
            Some(ItemIdentifier { text: format!("D{maker}{serial}"), construct: Construct::One })
        }
        _ => None,
    };
    mark.maker = mark.maker.take().or(maker);
    mark.part_no = mark.part_no.take().or(current).or(original);
    mark.serial = mark.serial.take().or(in_part).or(in_enterprise);
    if mark.item_identifier.is_none()
        && let Some(identifier) = identifier
    {
        item_identifier::check(mark, &identifier);
        mark.item_identifier = Some(identifier);
    }
}
