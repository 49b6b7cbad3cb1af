//! Bench tests: specimens measured in a laboratory.

use domain::bench_test::BenchTest;
use sea_orm::entity::prelude::*;

use crate::error::Result;
use crate::identity::{Identity, Twins};
use crate::read_back::{Row, filled, word_of};
use crate::stored::Stored;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "bench_test")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub part_no: String,
    pub revision: String,
    pub lot_no: Option<String>,
    pub purpose: Option<String>,
    pub method: String,
    pub measure: String,
    pub specimen: String,
    pub specimen_source: Option<String>,
    pub value: f64,
    pub measure_unit: String,
    pub outcome: String,
    pub conditioning: Option<String>,
    pub limit_value: Option<f64>,
    pub limit_source: Option<String>,
    pub laboratory: Option<String>,
    pub tested_on: Option<chrono::NaiveDate>,
    pub identity: String,
    pub import_id: Option<i64>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

impl Stored for Entity {
    type Noun = BenchTest;
    const KEY: &'static [&'static str] = &["identity"];

    fn model(noun: &BenchTest, import_id: Option<i64>, twins: &mut Twins) -> Model {
        let mut row = Model {
            id: 0,
            part_no: noun.part_no.clone(),
            revision: noun.revision.clone(),
            lot_no: filled(noun.lot_no.as_deref()),
            purpose: word_of(noun.purpose, domain::bench_test::TestPurpose::word),
            method: noun.method.clone(),
            measure: noun.measure.clone(),
            specimen: noun.specimen.clone(),
            specimen_source: word_of(noun.specimen_source, domain::bench_test::SpecimenSource::word),
            value: noun.value,
            measure_unit: noun.measure_unit.clone(),
            outcome: noun.outcome.word().to_owned(),
            conditioning: filled(noun.conditioning.as_deref()),
            limit_value: noun.limit,
            limit_source: filled(noun.limit_source.as_deref()),
            laboratory: filled(noun.laboratory.as_deref()),
            tested_on: noun.tested_on,
            identity: String::new(),
            import_id,
        };
        row.identity = Identity::of("bench_test")
            .part(&row.part_no)
            .part(&row.revision)
            .part(&row.lot_no)
            .part(&row.purpose)
            .part(&row.method)
            .part(&row.measure)
            .part(&row.specimen)
            .part(&row.specimen_source)
            .part(&row.value)
            .part(&row.measure_unit)
            .part(&row.outcome)
            .part(&row.conditioning)
            .part(&row.limit_value)
            .part(&row.limit_source)
            .part(&row.laboratory)
            .part(&row.tested_on)
            .whole(twins);
        row
    }

    fn noun(row: Model) -> Result<BenchTest> {
        let read = Row { table: "bench_test", id: &row.id };
        Ok(BenchTest {
            purpose: read.optional_word("purpose", row.purpose.as_deref())?,
            specimen_source: read.optional_word("specimen_source", row.specimen_source.as_deref())?,
            outcome: read.word("outcome", &row.outcome)?,
            part_no: row.part_no,
            revision: row.revision,
            lot_no: row.lot_no,
            method: row.method,
            measure: row.measure,
            specimen: row.specimen,
            value: row.value,
            measure_unit: row.measure_unit,
            conditioning: row.conditioning,
            limit: row.limit_value,
            limit_source: row.limit_source,
            laboratory: row.laboratory,
            tested_on: row.tested_on,
        })
    }
}
