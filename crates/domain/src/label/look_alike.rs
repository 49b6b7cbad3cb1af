//! What is left of a lot number when case, separators and look-alike characters are taken out.

/// A lot number in capitals, without separators, with O, I, S and B read as 0, 1, 5 and 8.
pub fn normalised(text: &str) -> String {
    text.chars()
        .filter(|c| c.is_alphanumeric())
        .flat_map(char::to_uppercase)
        .map(|c| match c {
            'O' => '0',
            'I' => '1',
            'S' => '5',
            'B' => '8',
            other => other,
        })
        .collect()
}

/// Whether two normalised numbers are neighbours in one running number: alike but for one run of digits of equal
/// length, whose values differ by less than ten. Such a pair is as likely two lots as one misread.
pub fn running_neighbours(a: &str, b: &str) -> bool {
    let (a, b) = (runs(a), runs(b));
    if a.len() != b.len() {
        return false;
    }
    let mut different = a.iter().zip(&b).filter(|(x, y)| x != y);
    let Some((x, y)) = different.next() else { return false };
    if different.next().is_some() || x.len() != y.len() {
        return false;
    }
    match (x.parse::<u64>(), y.parse::<u64>()) {
        (Ok(x), Ok(y)) => x.abs_diff(y) < 10,
        _ => false,
    }
}

/// Runs of digits and of other characters, in turn.
fn runs(text: &str) -> Vec<&str> {
    let mut runs = Vec::new();
    let mut start = 0;
    let mut last = None;
    for (at, c) in text.char_indices() {
        let digit = c.is_ascii_digit();
        if last.is_some_and(|last| last != digit) {
            runs.push(&text[start..at]);
            start = at;
        }
        last = Some(digit);
    }
    if start < text.len() {
        runs.push(&text[start..]);
    }
    runs
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn case_separators_and_look_alikes_do_not_matter() {
        assert_eq!(normalised("lo-5b/1"), normalised("L0 S8.I"));
        assert_eq!(normalised(" - "), "");
    }

    #[test]
    fn only_the_next_few_of_a_series_are_neighbours() {
        assert!(running_neighbours("T1042", "T1043"));
        assert!(!running_neighbours("T1042", "T1942"), "far along the series: a misread digit");
        assert!(!running_neighbours("T1042", "T104"), "a digit is missing");
        assert!(!running_neighbours("T1042", "F1042"), "the letter differs");
        assert!(!running_neighbours("T1042", "T1042"));
    }
}
