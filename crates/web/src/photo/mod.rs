//! Photographs: taken apart on arrival, re-encoded upright without their hidden data, kept by their content.

mod album;
mod develop;

pub use album::Album;
pub use develop::{NotAPhoto, Photo, develop};
