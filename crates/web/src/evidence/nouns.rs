//! The nouns of the books among the inputs.

use chrono::NaiveDate;
use domain::bench_test::BenchTest;
use domain::change::Change;
use domain::effectivity::Effectivity;
use domain::fit::FitRange;
use domain::lot::Lot;
use domain::part::PartRevision;
use domain::person::Person;
use domain::requirement::Requirement;
use domain::size_share::SizeShare;
use domain::structure::Component;
use domain::weighing::Weighing;

use super::mirror::{Word, mirror};

mirror! {
    ChangeForm of Change {
        change_no: String,
        title: String,
        part_no: String,
        from_revision: String,
        to_revision: String,
        modes: Vec<String>,
        state: Option<Word>,
        cut_in_lot: Option<String>,
        cut_in_on: Option<NaiveDate>,
    }
    PartForm of PartRevision {
        part_no: String,
        revision: String,
        name: String,
        kind: String,
        released_on: Option<NaiveDate>,
        replaces_revision: Option<String>,
        change_no: Option<String>,
        life_years: Option<f64>,
    }
    ComponentForm of Component {
        parent_part_no: String,
        parent_revision: String,
        child_part_no: String,
        child_revision: String,
        quantity: f64,
        position: Option<String>,
        size: Option<String>,
        configuration: Option<String>,
    }
    ShareForm of SizeShare {
        part_no: String,
        size: String,
        share_per_1000: f64,
    }
    LotForm of Lot {
        lot_no: String,
        part_no: String,
        revision: String,
        size: Option<String>,
        made_on: Option<NaiveDate>,
        quantity: Option<u32>,
        maker: Option<String>,
        contract_no: Option<String>,
        stock_no: Option<String>,
        purpose: Word,
    }
    WeighingForm of Weighing {
        part_no: String,
        revision: String,
        size: Option<String>,
        specimen: String,
        mass_g: f64,
    }
    BenchForm of BenchTest {
        part_no: String,
        revision: String,
        lot_no: Option<String>,
        purpose: Option<Word>,
        method: String,
        measure: String,
        specimen: String,
        specimen_source: Option<Word>,
        value: f64,
        measure_unit: String,
        outcome: Word,
        conditioning: Option<String>,
        limit: Option<f64>,
        limit_source: Option<String>,
        laboratory: Option<String>,
        tested_on: Option<NaiveDate>,
    }
    RequirementForm of Requirement {
        item_part_no: String,
        requirement_no: String,
        text: String,
        measure: Option<Word>,
        limit_kind: Option<Word>,
        limit: Option<f64>,
        configuration: Option<String>,
        size: Option<String>,
    }
    FitForm of FitRange {
        item_part_no: String,
        size: String,
        dimension: String,
        low_mm: f64,
        high_mm: f64,
    }
    PersonForm of Person {
        person: String,
        sex: Option<String>,
        mass_kg: Option<f64>,
        dimensions_mm: Vec<(String, Option<f64>)>,
    }
    EffectivityForm of Effectivity {
        change_no: String,
        stage: Word,
        maker: Option<String>,
        from_lot: Option<String>,
        to_lot: Option<String>,
        share_new: f64,
        from_date: Option<NaiveDate>,
    }
}
