//! Unit costs of bringing a change to issued items, as typed, with their source.

use crate::words::Problem;

/// What things cost; `None` where nobody has said.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Costs {
    /// The currency, in words.
    pub currency: Option<String>,
    /// What a new item costs more than an old one; below 0 where it costs less.
    pub new_item: Option<f64>,
    /// Calling back, converting and sending out one issued item.
    pub conversion: Option<f64>,
    /// What is lost with an unissued old item that is set aside.
    pub scrapped_item: Option<f64>,
    /// Months that a recall of all takes.
    pub recall_months: Option<f64>,
    /// From whom the figures are.
    pub source: Option<String>,
}

impl Costs {
    /// Refuses figures that are not finite, costs of work below 0, and figures that nobody answers for.
    ///
    /// # Errors
    /// The first field that is wrong.
    pub fn check(&self) -> Result<(), Problem> {
        let given = [
            ("new_item", self.new_item, f64::NEG_INFINITY),
            ("conversion", self.conversion, 0.0),
            ("scrapped_item", self.scrapped_item, 0.0),
            ("recall_months", self.recall_months, 0.0),
        ];
        for (field, value, least) in given {
            if value.is_some_and(|value| !value.is_finite() || value < least) {
                return Err(Problem::new(field, "expected a number, not below 0 for work and time"));
            }
        }
        let money = [self.new_item, self.conversion, self.scrapped_item].iter().any(Option::is_some);
        let blank = |text: &Option<String>| text.as_deref().is_none_or(|text| text.trim().is_empty());
        if money && blank(&self.currency) {
            return Err(Problem::new("currency", "expected the currency of the figures"));
        }
        if money && blank(&self.source) {
            return Err(Problem::new("cost_source", "expected from whom the figures are"));
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_figure_needs_a_currency_and_somebody_who_answers_for_it() {
        let some = Costs { conversion: Some(14.0), ..Costs::default() };
        assert_eq!(some.check().unwrap_err().field, "currency");
        let some = Costs { currency: Some("EUR".into()), ..some };
        assert_eq!(some.check().unwrap_err().field, "cost_source");
        let whole = Costs { source: Some("workshop, January".into()), ..some };
        assert_eq!(whole.check(), Ok(()));
        assert_eq!(
            Costs { conversion: Some(-1.0), ..whole.clone() }.check().unwrap_err().field,
            "conversion"
        );
        assert_eq!(Costs { new_item: Some(-1.0), ..whole }.check(), Ok(()), "a new item may cost less");
        assert_eq!(Costs::default().check(), Ok(()));
    }
}
