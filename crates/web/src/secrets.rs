//! The one place that draws randomness: session tokens, sign-in links and digits for codes.

pub use store::{hex, sha256_hex as digest_hex};

/// Draws what nobody must be able to guess.
#[derive(Clone, Copy, Debug, Default)]
pub struct Secrets;

impl Secrets {
    /// A token of 32 random bytes.
    #[expect(clippy::disallowed_methods, reason = "the only drawing of randomness in the program")]
    pub fn token(self) -> Token {
        Token(hex(&rand::random::<[u8; 32]>()))
    }

    /// 64 random bits, for callers that take `&mut impl FnMut() -> u64`.
    #[expect(clippy::disallowed_methods, reason = "the only drawing of randomness in the program")]
    pub fn bits(self) -> u64 {
        rand::random()
    }
}

/// A secret that its holder carries; only its digest is kept, and it is never printed by a log.
#[derive(Clone, PartialEq, Eq)]
pub struct Token(String);

impl Token {
    /// Takes a token from outside if it has the shape of one: 64 hexadecimal digits.
    pub fn parse(text: &str) -> Option<Self> {
        let shaped = text.len() == 64 && text.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'));
        shaped.then(|| Self(text.to_owned()))
    }

    /// The text to hand to the holder, once.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// What is kept instead of the token: its SHA-256 in hexadecimal.
    pub fn digest(&self) -> String {
        digest_hex(self.0.as_bytes())
    }
}

impl std::fmt::Debug for Token {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Token(..)")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_drawn_token_parses_and_two_differ() {
        let one = Secrets.token();
        assert_eq!(Token::parse(one.as_str()), Some(one.clone()));
        assert_ne!(one, Secrets.token());
    }

    #[test]
    fn a_token_does_not_show_itself() {
        assert_eq!(format!("{:?}", Secrets.token()), "Token(..)");
    }

    #[test]
    fn a_token_of_another_shape_is_refused() {
        assert_eq!(Token::parse("abc"), None);
        assert_eq!(Token::parse(&"G".repeat(64)), None);
    }
}
