//! The field, folded from the books: what every analysis and page reads.

use domain::field::{Field, FieldBuilder};

use crate::books::Books;
use crate::connect::Store;
use crate::error::Result;

impl Store {
    /// The field as it stands now. What can't be placed, such as a report of a mode that the catalogue
    /// lacks, stands in [`Field::left_out`](domain::field::BookFacts::left_out).
    ///
    /// # Errors
    /// A failure of the database; a stored value that can't be read.
    pub async fn load_field(&self) -> Result<Field> {
        Ok(self.read_field(|_, _| ()).await?.field)
    }
}

/// Hands every noun of one list to the builder.
macro_rules! load {
    ($books:ident, $builder:ident: $($list:ident => $noun:ident),+ $(,)?) => {
        $($builder.add_kept(&$books.$list().await?, FieldBuilder::$noun);)+
    };
}

pub(crate) async fn load_parts(books: &Books, builder: &mut FieldBuilder) -> Result<()> {
    load!(books, builder:
        units => unit,
        use_patterns => use_pattern,
        parts => part,
        size_shares => size_share,
        components => component,
        weighings => weighing,
    );
    Ok(())
}

pub(crate) async fn load_lots(books: &Books, builder: &mut FieldBuilder) -> Result<()> {
    load!(books, builder:
        lots => lot,
        lot_uses => lot_use,
        serials => serial,
        movements => movement,
        inspections => inspection,
        events => event,
        demand => demand,
    );
    Ok(())
}

pub(crate) async fn load_plans(books: &Books, builder: &mut FieldBuilder) -> Result<()> {
    load!(books, builder:
        bench_tests => bench_test,
        requirements => requirement,
        fit_ranges => fit_range,
        people => person,
        changes => change,
        effectivity => effectivity,
    );
    Ok(())
}
