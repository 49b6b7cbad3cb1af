//! Builds a table with portable columns, and an index for every foreign key, so that none can be forgotten.

use sea_orm_migration::prelude::*;
use sea_orm_migration::schema;

/// What happens to the rows that refer to a row when it is deleted.
#[derive(Clone, Copy)]
pub(crate) enum OnDelete {
    /// It can't be deleted while they exist.
    Restrict,
    /// They go with it.
    Cascade,
}

/// A table in the making.
pub(crate) struct NewTable {
    name: &'static str,
    table: TableCreateStatement,
    indexes: Vec<IndexCreateStatement>,
}

impl NewTable {
    pub(crate) fn new(name: &'static str) -> Self {
        Self { name, table: Table::create().table(name).to_owned(), indexes: Vec::new() }
    }

    fn column(mut self, column: ColumnDef) -> Self {
        self.table.col(column);
        self
    }

    /// A running number as primary key; rows are read in its order.
    pub(crate) fn id(self) -> Self {
        self.column(schema::big_pk_auto("id"))
    }

    /// A text as primary key.
    pub(crate) fn text_key(self, name: &'static str) -> Self {
        self.column(schema::text(name).primary_key().to_owned())
    }

    pub(crate) fn text(self, name: &'static str) -> Self {
        self.column(schema::text(name))
    }

    pub(crate) fn texts<const N: usize>(self, names: [&'static str; N]) -> Self {
        names.into_iter().fold(self, Self::text)
    }

    pub(crate) fn optional_texts<const N: usize>(self, names: [&'static str; N]) -> Self {
        names.into_iter().fold(self, |table, name| table.column(schema::text_null(name)))
    }

    pub(crate) fn day(self, name: &'static str) -> Self {
        self.column(schema::date(name))
    }

    pub(crate) fn optional_day(self, name: &'static str) -> Self {
        self.column(schema::date_null(name))
    }

    /// A point in time, in UTC.
    pub(crate) fn moment(self, name: &'static str) -> Self {
        self.column(schema::timestamp_with_time_zone(name))
    }

    pub(crate) fn optional_moment(self, name: &'static str) -> Self {
        self.column(schema::timestamp_with_time_zone_null(name))
    }

    pub(crate) fn real(self, name: &'static str) -> Self {
        self.column(schema::double(name))
    }

    pub(crate) fn optional_real(self, name: &'static str) -> Self {
        self.column(schema::double_null(name))
    }

    pub(crate) fn whole(self, name: &'static str) -> Self {
        self.column(schema::big_integer(name))
    }

    pub(crate) fn optional_whole(self, name: &'static str) -> Self {
        self.column(schema::big_integer_null(name))
    }

    pub(crate) fn flag(self, name: &'static str) -> Self {
        self.column(schema::boolean(name))
    }

    pub(crate) fn optional_flag(self, name: &'static str) -> Self {
        self.column(schema::boolean_null(name))
    }

    pub(crate) fn bytes(self, name: &'static str) -> Self {
        self.column(schema::blob(name))
    }

    /// A column that must name a row of another table.
    pub(crate) fn refers(self, name: &'static str, to: (&'static str, &'static str), rule: OnDelete) -> Self {
        let column = if to.1 == "id" { schema::big_integer(name) } else { schema::text(name) };
        self.column(column).key_to(name, to, rule).index(name)
    }

    /// The same where the row may be missing.
    pub(crate) fn may_refer(
        self,
        name: &'static str,
        to: (&'static str, &'static str),
        rule: OnDelete,
    ) -> Self {
        let column = if to.1 == "id" { schema::big_integer_null(name) } else { schema::text_null(name) };
        let mut table = self.column(column).key_to(name, to, rule);
        // Rows that refer to nothing need no place in the index.
        let mut index = table.index_over(&[name], "for");
        index.and_where(Expr::col(name).is_not_null());
        table.indexes.push(index);
        table
    }

    /// A column that rows are looked for by.
    pub(crate) fn found_by(self, column: &'static str) -> Self {
        self.index(column)
    }

    /// A primary key that is also the key of a row of another table, and goes with it.
    pub(crate) fn belongs_to(self, name: &'static str, to: (&'static str, &'static str)) -> Self {
        // The primary key is the index of this foreign key.
        self.text_key(name).key_to(name, to, OnDelete::Cascade)
    }

    /// The import that brought the row; rows of an import under way are seen by nobody.
    pub(crate) fn imported(self) -> Self {
        self.may_refer("import_id", ("pack_import", "id"), OnDelete::Restrict)
    }

    fn key_to(mut self, name: &'static str, to: (&'static str, &'static str), rule: OnDelete) -> Self {
        let mut key = ForeignKey::create()
            .name(format!("{}_{name}_refers", self.name))
            .from(self.name, name)
            .to(to.0, to.1)
            .on_delete(match rule {
                OnDelete::Restrict => ForeignKeyAction::Restrict,
                OnDelete::Cascade => ForeignKeyAction::Cascade,
            })
            .to_owned();
        self.table.foreign_key(&mut key);
        self
    }

    pub(crate) fn unique(mut self, columns: &[&'static str]) -> Self {
        let mut index = self.index_over(columns, "unique");
        index.unique();
        self.indexes.push(index);
        self
    }

    fn index(mut self, column: &'static str) -> Self {
        let index = self.index_over(&[column], "for");
        self.indexes.push(index);
        self
    }

    fn index_over(&self, columns: &[&'static str], what: &str) -> IndexCreateStatement {
        let mut index = Index::create()
            .table(self.name)
            .name(format!("{}_{what}_{}", self.name, columns.join("_")))
            .to_owned();
        for column in columns {
            index.col(*column);
        }
        index
    }

    /// Creates the table and its indexes.
    pub(crate) async fn create(self, manager: &SchemaManager<'_>) -> Result<(), DbErr> {
        manager.create_table(self.table).await?;
        for index in self.indexes {
            manager.create_index(index).await?;
        }
        Ok(())
    }
}

/// A migration that creates one table, and drops it on the way down.
macro_rules! creates {
    ($name:literal, |$table:ident| $build:expr) => {
        #[derive(sea_orm_migration::prelude::DeriveMigrationName)]
        pub(crate) struct Migration;

        #[async_trait::async_trait]
        impl sea_orm_migration::MigrationTrait for Migration {
            async fn up(
                &self,
                manager: &sea_orm_migration::SchemaManager,
            ) -> Result<(), sea_orm_migration::DbErr> {
                let $table = $crate::table::NewTable::new($name);
                $build.create(manager).await
            }

            async fn down(
                &self,
                manager: &sea_orm_migration::SchemaManager,
            ) -> Result<(), sea_orm_migration::DbErr> {
                let table = sea_orm_migration::prelude::Table::drop().table($name).to_owned();
                manager.drop_table(table).await
            }

            // Without this only PostgreSQL would undo a migration that fails half way.
            fn use_transaction(&self) -> Option<bool> {
                Some(true)
            }
        }
    };
}
pub(crate) use creates;
