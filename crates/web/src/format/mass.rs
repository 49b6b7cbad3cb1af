//! Masses in the reader's unit: grams and kilograms, or ounces and pounds.

use std::str::FromStr;

use super::number::decimals;

/// Grams in an avoirdupois ounce, exact by the international yard and pound agreement of 1959.
const G_PER_OZ: f64 = 28.349_523_125;
const G_PER_KG: f64 = 1000.0;
const OZ_PER_LB: f64 = 16.0;

/// What a reader weighs in, chosen once.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum MassUnit {
    /// Grams; kilograms from 10 kg.
    #[default]
    Gram,
    /// Ounces; pounds from 10 lb.
    Ounce,
}

/// A word that names no unit of mass.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is no unit of mass: g or oz is")]
pub struct UnknownMassUnit(String);

impl FromStr for MassUnit {
    type Err = UnknownMassUnit;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        match text {
            "g" => Ok(Self::Gram),
            "oz" => Ok(Self::Ounce),
            other => Err(UnknownMassUnit(other.to_owned())),
        }
    }
}

impl MassUnit {
    /// The word kept in a preference and shown in a table's head.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Gram => "g",
            Self::Ounce => "oz",
        }
    }

    /// The unit's name: `grams`.
    pub const fn noun(self) -> &'static str {
        match self {
            Self::Gram => "grams",
            Self::Ounce => "ounces",
        }
    }

    /// `3,856 g`, `10.35 kg`, `8.50 oz`, `12.25 lb`.
    pub fn mass(self, mass_g: f64) -> String {
        match self {
            Self::Gram if mass_g.abs() >= 10.0 * G_PER_KG => unit(decimals(mass_g / G_PER_KG, 2), "kg"),
            Self::Gram => unit(grams(mass_g), "g"),
            Self::Ounce if mass_g.abs() >= 10.0 * OZ_PER_LB * G_PER_OZ => {
                unit(decimals(mass_g / (OZ_PER_LB * G_PER_OZ), 2), "lb")
            }
            Self::Ounce => unit(decimals(mass_g / G_PER_OZ, 2), "oz"),
        }
    }

    /// A mass with its standard uncertainty: `3,856 g, standard uncertainty 4 g`.
    pub fn mass_with_uncertainty(self, mass_g: f64, u_g: f64) -> String {
        format!("{}, standard uncertainty {}", self.mass(mass_g), self.mass(u_g))
    }

    /// A difference with its sign always written: `+12 g`, `−140 g`.
    pub fn difference(self, difference_g: f64) -> String {
        let words = self.mass(difference_g);
        let grows = difference_g > 0.0 && words.bytes().any(|byte| matches!(byte, b'1'..=b'9'));
        if grows { format!("+{words}") } else { words }
    }

    /// A number alone, for a column whose head names [`MassUnit::word`].
    pub fn number(self, mass_g: f64) -> String {
        match self {
            Self::Gram => grams(mass_g),
            Self::Ounce => decimals(mass_g / G_PER_OZ, 2),
        }
    }
}

/// Whole grams from 100 g upwards, tenths below.
fn grams(mass_g: f64) -> String {
    decimals(mass_g, usize::from(mass_g.abs() < 100.0 && mass_g.fract() != 0.0))
}

fn unit(number: String, unit: &str) -> String {
    format!("{number}\u{a0}{unit}")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plain(text: String) -> String {
        text.replace('\u{a0}', " ")
    }

    #[test]
    fn grams_are_whole_and_small_ones_have_tenths() {
        assert_eq!(plain(MassUnit::Gram.mass(3856.4)), "3,856 g");
        assert_eq!(plain(MassUnit::Gram.mass(4.25)), "4.2 g");
        assert_eq!(plain(MassUnit::Gram.mass(10_350.0)), "10.35 kg");
    }

    /// 8.5 lb is 3855.5 g: NIST SP 811, appendix B.8, 1 lb = 0.453 592 37 kg.
    #[test]
    fn pounds_are_those_of_the_standard() {
        assert_eq!(plain(MassUnit::Ounce.mass(3855.535)), "136.00 oz");
        assert_eq!(plain(MassUnit::Ounce.mass(5556.507)), "12.25 lb");
    }

    #[test]
    fn a_difference_always_has_its_sign() {
        assert_eq!(plain(MassUnit::Gram.difference(12.0)), "+12 g");
        assert_eq!(plain(MassUnit::Gram.difference(-140.0)), "\u{2212}140 g");
        assert_eq!(plain(MassUnit::Gram.difference(0.0)), "0 g");
    }

    #[test]
    fn an_uncertainty_is_named_as_one() {
        assert_eq!(
            plain(MassUnit::Gram.mass_with_uncertainty(3856.0, 4.0)),
            "3,856 g, standard uncertainty 4 g"
        );
    }

    #[test]
    fn a_unit_is_read_back() {
        for unit in [MassUnit::Gram, MassUnit::Ounce] {
            assert_eq!(unit.word().parse(), Ok(unit));
        }
        assert!("stone".parse::<MassUnit>().is_err());
    }
}
