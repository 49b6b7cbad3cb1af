//! Turns the bytes somebody sent into a plain upright picture, or says why it can't.

use std::io::Cursor;

use image::codecs::jpeg::JpegEncoder;
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder as _, ImageError, ImageFormat, ImageReader, Limits};

/// Most pixels a picture may have: 50 million covers every phone.
const MOST_PIXELS: u64 = 50_000_000;
/// Most bytes a picture may unfold to: four a pixel. Pictures of sixteen bits a colour are twice as heavy.
const MOST_BYTES: u64 = MOST_PIXELS * 4;
/// Longest edge that is kept, in pixels: stitches of 0.5 mm still show on a whole pack.
const LONGEST_EDGE: u32 = 2400;
/// Longest edge for lists, in pixels: twice what a list shows, for fine screens.
const SMALL_EDGE: u32 = 640;
const QUALITY: u8 = 85;

/// A picture fit to be kept: JPEG, upright, without position, camera or any other hidden data.
#[derive(Clone, Debug)]
pub struct Photo {
    /// The picture.
    pub jpeg: Vec<u8>,
    /// The same for lists.
    pub small: Vec<u8>,
    /// Width in pixels.
    pub width: u32,
    /// Height in pixels.
    pub height: u32,
}

/// Why a file is not taken as a photograph.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotAPhoto {
    /// A picture format of some phones that few programs read.
    #[error("a picture in the HEIC format")]
    Heic,
    /// Not a picture at all, or of another kind.
    #[error("no JPEG, PNG or WebP picture")]
    OtherKind,
    /// Begins like a picture but can't be read to its end.
    #[error("a damaged picture")]
    Damaged,
    /// More pixels than any camera makes.
    #[error("a picture of too many pixels")]
    TooLarge,
}

/// Reads a picture and makes it fit to be kept. Slow (tens of milliseconds) and large: the program calls it by
/// [`super::Album::develop`], a few at a time and off the async threads.
///
/// # Errors
/// Why the bytes are not taken.
pub fn develop(bytes: &[u8]) -> Result<Photo, NotAPhoto> {
    let format = kind(bytes)?;
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    let mut limits = Limits::default();
    limits.max_alloc = Some(MOST_BYTES);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().map_err(|e| unreadable(&e))?;
    let (width, height) = decoder.dimensions();
    // The limits of the decoder act only while it decodes; a bomb is told by its header.
    if u64::from(width) * u64::from(height) > MOST_PIXELS || decoder.total_bytes() > MOST_BYTES {
        return Err(NotAPhoto::TooLarge);
    }
    let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let mut picture = DynamicImage::from_decoder(decoder).map_err(|e| unreadable(&e))?;
    // Turning takes the picture twice, so it is made small first.
    if picture.width().max(picture.height()) > LONGEST_EDGE {
        picture = picture.resize(LONGEST_EDGE, LONGEST_EDGE, image::imageops::FilterType::Triangle);
    }
    picture.apply_orientation(orientation);
    let small = picture.thumbnail(SMALL_EDGE, SMALL_EDGE);
    let (width, height) = (picture.width(), picture.height());
    Ok(Photo { jpeg: encode(&picture)?, small: encode(&small)?, width, height })
}

fn unreadable(error: &ImageError) -> NotAPhoto {
    if matches!(error, ImageError::Limits(_)) { NotAPhoto::TooLarge } else { NotAPhoto::Damaged }
}

/// What the bytes are, whatever their name says.
fn kind(bytes: &[u8]) -> Result<ImageFormat, NotAPhoto> {
    match infer::get(bytes).map(|kind| kind.mime_type()) {
        Some("image/jpeg") => Ok(ImageFormat::Jpeg),
        Some("image/png") => Ok(ImageFormat::Png),
        Some("image/webp") => Ok(ImageFormat::WebP),
        Some("image/heif" | "image/heic") => Err(NotAPhoto::Heic),
        _ => Err(NotAPhoto::OtherKind),
    }
}

