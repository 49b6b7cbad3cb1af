//! The columns of `people.csv`, which go on with one for each body dimension.

use std::io::{self, Write};

use domain::person::Person;

use crate::pack::batch::Batch;
use crate::pack::cells::{Cells, Column};
use crate::pack::forms::{Key, Number, Text};
use crate::pack::sheet::{Line, Sheet};

impl Sheet for Person {
    const COLUMNS: &'static [Column] = &[
        Column { name: "person", must: true },
        Column { name: "sex", must: false },
        Column { name: "mass_kg", must: false },
    ];
    const HAS_DIMENSIONS: bool = true;

    fn read(cells: &mut Cells<'_>) -> Option<Self> {
        let person = cells.must(&Key);
        let sex = cells.may(&Text);
        let mass_kg = cells.may(&Number);
        let dimensions_mm = cells.dimensions(&Number);
        Some(Self { person: person?, sex, mass_kg, dimensions_mm })
    }

    fn write<W: Write>(&self, line: &mut Line<'_, W>) -> io::Result<()> {
        line.cell(&Key, &self.person)?;
        line.option(&Text, self.sex.as_ref())?;
        line.option(&Number, self.mass_kg.as_ref())?;
        for dimension in line.dimensions() {
            let known = self.dimensions_mm.iter().find(|(name, _)| *name == dimension);
            line.option(&Number, known.and_then(|(_, mm)| mm.as_ref()))?;
        }
        Ok(())
    }

    fn batch(rows: Vec<Self>) -> Batch {
        Batch::People(rows)
    }
}
