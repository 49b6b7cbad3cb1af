//! A square code that a phone's camera reads: an address, or the mark of a lot.

use std::fmt::Write as _;

use qrcode::types::QrError;
use qrcode::{Color, EcLevel, QrCode};

use super::drawing::{Drawing, Pen};

/// White cells around the code, which readers need to find it (ISO/IEC 18004, four).
const MARGIN: usize = 4;

/// The code of a text, black on white on any ground, one unit a cell. Half torn off or dirty by a quarter, it is
/// still read.
///
/// # Errors
/// A text of more than about a thousand letters.
pub fn square_code(id: &str, text: &str, title: &str, desc: &str) -> Result<Drawing, QrError> {
    let code = QrCode::with_error_correction_level(text, EcLevel::Q)?;
    let width = code.width();
    let side = (width + 2 * MARGIN) as f64;
    let mut pen = Pen::new(id, "square-code", side, side, title, desc);
    pen.bar("c-white", (0.0, 0.0), side, side);
    pen.area("c-black", &cells(&code.to_colors(), width));
    Ok(pen.finish())
}

/// Runs of dark cells, row by row.
fn cells(colours: &[Color], width: usize) -> String {
    let mut d = String::with_capacity(colours.len() * 4);
    for (y, row) in colours.chunks(width).enumerate() {
        let mut x = 0;
        for run in row.chunk_by(PartialEq::eq) {
            if run[0] == Color::Dark {
                let length = run.len();
                let _ = write!(d, "M{} {}h{length}v1h-{length}z", x + MARGIN, y + MARGIN);
            }
            x += run.len();
        }
    }
    d
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn runs_of_dark_cells_become_bars_within_the_margin() {
        let (d, l) = (Color::Dark, Color::Light);
        assert_eq!(cells(&[d, d, l, l, l, d, l, l, l], 3), "M4 4h2v1h-2zM6 5h1v1h-1z");
    }

    #[test]
    fn the_code_begins_with_a_finder_pattern_of_seven_cells_and_keeps_its_margin() {
        let drawing =
            square_code("c", "https://rescue.example/report/0a1b", "Code", "Opens the form").unwrap();
        assert!(drawing.as_str().contains(r#"d="M4 4h7v1h-7z"#), "{}", drawing.as_str());
        // 34 letters at level Q take version 4: 33 cells, and four of margin on each side (ISO/IEC 18004, table 7).
        assert!(drawing.as_str().contains(r#"viewBox="0 0 41 41""#), "{}", drawing.as_str());
    }

    #[test]
    fn an_address_too_long_for_any_code_is_refused() {
        assert!(square_code("c", &"x".repeat(4000), "Code", "").is_err());
    }
}
