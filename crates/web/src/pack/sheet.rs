//! One table of a pack as cells: its columns, and a noun read from a row and written to one.

use std::io::{self, Write};

use domain::pack::Record;

use super::batch::Batch;
use super::cells::{Cells, Column};
use super::forms::Form;

/// A noun that stands in a file of a pack.
pub(crate) trait Sheet: Record + Sized + Send + 'static {
    /// The columns, in the order they are written.
    const COLUMNS: &'static [Column];
    /// Whether columns of body dimensions follow.
    const HAS_DIMENSIONS: bool = false;

    /// Reads a row; `None` when a cell is wrong, which `cells` has noted.
    fn read(cells: &mut Cells<'_>) -> Option<Self>;

    /// Writes a row.
    fn write<W: Write>(&self, line: &mut Line<'_, W>) -> io::Result<()>;

    /// Wraps rows for whoever takes all tables.
    fn batch(rows: Vec<Self>) -> Batch;
}

/// Defines the sheet of a noun from one list: columns are named as the noun's fields, in the order of the pack.
///
/// `must` cells have to be filled; `may` cells are options; `or` cells have a value of their own when empty.
macro_rules! sheet {
    ($noun:ident in $table:ident { $($field:ident: $mode:ident($form:expr $(, $empty:expr)?)),+ $(,)? }) => {
        impl $crate::pack::sheet::Sheet for $noun {
            const COLUMNS: &'static [$crate::pack::cells::Column] = &[$($crate::pack::cells::Column {
                name: stringify!($field),
                must: $crate::pack::sheet::sheet!(@is_must $mode),
            }),+];

            fn read(cells: &mut $crate::pack::cells::Cells<'_>) -> Option<Self> {
                $(let $field = cells.$mode(&$form $(, $empty)?);)+
                Some(Self { $($field: $crate::pack::sheet::sheet!(@value $mode $field)),+ })
            }

            fn write<W: std::io::Write>(
                &self,
                line: &mut $crate::pack::sheet::Line<'_, W>,
            ) -> std::io::Result<()> {
                $($crate::pack::sheet::sheet!(@write $mode line, $form, self.$field);)+
                Ok(())
            }

            fn batch(rows: Vec<Self>) -> $crate::pack::batch::Batch {
                $crate::pack::batch::Batch::$table(rows)
            }
        }
    };
    (@is_must must) => { true };
    (@is_must $other:ident) => { false };
    (@value may $field:ident) => { $field };
    (@value $other:ident $field:ident) => { $field? };
    (@write may $line:ident, $form:expr, $value:expr) => { $line.option(&$form, $value.as_ref())? };
    (@write $other:ident $line:ident, $form:expr, $value:expr) => { $line.cell(&$form, &$value)? };
}
pub(crate) use sheet;

/// The row being written.
pub(crate) struct Line<'a, W: Write> {
    writer: &'a mut csv::Writer<W>,
    scratch: &'a mut String,
    dimensions: &'a [String],
}

impl<W: Write> Line<'_, W> {
    /// Writes the next cell.
    pub(crate) fn cell<T>(&mut self, form: &impl Form<T>, value: &T) -> io::Result<()> {
        self.option(form, Some(value))
    }

    /// Writes the next cell, empty for `None`.
    pub(crate) fn option<T>(&mut self, form: &impl Form<T>, value: Option<&T>) -> io::Result<()> {
        self.scratch.clear();
        if let Some(value) = value {
            form.write(value, self.scratch);
        }
        Ok(self.writer.write_field(self.scratch.as_bytes())?)
    }

    /// The body dimensions that have a column, in order.
    pub(crate) fn dimensions(&self) -> Vec<String> {
        self.dimensions.to_vec()
    }
}

/// Writes a table: a header, then rows; line feeds, quotes only where needed.
pub(crate) struct SheetWriter<W: Write> {
    writer: csv::Writer<W>,
    scratch: String,
    dimensions: Vec<String>,
}

impl<W: Write> SheetWriter<W> {
    /// Begins the table of a noun.
    pub(crate) fn new<T: Sheet>(out: W, dimensions: &[String]) -> io::Result<Self> {
        let mut writer = csv::WriterBuilder::new().buffer_capacity(1 << 16).from_writer(out);
        for column in T::COLUMNS {
            writer.write_field(column.name)?;
        }
        let dimensions = if T::HAS_DIMENSIONS { dimensions.to_vec() } else { Vec::new() };
        for dimension in &dimensions {
            writer.write_field(format!("{dimension}_mm"))?;
        }
        writer.write_record(None::<&[u8]>)?;
        Ok(Self { writer, scratch: String::new(), dimensions })
    }

    /// Writes one row.
    pub(crate) fn write<T: Sheet>(&mut self, noun: &T) -> io::Result<()> {
        let mut line =
            Line { writer: &mut self.writer, scratch: &mut self.scratch, dimensions: &self.dimensions };
        noun.write(&mut line)?;
        Ok(self.writer.write_record(None::<&[u8]>)?)
    }

    /// Ends the table.
    pub(crate) fn finish(self) -> io::Result<W> {
        self.writer.into_inner().map_err(csv::IntoInnerError::into_error)
    }
}
