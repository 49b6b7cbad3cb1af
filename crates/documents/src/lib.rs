//! PDF documents from plain values: tagged, archivable, and the same bytes for the same values.
//!
//! A caller fills a [`Document`], whose texts are plain words and whose charts are SVG, and [`pdf`] gives the file. The
//! pages are laid out by the templates in `templates/documents/`, one a [`Kind`]. Texts reach them as a file of data,
//! so that nothing a person wrote is ever read as markup; templates and fonts stand in the program, and nothing else
//! can be opened.

mod block;
mod chart;
mod document;
mod letters;
mod world;
mod write;

pub use block::{Align, Block, Caution, Cell, Column, Width};
pub use chart::Chart;
pub use document::{Document, Frame, FrameWords, Kind, Paper};
pub use write::{DocumentError, pdf};
