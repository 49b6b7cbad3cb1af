//! A chart that stands alone: caption, drawing, and the table that says the same.

use serde::Serialize;

use crate::charts::Drawing;

/// A chart with its caption and table.
#[derive(Clone, Debug, Serialize)]
pub struct ChartView {
    /// What it shows, as a sentence.
    pub caption: String,
    /// The picture.
    pub drawing: Drawing,
    /// The same in words.
    pub table: Twin,
}

/// The table that says what a chart shows.
#[derive(Clone, Debug, Serialize)]
pub struct Twin {
    /// Column heads.
    pub heads: Vec<String>,
    /// Rows of as many cells; the first names the row.
    pub rows: Vec<Vec<String>>,
}
