//! Photographs: taken apart on arrival and re-encoded upright without their hidden data.

mod develop;

pub use develop::{NotAPhoto, Photo, develop};
