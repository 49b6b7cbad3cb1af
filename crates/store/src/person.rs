//! The measured population: dimensions without names of persons.

use domain::person::Person;
use sea_orm::entity::prelude::*;

use crate::error::Result;
use crate::identity::Twins;
use crate::read_back::{Row, filled};
use crate::stored::Stored;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "person")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub person: String,
    pub sex: Option<String>,
    pub mass_kg: Option<f64>,
    /// One line a dimension: its name, a tab, and millimetres where measured.
    pub dimensions_mm: String,
    pub import_id: Option<i64>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

impl Stored for Entity {
    type Noun = Person;
    const KEY: &'static [&'static str] = &["person"];

    fn model(person: &Person, import_id: Option<i64>, _twins: &mut Twins) -> Model {
        let line = |(name, mm): &(String, Option<f64>)| match mm {
            Some(mm) => format!("{name}\t{mm}"),
            None => format!("{name}\t"),
        };
        Model {
            id: 0,
            person: person.person.clone(),
            sex: filled(person.sex.as_deref()),
            mass_kg: person.mass_kg,
            dimensions_mm: person.dimensions_mm.iter().map(line).collect::<Vec<_>>().join("\n"),
            import_id,
        }
    }

    fn noun(row: Model) -> Result<Person> {
        let read = Row { table: "person", id: &row.id };
        let mut dimensions_mm = Vec::new();
        for line in row.dimensions_mm.lines() {
            let (name, mm) = line.split_once('\t').ok_or_else(|| read.corrupt("dimensions_mm"))?;
            let mm = filled(Some(mm)).map(|mm| read.word("dimensions_mm", &mm)).transpose()?;
            dimensions_mm.push((name.to_owned(), mm));
        }
        Ok(Person { person: row.person, sex: row.sex, mass_kg: row.mass_kg, dimensions_mm })
    }
}
