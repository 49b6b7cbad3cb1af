//! What the books have under the keys of a pack's rows, so that a row that says otherwise is told before any is staged.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use domain::change::Change;
use domain::demand::Demand;
use domain::fit::FitRange;
use domain::lot::Lot;
use domain::lot_use::LotUse;
use domain::movement::Movement;
use domain::pack::{Record, Table};
use domain::part::PartRevision;
use domain::person::Person;
use domain::report::Report;
use domain::requirement::Requirement;
use domain::serial::Serial;
use domain::size_share::SizeShare;
use domain::structure::Component;
use domain::unit::Unit;
use domain::use_pattern::UsePattern;
use domain::weighing::Weighing;
use sea_orm::{
    ColumnTrait, ConnectionTrait, IdenStatic as _, Iterable as _, ModelTrait as _, QueryFilter as _, Value,
};

use crate::books::Books;
use crate::error::Result;
use crate::identity::Twins;
use crate::stored::{ASKED_AT_ONCE, Stored, seen};

/// For each noun the visible one under its key, if there is one.
async fn already<E: Stored>(db: &impl ConnectionTrait, nouns: &[E::Noun]) -> Result<Vec<Option<E::Noun>>> {
    let columns: Vec<E::Column> =
        E::Column::iter().filter(|column| E::KEY.contains(&column.as_str())).collect();
    let Some(&first) = columns.first() else { return Ok(nouns.iter().map(|_| None).collect()) };
    let key_of = |row: &E::Model| -> Vec<String> {
        columns.iter().map(|column| format!("{:?}", row.get(*column))).collect()
    };
    let (mut keys, mut asked, mut twins) = (Vec::new(), BTreeMap::new(), Twins::default());
    for noun in nouns {
        let row = E::model(noun, None, &mut twins);
        let value = row.get(first);
        asked.insert(format!("{value:?}"), value);
        keys.push(key_of(&row));
    }
    // The rows of one first column are few, so that the rest of a key is told apart here and not by the database.
    let asked: Vec<Value> = asked.into_values().collect();
    let mut found = HashMap::new();
    for some in asked.chunks(ASKED_AT_ONCE) {
        let among = ColumnTrait::is_in(&first, some.iter().cloned());
        for row in seen::<E>().filter(among).all(db).await? {
            let key = key_of(&row);
            // A row that can't be read back has nothing to hold another against, and keeps no pack out.
            if let Ok(noun) = E::noun(row) {
                found.insert(key, noun);
            }
        }
    }
    Ok(keys.iter().map(|key| found.remove(key)).collect())
}

/// One question a noun that has a key of its own; of the others equal rows are the same, and others are others.
macro_rules! questions {
    ($($method:ident: $noun:ty => $module:ident, $what:literal;)+) => {
        impl Books {
            $(
                #[doc = concat!("What the books have under the keys of some ", $what, ", in the order asked; `None` for what is new.")]
                pub async fn $method(&self, nouns: &[$noun]) -> Result<Vec<Option<$noun>>> {
                    already::<crate::$module::Entity>(&self.snapshot, nouns).await
                }
            )+

            /// The tables that have rows, of those whose rows have keys of their own; added modes are not looked for.
            pub async fn filled_tables(&self) -> Result<BTreeSet<Table>> {
                let mut filled = BTreeSet::new();
                $(
                    if seen::<crate::$module::Entity>().one(&self.snapshot).await?.is_some() {
                        filled.insert(<$noun as Record>::TABLE);
                    }
                )+
                Ok(filled)
            }
        }
    };
}

questions! {
    already_units: Unit => unit, "units";
    already_use_patterns: UsePattern => use_pattern, "use patterns";
    already_parts: PartRevision => part, "revisions of parts";
    already_size_shares: SizeShare => size_share, "sizes of the tariff";
    already_components: Component => structure, "lines of structure";
    already_weighings: Weighing => weighing, "weighings";
    already_lots: Lot => lot, "lots";
    already_lot_uses: LotUse => lot_use, "lineage of lots";
    already_serials: Serial => serial, "serials";
    already_movements: Movement => movement, "movements";
    already_demand: Demand => demand, "demand";
    already_reports: Report => report, "reports";
    already_requirements: Requirement => requirement, "requirements";
    already_fit_ranges: FitRange => fit, "fit ranges";
    already_people: Person => person, "measured people";
    already_changes: Change => change, "changes";
}
