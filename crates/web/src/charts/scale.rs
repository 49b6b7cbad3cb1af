//! From a number to a place on a line, plain or by its logarithm.

use crate::format::{decimals, significant};

/// A scale that the rows of one table share.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    low: f64,
    high: f64,
    by_logarithm: bool,
}

impl Scale {
    /// From nought to the largest of some numbers, rounded up to a clear one.
    pub fn from_nought(largest: f64) -> Self {
        let high = if largest.is_finite() && largest > 0.0 { clear_above(largest) } else { 1.0 };
        Self { low: 0.0, high, by_logarithm: false }
    }

    /// Around some numbers that all lie far from nought, such as masses, with clear ends.
    pub fn around(numbers: impl IntoIterator<Item = f64>) -> Self {
        let (low, high) = numbers
            .into_iter()
            .filter(|number| number.is_finite())
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), n| (low.min(n), high.max(n)));
        if low > high {
            return Self::from_nought(1.0);
        }
        // A tenth to spare at each end keeps the outermost marks off the edge.
        let spread = (high - low).max(high.abs() * 0.02).max(1e-9) * 1.2;
        let step = clear_above(spread / 4.0);
        let middle = f64::midpoint(low, high);
        let (low, high) = ((middle - spread / 2.0) / step, (middle + spread / 2.0) / step);
        Self { low: low.floor() * step, high: high.ceil() * step, by_logarithm: false }
    }

    /// For ratios: as far below 1 as above it, at least from a quarter to 4, at most from 1/100 to 100.
    pub fn of_ratios(ratios: impl IntoIterator<Item = f64>) -> Self {
        let widest = ratios
            .into_iter()
            .filter(|ratio| ratio.is_finite() && *ratio > 0.0)
            .map(|ratio| ratio.max(1.0 / ratio))
            .fold(4.0_f64, f64::max);
        let high = [4.0, 10.0, 30.0].into_iter().find(|end| widest <= *end).unwrap_or(100.0);
        Self { low: 1.0 / high, high, by_logarithm: true }
    }

    /// Where a number lies: 0 at the low end, 1 at the high end, never beyond.
    pub fn place(self, number: f64) -> f64 {
        if number.is_nan() {
            return 0.0;
        }
        let share = if self.by_logarithm {
            (number.max(self.low) / self.low).ln() / (self.high / self.low).ln()
        } else {
            (number - self.low) / (self.high - self.low)
        };
        share.clamp(0.0, 1.0)
    }

    /// Whether a number lies beyond the high end, so that its mark must say so.
    pub fn is_beyond(self, number: f64) -> bool {
        number > self.high * (1.0 + 1e-9)
    }

    /// Whether a number lies below the low end, so that its mark must say so.
    pub fn is_below(self, number: f64) -> bool {
        number < self.low * (1.0 - 1e-9)
    }

    /// The numbers worth a tick, with their words.
    pub fn ticks(self) -> Vec<(f64, String)> {
        let numbers = if self.by_logarithm {
            // Well below the end, so that the words have room beside each other.
            let inner = if self.high > 4.0 { 3.0 } else { 2.0 };
            vec![self.low, 1.0 / inner, 1.0, inner, self.high]
        } else {
            vec![self.low, f64::midpoint(self.low, self.high), self.high]
        };
        numbers.into_iter().map(|number| (number, tick_word(number, self.by_logarithm))).collect()
    }
}

/// A ratio below one is read more easily as a fraction.
fn tick_word(number: f64, is_ratio: bool) -> String {
    if is_ratio && number < 1.0 {
        return format!("1/{}", (1.0 / number).round());
    }
    let is_whole = (number - number.round()).abs() < 1e-9;
    if is_whole { decimals(number, 0) } else { significant(number, 2) }
}

/// The smallest of 1, 2, 4, 5, 6, 8 times a power of ten that isn't below a number.
fn clear_above(number: f64) -> f64 {
    let power = 10_f64.powf(number.log10().floor());
    [1.0, 2.0, 4.0, 5.0, 6.0, 8.0]
        .into_iter()
        .map(|step| step * power)
        .find(|end| number <= end * (1.0 + 1e-12))
        .unwrap_or(10.0 * power)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(scale: Scale) -> String {
        scale.ticks().into_iter().map(|(_, word)| word).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn a_plain_scale_ends_on_a_clear_number() {
        assert_eq!(words(Scale::from_nought(4.2)), "0 2.5 5");
        assert_eq!(words(Scale::from_nought(0.0)), "0 0.50 1");
        assert_eq!(words(Scale::from_nought(17.0)), "0 10 20");
    }

    #[test]
    fn a_scale_around_masses_starts_near_them() {
        let scale = Scale::around([1204.0, 1262.0]);
        assert_eq!(words(scale), "1,180 1,230 1,280");
        assert!(scale.place(1204.0) > 0.02 && scale.place(1262.0) < 0.98, "{scale:?}");
        assert_eq!(words(Scale::around([])), "0 0.50 1");
    }

    #[test]
    fn on_a_scale_of_ratios_twice_is_as_far_as_half() {
        let scale = Scale::of_ratios([0.5, 2.0]);
        assert!((scale.place(1.0) - 0.5).abs() < 1e-12);
        assert!((scale.place(2.0) - 0.5 - (0.5 - scale.place(0.5))).abs() < 1e-12);
        assert_eq!(words(scale), "1/4 1/2 1 2 4");
        assert_eq!(words(Scale::of_ratios([23.0])), "1/30 1/3 1 3 30");
        assert_eq!(words(Scale::of_ratios([99.0])), "1/100 1/3 1 3 100", "words that don't run together");
    }

    #[test]
    fn nothing_lies_beyond_the_ends() {
        let scale = Scale::of_ratios([0.0, 1e9]);
        assert_eq!((scale.place(0.0), scale.place(1e9)), (0.0, 1.0));
        assert!(scale.is_beyond(1e9) && !scale.is_beyond(100.0));
    }
}
