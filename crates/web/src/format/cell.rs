//! Cells of files that people open in a spreadsheet.

/// Text that a spreadsheet would run as a formula, marked as text; numbers stay numbers.
pub fn harmless(cell: &str) -> String {
    let is_formula = cell.starts_with(['=', '+', '-', '@', '\t', '\r']) && cell.parse::<f64>().is_err();
    if is_formula { format!("'{cell}") } else { cell.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_never_taken_for_a_formula_and_numbers_stay_numbers() {
        assert_eq!(harmless("=HYPERLINK(1)"), "'=HYPERLINK(1)");
        assert_eq!((harmless("-0.25"), harmless("Wider slider")), ("-0.25".into(), "Wider slider".into()));
    }
}
