//! What is left of a lot number when case, separators and look-alike characters are taken out.

/// A lot number in capitals, without separators, with O, I, S and B read as 0, 1, 5 and 8.
pub fn normalised(text: &str) -> String {
    text.chars().filter(|c| c.is_alphanumeric()).flat_map(folded).collect()
}

/// A character in capitals, with O, I, S and B read as 0, 1, 5 and 8.
pub(super) fn folded(c: char) -> impl Iterator<Item = char> {
    c.to_uppercase().map(|c| match c {
        'O' => '0',
        'I' => '1',
        'S' => '5',
        'B' => '8',
        other => other,
    })
}

/// Whether two numbers are neighbours in their running numbers: alike but for runs of digits of equal length, whose
/// values differ by less than ten in each. Such a pair is as likely two lots as one misread.
///
/// Separators part runs where more than one differs: 2418-0153 may be the next lot after 2417-0152, one week and one number
/// on. Where one alone differs they don't: 2418-0152 has one wrong sign.
pub fn running_neighbours(a: &str, b: &str) -> bool {
    let (look_a, look_b) = (normalised(a), normalised(b));
    let whole = next_to_each_other(&runs(&look_a), &runs(&look_b));
    let parted = |number: &str, other: &str| {
        cut_as(number, other).is_some_and(|(a, b)| next_to_each_other(&all_runs(&a), &all_runs(&b)) > 1)
    };
    whole > 0 || parted(a, &look_b) || parted(b, &look_a)
}

/// How many runs differ; none where one of them is no neighbour of the other.
fn next_to_each_other(a: &[&str], b: &[&str]) -> usize {
    let near = |x: &str, y: &str| {
        let values = x.parse::<u64>().ok().zip(y.parse::<u64>().ok());
        x.len() == y.len() && values.is_some_and(|(x, y)| x.abs_diff(y) < 10)
    };
    let different = || a.iter().zip(b).filter(|(x, y)| x != y);
    if a.len() == b.len() && different().all(|(x, y)| near(x, y)) { different().count() } else { 0 }
}

/// A number cut at its separators, and another look cut at the same places; `None` where it is longer or shorter.
fn cut_as(number: &str, other: &str) -> Option<(Vec<String>, Vec<String>)> {
    if normalised(number).chars().count() != other.chars().count() {
        return None;
    }
    let pieces: Vec<String> = number.split(|c: char| !c.is_alphanumeric()).map(normalised).collect();
    let mut rest = other.chars();
    let lengths = pieces.iter().map(|piece| piece.chars().count());
    let cut: Vec<String> = lengths.map(|length| rest.by_ref().take(length).collect::<String>()).collect();
    Some((pieces, cut))
}

fn all_runs(pieces: &[String]) -> Vec<&str> {
    pieces.iter().flat_map(|piece| runs(piece)).collect()
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

    #[test]
    fn every_run_that_differs_is_the_next_of_its_own() {
        assert!(running_neighbours("2418-0153", "2417-0152"));
        assert!(running_neighbours("24180153", "2417-0152"), "as it is often written");
        assert!(running_neighbours("2418-0153", "24170152"));
        assert!(running_neighbours("24A0153", "25A0154"));
        assert!(!running_neighbours("2418-0162", "2417-0152"), "ten on");
        assert!(!running_neighbours("2418-0152", "2417-0152"), "one wrong sign");
        assert!(!running_neighbours("24A0153", "25B0154"), "a letter differs");
        assert!(!running_neighbours("2418-0153", "2417-01521"), "a sign is missing");
    }
}
