//! The columns of `modes.csv`, those of the shipped catalogue.

use std::io::{self, Write};

use domain::catalogue::Mode;

use crate::pack::batch::Batch;
use crate::pack::cells::{Cells, Column};
use crate::pack::forms::{Key, Phrases, Text, Word};
use crate::pack::sheet::{Line, Sheet};

const fn must(name: &'static str) -> Column {
    Column { name, must: true }
}

const fn may(name: &'static str) -> Column {
    Column { name, must: false }
}

impl Sheet for Mode {
    const COLUMNS: &'static [Column] = &[
        must("kind"),
        must("kind_name"),
        must("mode"),
        must("mode_name"),
        may("mechanism"),
        may("how_found"),
        may("usual_fix"),
        may("test_methods"),
        must("default_severity"),
        may("field_words"),
    ];

    fn read(cells: &mut Cells<'_>) -> Option<Self> {
        let kind = cells.must(&Key);
        let kind_name = cells.must(&Text);
        let code = cells.must(&Key);
        let name = cells.must(&Text);
        let mechanism = cells.or(&Text, Some(String::new()));
        let how_found = cells.or(&Text, Some(String::new()));
        let usual_fix = cells.or(&Text, Some(String::new()));
        let test_methods = cells.or(&Text, Some(String::new()));
        let default_severity = cells.must(&Word);
        let field_words = cells.or(&Phrases, Some(Vec::new()));
        Some(Self {
            kind: kind?,
            kind_name: kind_name?,
            code: code?,
            name: name?,
            mechanism: mechanism?,
            how_found: how_found?,
            usual_fix: usual_fix?,
            test_methods: test_methods?,
            default_severity: default_severity?,
            field_words: field_words?,
        })
    }

    fn write<W: Write>(&self, line: &mut Line<'_, W>) -> io::Result<()> {
        line.cell(&Key, &self.kind)?;
        line.cell(&Text, &self.kind_name)?;
        line.cell(&Key, &self.code)?;
        for text in [&self.name, &self.mechanism, &self.how_found, &self.usual_fix, &self.test_methods] {
            line.cell(&Text, text)?;
        }
        line.cell(&Word, &self.default_severity)?;
        line.cell(&Phrases, &self.field_words)
    }

    fn batch(rows: Vec<Self>) -> Batch {
        Batch::Modes(rows)
    }
}
