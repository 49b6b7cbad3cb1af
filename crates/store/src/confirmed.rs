//! What people confirmed: narratives with the mode they were sorted as.

use domain::handling::ReportState;
use domain::suggestion::Example;
use sea_orm::entity::prelude::*;
use sea_orm::sea_query::Query;
use sea_orm::{QueryOrder as _, QuerySelect as _};

use crate::connect::Store;
use crate::error::Result;
use crate::handling;
use crate::report::{Column, Entity};
use crate::stored::seen;

/// States in which part and mode are only the unit's guess, or the report was found to be none.
const UNCONFIRMED: [ReportState; 3] = [ReportState::Received, ReportState::Asked, ReportState::SetAside];

impl Store {
    /// The latest confirmed narratives, latest first.
    pub async fn confirmed_examples(&self, most: u64) -> Result<Vec<Example>> {
        let states = UNCONFIRMED.map(ReportState::word);
        let unconfirmed = Query::select()
            .column(handling::Column::ReportRef)
            .from(handling::Entity)
            .and_where(handling::Column::State.is_in(states))
            .to_owned();
        let rows: Vec<(Option<String>, Option<String>)> = seen::<Entity>()
            .select_only()
            .columns([Column::Narrative, Column::Mode])
            .filter(Column::PartNo.is_not_null())
            .filter(Column::Mode.is_not_null())
            .filter(Column::Narrative.is_not_null())
            .filter(Column::ReportRef.not_in_subquery(unconfirmed))
            .order_by_desc(Column::Id)
            .limit(most)
            .into_tuple()
            .all(self.reader())
            .await?;
        let example = |(narrative, mode): (Option<String>, Option<String>)| {
            Some(Example { narrative: narrative?, mode: mode? })
        };
        Ok(rows.into_iter().filter_map(example).collect())
    }
}
