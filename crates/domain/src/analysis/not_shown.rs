//! Why what lies above its peers is not shown to stand out all the same.

use super::concentration::Concentration;
use super::lot_lines::{LotLine, RATIO_WORTH_A_FLAG, least_known};
use crate::words::words;

/// A chance that little has to be made of, whatever else was looked at: that of the usual 95 % limits.
const USUAL_CHANCE: f64 = 0.05;

words! {
    /// What keeps a lot or a level of a factor, whose ratio has a lower limit above 1, from being shown to stand out.
    pub enum NotShown {
        /// The ratio is not worth a flag.
        Little = "not over 1.5 times",
        /// It would not be worth one if the labels that were not read, or guessed, were of the others.
        Labels = "rests on labels not read or guessed",
        /// Its reports come from a few units, or few are expected, so that as many come by chance.
        Scatter = "units scatter by as much",
        /// By itself it would be shown; of so much that was looked at, some would come out like this.
        Looked = "of all that was looked at some come out so by chance",
    }
}

impl LotLine {
    /// What keeps it from being shown; `None` where it is shown, or its ratio may well be 1.
    pub fn not_shown(&self) -> Option<NotShown> {
        let above = !self.flagged && self.ratio_low.is_some_and(|low| low > 1.0);
        above.then(|| why(least_known(self.ratio, self.ratio_low), self.p_value, self.may_be_flagged()))
    }
}

impl Concentration {
    /// What keeps it from being shown; `None` where it is shown, explained, or its ratio may well be 1.
    pub fn not_shown(&self) -> Option<NotShown> {
        let above = !self.flagged && self.explained_by.is_none() && self.ratio_low > 1.0;
        above.then(|| why(least_known(self.ratio, Some(self.ratio_low)), self.p_value, self.evidence > 0.0))
    }
}

fn why(ratio: Option<f64>, p_value: f64, may_be_flagged: bool) -> NotShown {
    if ratio <= Some(RATIO_WORTH_A_FLAG) {
        NotShown::Little
    } else if !may_be_flagged {
        NotShown::Labels
    } else if p_value > USUAL_CHANCE {
        NotShown::Scatter
    } else {
        NotShown::Looked
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The bars: 1.5 times and a chance of 5 %.
    #[test]
    fn the_first_bar_that_is_not_passed_is_named() {
        assert_eq!(why(Some(1.5), 1e-6, false), NotShown::Little);
        assert_eq!(why(Some(1.6), 1.0, false), NotShown::Labels);
        assert_eq!(why(Some(1.6), 0.06, true), NotShown::Scatter);
        assert_eq!(why(Some(1.6), 0.01, true), NotShown::Looked);
    }
}
