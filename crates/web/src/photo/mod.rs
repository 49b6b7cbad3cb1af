//! Photographs: taken apart on arrival, re-encoded upright without their hidden data, and kept outside the database.

mod album;
mod develop;
mod shown;

pub use album::{Album, Size};
pub use develop::{NotAPhoto, Photo, develop};
pub(crate) use shown::{Wanted, photo_of};
