//! Splits a Rust file into code, comments and string literals, so that a rule about code isn't fooled by words.

/// One Rust file, taken apart.
pub(super) struct Source {
    /// The file as it stands.
    pub(super) text: String,
    /// The file with comments and the insides of literals blanked; line breaks are kept.
    pub(super) code: String,
    /// Every comment with the line it starts on (counted from 1), doc comments included.
    pub(super) comments: Vec<(usize, String)>,
    /// Every string literal's inside with the line it starts on.
    pub(super) strings: Vec<(usize, String)>,
}

impl Source {
    /// Takes a file apart.
    pub(super) fn read(text: &str) -> Self {
        let mut reader = Reader { rest: text, line: 1, out: Self::empty(text) };
        while !reader.rest.is_empty() {
            reader.step();
        }
        reader.out
    }

    fn empty(text: &str) -> Self {
        Self { text: text.to_owned(), code: String::new(), comments: Vec::new(), strings: Vec::new() }
    }

    /// How many lines stand before the first `#[cfg(test)]`.
    pub(super) fn production_lines(&self) -> usize {
        self.code.lines().take_while(|line| !line.trim_start().starts_with("#[cfg(test)]")).count()
    }

    /// The code before the first `#[cfg(test)]`, line by line, counted from 1.
    pub(super) fn production(&self) -> impl Iterator<Item = (usize, &str)> {
        self.code.lines().take(self.production_lines()).enumerate().map(|(n, line)| (n + 1, line))
    }
}

struct Reader<'a> {
    rest: &'a str,
    line: usize,
    out: Source,
}

impl Reader<'_> {
    fn step(&mut self) {
        if self.rest.starts_with("//") {
            let end = self.rest.find('\n').unwrap_or(self.rest.len());
            self.comment(end);
        } else if self.rest.starts_with("/*") {
            self.comment(block_comment_end(self.rest));
        } else if let Some((open, close)) = raw_string_marks(self.rest).filter(|_| !self.inside_a_word()) {
            self.string(open, &close, false);
        } else if self.rest.starts_with('"') {
            self.string(1, "\"", true);
        } else if let Some(end) = char_literal_end(self.rest) {
            self.blank(end);
        } else {
            let c = self.rest.chars().next().expect("the loop stops at the end");
            self.out.code.push(c);
            self.advance(c.len_utf8());
        }
    }

    /// `r"` ends a name such as `for r"`; it opens a raw string only where no name is under way.
    fn inside_a_word(&self) -> bool {
        self.out.code.chars().next_back().is_some_and(|c| c.is_alphanumeric() || c == '_')
    }

    fn comment(&mut self, end: usize) {
        self.out.comments.push((self.line, self.rest[..end].to_owned()));
        self.blank(end);
    }

    fn string(&mut self, open: usize, close: &str, escapes: bool) {
        let inside = string_end(&self.rest[open..], close, escapes);
        self.out.strings.push((self.line, self.rest[open..open + inside].to_owned()));
        self.out.code.push('"');
        self.blank((open + inside + close.len()).min(self.rest.len()));
        self.out.code.push('"');
    }

    fn blank(&mut self, end: usize) {
        self.out.code.extend(self.rest[..end].chars().map(|c| if c == '\n' { '\n' } else { ' ' }));
        self.advance(end);
    }

    fn advance(&mut self, by: usize) {
        self.line += self.rest[..by].matches('\n').count();
        self.rest = &self.rest[by..];
    }
}

fn block_comment_end(text: &str) -> usize {
    let mut depth = 0_usize;
    let mut at = 0;
    while at < text.len() {
        if text[at..].starts_with("/*") {
            depth += 1;
            at += 2;
        } else if text[at..].starts_with("*/") {
            depth -= 1;
            at += 2;
            if depth == 0 {
                return at;
            }
        } else {
            at += text[at..].chars().next().map_or(1, char::len_utf8);
        }
    }
    text.len()
}

/// For `r#"`, `br"` and their kin: the length of the opening and the text of the closing mark.
fn raw_string_marks(text: &str) -> Option<(usize, String)> {
    let prefix = ["br", "cr", "r"].into_iter().find(|p| text.starts_with(p))?;
    let hashes = text[prefix.len()..].bytes().take_while(|b| *b == b'#').count();
    text[prefix.len() + hashes..]
        .starts_with('"')
        .then(|| (prefix.len() + hashes + 1, format!("\"{}", "#".repeat(hashes))))
}

/// Where a literal's inside ends; a backslash hides what follows it, except in a raw string.
fn string_end(text: &str, close: &str, escapes: bool) -> usize {
    let mut at = 0;
    while at < text.len() {
        if text[at..].starts_with(close) {
            return at;
        }
        let c = text[at..].chars().next().expect("inside the text");
        at += c.len_utf8();
        if escapes && c == '\\' {
            at += text[at..].chars().next().map_or(0, char::len_utf8);
        }
    }
    text.len()
}

/// The length of a character literal; `None` for a lifetime.
fn char_literal_end(text: &str) -> Option<usize> {
    let inside = text.strip_prefix('\'')?;
    if let Some(escaped) = inside.strip_prefix('\\') {
        let skip = escaped.chars().next()?.len_utf8();
        return escaped[skip..].find('\'').map(|end| 2 + skip + end + 1);
    }
    let c = inside.chars().next()?;
    inside[c.len_utf8()..].starts_with('\'').then(|| 1 + c.len_utf8() + 1)
}

#[cfg(test)]
mod tests {
    use super::Source;

    #[test]
    fn words_in_comments_and_strings_are_not_code() {
        let source =
            Source::read("let a = \"todo!() \\\" more\"; // todo!()\n/* todo!() /* in */ */ let b = 'x';");
        assert!(!source.code.contains("todo"), "{}", source.code);
        assert!(source.code.contains("let b"));
        assert_eq!(source.strings, [(1, "todo!() \\\" more".to_owned())]);
        assert_eq!(source.comments.len(), 2);
        assert_eq!(source.comments[1].0, 2);
    }

    #[test]
    fn raw_strings_characters_and_lifetimes_are_told_apart() {
        let source =
            Source::read("fn f<'a>(x: &'a str) { g(r#\"a \" b\"#, '\"', '\\'', b\"c\"); let r = 1; }");
        assert_eq!(source.strings.iter().map(|s| s.1.as_str()).collect::<Vec<_>>(), ["a \" b", "c"]);
        assert!(source.code.contains("fn f<'a>(x: &'a str)"));
        assert!(source.code.contains("let r = 1; }"));
    }

    #[test]
    fn a_backslash_ends_a_raw_string_without_hashes_like_any_other_character() {
        let source = Source::read("let p = r\"\\d\\\"; let q = 2;");
        assert!(source.code.contains("let q = 2;"), "{}", source.code);
    }

    #[test]
    fn production_stops_at_the_tests() {
        let source = Source::read("//! A.\nfn a() {}\n#[cfg(test)]\nmod tests { fn b() {} }\n");
        assert_eq!(source.production_lines(), 2);
        assert!(source.production().all(|(_, line)| !line.contains("fn b")));
    }
}
