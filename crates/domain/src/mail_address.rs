//! A mail address: parsed once, so that what is kept can be written to and holds no second line.

/// An address such as `oda.fell@rescue.example`. Whether anybody is there only a mail can tell.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MailAddress(String);

/// Not an address that mail can be sent to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("expected an address such as name@rescue.example")]
pub struct NoAddress;

/// Longest address that mail servers take (RFC 5321, section 4.5.3.1.3, without the angle brackets).
const LONGEST: usize = 254;
/// Longest part before the `@` (RFC 5321, section 4.5.3.1.1).
const LONGEST_NAME: usize = 64;
/// Longest label of a domain (RFC 1035, section 2.3.4).
const LONGEST_LABEL: usize = 63;

impl MailAddress {
    /// Takes words divided by dots (RFC 5322, section 3.2.3), one `@`, and a domain of two labels or more.
    ///
    /// Quoted names and letters beyond ASCII are refused: not every server on the way takes them. The domain is kept in
    /// small letters, in which it is the same.
    ///
    /// # Errors
    /// [`NoAddress`] for everything else.
    pub fn parse(typed: &str) -> Result<Self, NoAddress> {
        let (name, domain) = typed.trim().rsplit_once('@').ok_or(NoAddress)?;
        let is_name = name.len() <= LONGEST_NAME && name.split('.').all(is_word);
        let labels: Vec<&str> = domain.split('.').collect();
        let last = labels.last().copied().unwrap_or_default();
        let is_domain = labels.len() >= 2
            && labels.iter().all(|label| is_label(label))
            && last.bytes().any(|letter| letter.is_ascii_alphabetic());
        if !is_name || !is_domain || name.len() + 1 + domain.len() > LONGEST {
            return Err(NoAddress);
        }
        Ok(Self(format!("{name}@{}", domain.to_ascii_lowercase())))
    }

    /// The address.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

fn is_word(word: &str) -> bool {
    let fits = |letter: u8| letter.is_ascii_alphanumeric() || b"!#$%&'*+-/=?^_`{|}~".contains(&letter);
    !word.is_empty() && word.bytes().all(fits)
}

fn is_label(label: &str) -> bool {
    let fits = |letter: u8| letter.is_ascii_alphanumeric() || letter == b'-';
    let inside = !label.starts_with('-') && !label.ends_with('-');
    !label.is_empty() && label.len() <= LONGEST_LABEL && inside && label.bytes().all(fits)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_has_one_name_and_one_place() {
        let kept = MailAddress::parse(" Oda.Fell+gear@Rescue.EXAMPLE ").expect("an address");
        assert_eq!(kept.as_str(), "Oda.Fell+gear@rescue.example");
        for wrong in [
            "",
            "oda",
            "oda@",
            "@rescue.example",
            "oda@rescue",
            "a@b.c, d@e.f",
            "a b@c.de",
            "a@b@c.de",
            "oda.@rescue.example",
            ".oda@rescue.example",
            "o..da@rescue.example",
            "oda@-rescue.example",
            "oda@rescue..example",
            "oda@10.0.0.1",
            "Oda <oda@rescue.example>",
            "\"oda fell\"@rescue.example",
            "öda@rescue.example",
        ] {
            assert_eq!(MailAddress::parse(wrong), Err(NoAddress), "{wrong}");
        }
    }

    #[test]
    fn no_second_line_fits_into_an_address() {
        for wrong in
            ["oda@rescue.example\r\nBcc: all@rescue.example", "oda\n@rescue.example", "oda\0@rescue.example"]
        {
            assert_eq!(MailAddress::parse(wrong), Err(NoAddress), "{wrong:?}");
        }
    }

    #[test]
    fn an_address_that_no_server_takes_is_refused() {
        let long = |n: usize| format!("{}@rescue.example", "o".repeat(n));
        assert!(MailAddress::parse(&long(64)).is_ok());
        assert_eq!(MailAddress::parse(&long(65)), Err(NoAddress));
        let label = |n: usize| format!("oda@{}.example", "r".repeat(n));
        assert!(MailAddress::parse(&label(63)).is_ok());
        assert_eq!(MailAddress::parse(&label(64)), Err(NoAddress));
    }
}
