//! A drawn picture that stands for a photograph: woven cloth with a gap in its seam.

use std::io::Cursor;

use image::{ImageFormat, Rgb, RgbImage};

use super::Failure;
use crate::photo::{Photo, develop};

const WIDTH: u32 = 640;
const HEIGHT: u32 = 480;

/// The picture, as it would be kept when a unit sends it.
pub(super) fn taken() -> Result<Photo, Failure> {
    let picture = RgbImage::from_fn(WIDTH, HEIGHT, thread_at);
    let mut png = Cursor::new(Vec::new());
    picture.write_to(&mut png, ImageFormat::Png)?;
    Ok(develop(&png.into_inner())?)
}

/// The colour of one point: a plain weave, a seam across it, and a lens-shaped gap where the seam let go.
fn thread_at(x: u32, y: u32) -> Rgb<u8> {
    let from_seam = f64::from(y) - f64::from(HEIGHT) / 2.0;
    let along = (f64::from(x) - f64::from(WIDTH) * 0.58) / 150.0;
    let gap = 46.0 * (1.0 - along * along);
    let over = (x / 6 + y / 6).is_multiple_of(2);
    let [r, g, b] = if from_seam.abs() < gap {
        [38, 40, 42]
    } else if from_seam.abs() < 9.0 && x % 22 < 14 {
        [226, 214, 178]
    } else if over {
        [96, 112, 104]
    } else {
        [82, 98, 92]
    };
    Rgb([r, g, b])
}
