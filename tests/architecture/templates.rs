//! Rules for handlebars templates: everything shown is escaped, nothing runs or styles inline.

/// Every raw output, inline script, inline style and inline handler in a template.
pub(super) fn findings(text: &str) -> Vec<String> {
    let mut found = Vec::new();
    for (number, line) in text.lines().enumerate() {
        let lower = line.to_ascii_lowercase();
        for (sign, why) in [
            ("{{{", "raw output: pass a helper that returns markup of our own"),
            ("{{&", "raw output: pass a helper that returns markup of our own"),
            (" style=", "inline style, which the content policy refuses"),
            ("<style", "inline style, which the content policy refuses"),
            ("javascript:", "inline script, which the content policy refuses"),
        ] {
            if lower.contains(sign) {
                found.push(format!("line {}: {why}", number + 1));
            }
        }
        if lower.match_indices("<script").any(|(at, _)| !tag(&lower[at..]).contains(" src="))
            || has_handler(&lower)
        {
            found.push(format!("line {}: inline script, which the content policy refuses", number + 1));
        }
    }
    found
}

fn tag(text: &str) -> &str {
    &text[..text.find('>').unwrap_or(text.len())]
}

/// An attribute such as `onclick=`.
fn has_handler(line: &str) -> bool {
    line.match_indices(" on").any(|(at, _)| {
        let rest = &line[at + 3..];
        let word = rest.bytes().take_while(u8::is_ascii_lowercase).count();
        word > 0 && rest[word..].starts_with('=')
    })
}

#[cfg(test)]
mod tests {
    use super::findings;

    #[test]
    fn raw_output_and_inline_script_and_style_are_found() {
        for text in [
            "<p>{{{words}}}</p>",
            "<p>{{&words}}</p>",
            "<p style=\"color: red\">a</p>",
            "<style>p {}</style>",
            "<script>alert(1)</script>",
            "<button onclick=\"a()\">b</button>",
            "<a href=\"javascript:a()\">b</a>",
        ] {
            assert_eq!(findings(text).len(), 1, "{text}");
        }
    }

    #[test]
    fn escaped_output_and_script_files_pass() {
        assert!(
            findings("<p>{{words}} on = off</p><script src=\"/static/queue.js\" defer></script>").is_empty()
        );
    }
}
