//! Reads markings, statements and blocks as an administrator writes them: a word, then fields divided by semicolons.

use std::str::FromStr;

use chrono::NaiveDate;

use super::{Control, Designation, Distribution, DistributionError as E, Letter, Marking, reasons};

/// The fields behind the first word, each taken out by name until none may be left.
struct Fields<'a>(Vec<(&'a str, &'a str)>);

impl<'a> Fields<'a> {
    fn read(parts: impl Iterator<Item = &'a str>) -> Result<Self, E> {
        let mut fields: Vec<(&str, &str)> = Vec::new();
        for part in parts.map(str::trim).filter(|part| !part.is_empty()) {
            let (name, value) = part.split_once('=').ok_or_else(|| E::Field(part.to_owned()))?;
            let (name, value) = (name.trim(), value.trim());
            if fields.iter().any(|(known, _)| *known == name) {
                return Err(E::Field(name.to_owned()));
            }
            fields.push((name, value));
        }
        Ok(Self(fields))
    }

    fn take(&mut self, name: &str) -> Option<&'a str> {
        let at = self.0.iter().position(|(known, _)| *known == name)?;
        Some(self.0.swap_remove(at).1).filter(|value| !value.is_empty())
    }

    fn need(&mut self, name: &'static str) -> Result<String, E> {
        self.take(name).map(str::to_owned).ok_or(E::Wanted(name))
    }

    fn end(self) -> Result<(), E> {
        self.0.first().map_or(Ok(()), |(name, _)| Err(E::Field((*name).to_owned())))
    }
}

/// `INTERNAL` marks both edges; `INTERNAL | Keep it with the item` the top and the bottom.
impl FromStr for Marking {
    type Err = E;

    fn from_str(text: &str) -> Result<Self, E> {
        let words = |text: &str| Some(text.trim().to_owned()).filter(|text| !text.is_empty());
        Ok(match text.split_once('|') {
            Some((top, bottom)) => Self { top: words(top), bottom: words(bottom) },
            None => Self { top: words(text), bottom: words(text) },
        })
    }
}

/// `A`, or `D; reason=Export Controlled; determined=2026-03-03; office=Equipment Office, Fjord Rescue`.
impl FromStr for Distribution {
    type Err = E;

    fn from_str(text: &str) -> Result<Self, E> {
        let mut parts = text.split(';');
        let letter: Letter = parts.next().unwrap_or_default().trim().parse().map_err(|_| E::Letter)?;
        let mut fields = Fields::read(parts)?;
        let refuse = |wanted: bool, field, written: bool| {
            if written && !wanted { Err(E::NotTaken { letter, field }) } else { Ok(()) }
        };
        let (reason, determined, office) =
            (fields.take("reason"), fields.take("determined"), fields.take("office"));
        fields.end()?;
        refuse(letter.wants_reason(), "reason", reason.is_some())?;
        refuse(letter.wants_office(), "determined", determined.is_some())?;
        refuse(letter.wants_office(), "office", office.is_some())?;
        let wrong = || E::Reason { letter, accepted: reasons(letter).collect::<Vec<_>>().join(", ") };
        let found = |said: &str| reasons(letter).find(|reason| *reason == said).ok_or_else(wrong);
        let day = |text: &str| NaiveDate::parse_from_str(text, "%Y-%m-%d").map_err(|_| E::Day);
        if letter.wants_office() && determined.is_none() {
            return Err(E::Wanted("determined"));
        }
        if letter.wants_office() && office.is_none() {
            return Err(E::Wanted("office"));
        }
        Ok(Self {
            letter,
            reason: if letter.wants_reason() { Some(found(reason.unwrap_or_default())?) } else { None },
            determined: determined.map(day).transpose()?,
            office: office.map(str::to_owned),
        })
    }
}

/// `controlled_by=..; category=..; contact=..`, and `limited=..` where there is no distribution statement.
impl FromStr for Designation {
    type Err = E;

    fn from_str(text: &str) -> Result<Self, E> {
        let mut fields = Fields::read(text.split(';'))?;
        let designation = Self {
            controlled_by: fields.need("controlled_by")?,
            category: fields.need("category")?,
            contact: fields.need("contact")?,
            limited: fields.take("limited").map(str::to_owned),
        };
        fields.end()?;
        Ok(designation)
    }
}

impl Control {
    /// The three together.
    ///
    /// # Errors
    /// [`E::Both`] where there is a statement and a limit.
    pub fn new(
        marking: Marking,
        distribution: Option<Distribution>,
        designation: Option<Designation>,
    ) -> Result<Self, E> {
        let limited = designation.as_ref().is_some_and(|designation| designation.limited.is_some());
        if limited && distribution.is_some() {
            return Err(E::Both);
        }
        Ok(Self { marking, distribution, designation })
    }
}
