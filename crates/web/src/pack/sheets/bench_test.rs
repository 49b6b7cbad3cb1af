//! The columns of `bench_tests.csv`.

use domain::bench_test::BenchTest;

use crate::pack::forms::{Date, Key, Number, Text, Word};
use crate::pack::sheet::sheet;

sheet!(BenchTest in BenchTests {
    part_no: must(Key),
    revision: must(Key),
    lot_no: may(Key),
    purpose: may(Word),
    method: must(Text),
    measure: must(Text),
    specimen: must(Text),
    specimen_source: may(Word),
    value: must(Number),
    measure_unit: must(Text),
    outcome: must(Word),
    conditioning: may(Text),
    limit: may(Number),
    limit_source: may(Text),
    laboratory: may(Text),
    tested_on: may(Date),
});
