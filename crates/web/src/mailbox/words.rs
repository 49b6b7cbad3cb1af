//! What of a mail's text is its sender's own: without signature and without what it quotes.

/// The text up to the signature, without quoted lines; by the two rules that programs agree on and no other, so that
/// nothing of a story is lost to a guess: a line `-- ` begins the signature (RFC 3676 4.3), a line that begins with `>`
/// is quoted (RFC 3676 4.5).
pub(super) fn own(text: &str) -> String {
    let lines = text.lines().take_while(|line| *line != "-- ").filter(|line| !line.starts_with('>'));
    let mut own = String::with_capacity(text.len());
    let mut blank = false;
    for line in lines.map(str::trim_end) {
        if line.is_empty() {
            blank = !own.is_empty();
            continue;
        }
        if !own.is_empty() {
            own.push('\n');
        }
        if std::mem::take(&mut blank) {
            own.push('\n');
        }
        own.push_str(line);
    }
    own
}

/// A story of at most so many letters; what is longer is cut, and says so.
pub(super) fn at_most(story: &str, letters: usize) -> String {
    const CUT: &str = "\n[cut; the mail is longer]";
    if story.chars().count() <= letters {
        return story.to_owned();
    }
    story.chars().take(letters - CUT.chars().count()).chain(CUT.chars()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signature_and_quotes_go_and_everything_else_stays() {
        let text = "zip split\r\n\r\n\r\non the ladder\r\n> what happened?\r\n--\r\nnot a signature\r\n-- \r\nTarn\r\nCove";
        assert_eq!(own(text), "zip split\n\non the ladder\n--\nnot a signature");
        assert_eq!(own("> all of it\n> quoted"), "");
        assert_eq!(own("-- \nonly a signature"), "");
        assert_eq!(
            own("On Monday Fell wrote:\nit tore > it split"),
            "On Monday Fell wrote:\nit tore > it split"
        );
    }

    #[test]
    fn what_is_too_long_is_cut_and_says_so() {
        let cut = at_most(&"ü".repeat(5000), 4000);
        assert_eq!(cut.chars().count(), 4000);
        assert!(cut.ends_with("[cut; the mail is longer]"));
        assert_eq!(at_most("short", 4000), "short");
    }
}