fn encode(picture: &DynamicImage) -> Result<Vec<u8>, NotAPhoto> {
    let mut jpeg = Vec::new();
    picture
        .to_rgb8()
        .write_with_encoder(JpegEncoder::new_with_quality(&mut jpeg, QUALITY))
        .map_err(|_| NotAPhoto::Damaged)?;
    Ok(jpeg)
}

#[cfg(test)]
mod tests {
    use image::{Rgb, RgbImage};

    use super::*;

    fn png(width: u32, height: u32) -> Vec<u8> {
        let mut bytes = Cursor::new(Vec::new());
        let picture = RgbImage::from_pixel(width, height, Rgb([120, 90, 60]));
        picture.write_to(&mut bytes, ImageFormat::Png).expect("encodes");
        bytes.into_inner()
    }

    #[test]
    fn a_large_picture_is_kept_at_a_useful_size() {
        let photo = develop(&png(3000, 1500)).expect("a picture");
        assert_eq!((photo.width, photo.height), (2400, 1200));
        assert!(photo.jpeg.starts_with(&[0xFF, 0xD8]));
        let small = image::load_from_memory(&photo.small).expect("a picture");
        assert_eq!((small.width(), small.height()), (640, 320));
    }

    #[test]
    fn hidden_data_is_not_kept_and_the_picture_stands_upright() {
        // A JPEG whose EXIF says "turn by 90 degrees" (orientation 6), with a position word in it.
        let mut jpeg = Vec::new();
        RgbImage::from_pixel(40, 20, Rgb([9, 9, 9]))
            .write_with_encoder(JpegEncoder::new(&mut jpeg))
            .expect("encodes");
        let exif = b"Exif\0\0MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0\x06\0\0\0\0\0\0HIDDENPLACE";
        let mut with_exif = vec![0xFF, 0xD8, 0xFF, 0xE1];
        with_exif.extend(u16::try_from(exif.len() + 2).expect("short").to_be_bytes());
        with_exif.extend(exif);
        with_exif.extend(&jpeg[2..]);
        let photo = develop(&with_exif).expect("a picture");
        assert_eq!((photo.width, photo.height), (20, 40));
        assert!(!photo.jpeg.windows(11).any(|w| w == b"HIDDENPLACE"));
    }

    #[test]
    fn what_is_no_picture_is_refused_whatever_its_name() {
        assert_eq!(develop(b"it tore at the seam").unwrap_err(), NotAPhoto::OtherKind);
        assert_eq!(develop(b"<svg xmlns='http://www.w3.org/2000/svg'/>").unwrap_err(), NotAPhoto::OtherKind);
        assert_eq!(develop(b"\0\0\0\x18ftypheic\0\0\0\0mif1heic").unwrap_err(), NotAPhoto::Heic);
        assert_eq!(develop(&png(30, 30)[..60]).unwrap_err(), NotAPhoto::Damaged);
    }

    #[test]
    fn a_picture_that_would_unfold_to_gigabytes_is_refused_by_its_header() {
        // Edge in pixels, bits a colour, kind of colour: 2 without transparency, 6 with.
        for (edge, bits, colour) in [(60_000_u32, 8, 2), (7_000, 16, 6)] {
            let mut bomb = png(10, 10);
            bomb[16..20].copy_from_slice(&edge.to_be_bytes());
            bomb[20..24].copy_from_slice(&edge.to_be_bytes());
            bomb[24..26].copy_from_slice(&[bits, colour]);
            // The header's checksum is mended so that the size is what refuses it.
            let crc = crc32(&bomb[12..29]);
            bomb[29..33].copy_from_slice(&crc.to_be_bytes());
            assert_eq!(develop(&bomb).unwrap_err(), NotAPhoto::TooLarge, "{edge}");
        }
    }

    /// The checksum of a PNG chunk.
    fn crc32(bytes: &[u8]) -> u32 {
        !bytes.iter().fold(!0_u32, |crc, &byte| {
            (0..8)
                .fold(crc ^ u32::from(byte), |c, _| if c & 1 == 1 { (c >> 1) ^ 0xEDB8_8320 } else { c >> 1 })
        })
    }
}
