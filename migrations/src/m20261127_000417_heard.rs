//! Finds what arrived, was asked and was answered since a moment without reading all that ever was: the status page asks for the
//! last twelve months at each view.

use sea_orm_migration::prelude::*;

#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

/// Each index with its table and the moment it is by.
const MOMENTS: [(&str, &str, &str); 3] = [
    ("intake_by_sent_at", "intake", "sent_at"),
    ("question_by_asked_at", "question", "asked_at"),
    ("answer_by_at", "answer", "at"),
];

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        for (name, table, moment) in MOMENTS {
            manager.create_index(Index::create().name(name).table(table).col(moment).to_owned()).await?;
        }
        Ok(())
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        for (name, table, _) in MOMENTS {
            manager.drop_index(Index::drop().name(name).table(table).to_owned()).await?;
        }
        Ok(())
    }

    fn use_transaction(&self) -> Option<bool> {
        Some(true)
    }
}
