//! Orders to stop using that hold while units are told of a change: what its notice names first.

use chrono::NaiveDate;
use documents::{Block, Caution};
use domain::analysis::Holders;
use domain::field::{Field, PartId};
use domain::instruction::{Holds, Instruction, InstructionKind};
use store::Kept;

use crate::error::AppError;
use crate::pages::interim::days;
use crate::pages::interim::orders::on_labels;
use crate::state::AppState;
use crate::tongue::Tongue;

/// The orders.
#[derive(Default)]
pub(super) struct Stops(Vec<Kept<Instruction>>);

impl Stops {
    /// Those that hold on a day about items that hold a part, whichever of their parts the order is about.
    pub(super) async fn on(
        state: &AppState,
        field: &Field,
        part_no: &str,
        today: NaiveDate,
    ) -> Result<Self, AppError> {
        let mut orders = state.store().list_instructions().await?;
        let part = field.part_names.find(part_no);
        orders.retain(|kept| {
            kept.what.kind == InstructionKind::StopUse
                && kept.what.holds(today) == Holds::Now
                && part.is_some_and(|part| concerns(field, &kept.what, part))
        });
        Ok(Self(orders))
    }

    pub(super) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// On which labels each bears, and where it stands; nothing where there is none.
    pub(super) fn block(&self, tongue: Tongue, field: &Field) -> Option<Block> {
        let told = |kept: &Kept<Instruction>| {
            let filled = [
                ("what", on_labels(tongue, field, &kept.what.concerned).into()),
                ("number", kept.number.as_str().into()),
                ("days", days(tongue, kept.what.from, kept.what.to).into()),
            ];
            let words = tongue.with("fielding-stop-how", &filled);
            Caution { word: tongue.say("fielding-stop"), harm: true, words }
        };
        (!self.is_empty()).then(|| Block::Cautions { cautions: self.0.iter().map(told).collect() })
    }
}

fn concerns(field: &Field, what: &Instruction, part: PartId) -> bool {
    let items = Holders::of_part(field, part).items(field);
    items.iter().any(|&item| what.concerned.may_bear_on(field, item))
}
