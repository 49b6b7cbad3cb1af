//! A change: what the pack carries of an engineering change and its life.

use chrono::NaiveDate;

use crate::pack::{KeyHasher, Known, Record, Table};
use crate::words::{Problem, words};

words! {
    /// Where a change stands.
    pub enum ChangeState {
        /// Being written.
        Draft = "draft",
        /// Before the board.
        Submitted = "submitted",
        /// Approved, not yet built.
        Approved = "approved",
        /// Refused.
        Disapproved = "disapproved",
        /// Put off.
        Deferred = "deferred",
        /// Built into production from a lot on.
        CutIn = "cut in",
        /// Shown by field data.
        Proved = "proved",
        /// Field data did not show it.
        NotProved = "not proved",
        /// Given up.
        Withdrawn = "withdrawn",
    }
}

/// What a change waits for, and of whom.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Wait {
    /// The board decides.
    Decision,
    /// The engineer answers what the board wanted.
    Answer,
    /// The first lot is built to it.
    CutIn,
    /// The field shows whether it worked.
    Proof,
    /// The field did not show it; the engineer says what comes next.
    NextStep,
    /// The field showed it; what it cures is settled, with what remains accepted by name.
    Settlement,
    /// The engineer finishes the draft.
    Draft,
}

impl Wait {
    /// Every wait, those that hold up most first.
    pub const ALL: [Self; 7] = [
        Self::Decision,
        Self::Answer,
        Self::CutIn,
        Self::Proof,
        Self::NextStep,
        Self::Settlement,
        Self::Draft,
    ];

    /// What is waited for.
    pub const fn what(self) -> &'static str {
        match self {
            Self::Decision => "a decision",
            Self::Answer => "an answer to what the board asked",
            Self::CutIn => "the first lot built to it",
            Self::Proof => "proof from the field",
            Self::NextStep => "the next step after a proof that failed",
            Self::Settlement => "the recurrence to be settled",
            Self::Draft => "the draft to be finished",
        }
    }

    /// Who is waited for.
    pub const fn whom(self) -> &'static str {
        match self {
            Self::Decision => "the board",
            Self::Answer | Self::NextStep | Self::Draft => "the engineer",
            Self::CutIn => "the maker and the engineer",
            Self::Proof => "the units' reports and the engineer",
            Self::Settlement => "the owner of the recurrence",
        }
    }
}

impl ChangeState {
    /// What a change that stands here waits for by itself; `None` where nothing is left to be done with it. Whether the
    /// recurrence of a proved one is settled, the change doesn't know: see [`Wait::Settlement`].
    pub const fn waits_for(self) -> Option<Wait> {
        match self {
            Self::Draft => Some(Wait::Draft),
            Self::Submitted => Some(Wait::Decision),
            Self::Approved => Some(Wait::CutIn),
            Self::Deferred => Some(Wait::Answer),
            Self::CutIn => Some(Wait::Proof),
            Self::NotProved => Some(Wait::NextStep),
            Self::Disapproved | Self::Proved | Self::Withdrawn => None,
        }
    }

    /// Whether the record of a change that stands here may be edited.
    pub const fn is_open(self) -> bool {
        matches!(self, Self::Draft | Self::Deferred | Self::Disapproved)
    }

    /// Whether the day of its cut-in may still be corrected: lots are built to it, and it is not proved yet.
    pub const fn has_open_cut_in(self) -> bool {
        matches!(self, Self::CutIn | Self::NotProved)
    }

    /// Whether lots have been built to a change that stands here.
    pub const fn is_built(self) -> bool {
        matches!(self, Self::CutIn | Self::Proved | Self::NotProved)
    }
}

/// A change as a pack carries it.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// Its number, the key.
    pub change_no: String,
    /// Its title.
    pub title: String,
    /// The part that changes.
    pub part_no: String,
    /// The revision before.
    pub from_revision: String,
    /// The revision after.
    pub to_revision: String,
    /// The modes it is meant to cure; every relevant mode on the part when empty.
    pub modes: Vec<String>,
    /// Where it stands.
    pub state: Option<ChangeState>,
    /// First lot built to it.
    pub cut_in_lot: Option<String>,
    /// When.
    pub cut_in_on: Option<NaiveDate>,
}

impl Change {
    /// Whether lots have been built to it, so that its first lot is more than a plan.
    pub fn is_built(&self) -> bool {
        self.state.is_some_and(ChangeState::is_built)
    }

    /// Whether it is meant to cure a part failing in one mode.
    pub fn cures(&self, part_no: &str, mode: &str) -> bool {
        self.part_no == part_no && (self.modes.is_empty() || self.modes.iter().any(|one| one == mode))
    }

    /// Refuses a change from a revision to itself.
    pub fn check(&self) -> Result<(), Problem> {
        if self.from_revision == self.to_revision {
            return Err(Problem::new("to_revision", "is the same as from_revision"));
        }
        Ok(())
    }
}

impl Record for Change {
    const TABLE: Table = Table::Changes;

    fn check_row(&self, _today: NaiveDate) -> Result<(), Problem> {
        self.check()
    }

    fn check_references(&self, known: &Known, problems: &mut Vec<Problem>) {
        known.need_revision(["part_no", "from_revision"], (&self.part_no, &self.from_revision), problems);
        if known.has_part(&self.part_no) {
            known.need_revision(["part_no", "to_revision"], (&self.part_no, &self.to_revision), problems);
        }
        for mode in &self.modes {
            known.need_mode("modes", mode, problems);
        }
        if let Some(lot_no) = self.cut_in_lot.as_deref().filter(|_| self.is_built()) {
            known.need_lot("cut_in_lot", lot_no, problems);
        }
    }

    fn key(&self, key: &mut KeyHasher) {
        key.field(&self.change_no);
    }

    fn learn(&self, known: &mut Known) {
        known.add_change(&self.change_no);
        if let Some(lot_no) = self.cut_in_lot.as_deref().filter(|_| self.is_built()) {
            known.name_lot(lot_no);
        }
    }

    fn is_known(&self, known: &Known) -> Option<bool> {
        Some(known.has_change(&self.change_no))
    }
}
