//! Headers of mail that its reader may stop by one request.

use lettre::message::header::{Header, HeaderName, HeaderValue};

type Fault = Box<dyn std::error::Error + Send + Sync>;

/// `List-Unsubscribe`: where such mail is stopped (RFC 2369, section 3.2).
#[derive(Clone)]
pub(super) struct Unsubscribe(pub(super) String);

impl Header for Unsubscribe {
    fn name() -> HeaderName {
        HeaderName::new_from_ascii_str("List-Unsubscribe")
    }

    fn parse(text: &str) -> Result<Self, Fault> {
        Ok(Self(text.trim_matches(['<', '>']).to_owned()))
    }

    fn display(&self) -> HeaderValue {
        HeaderValue::new(Self::name(), format!("<{}>", self.0))
    }
}

/// `List-Unsubscribe-Post`: one request is enough (RFC 8058, section 3.1).
#[derive(Clone)]
pub(super) struct OneClick;

impl Header for OneClick {
    fn name() -> HeaderName {
        HeaderName::new_from_ascii_str("List-Unsubscribe-Post")
    }

    fn parse(_: &str) -> Result<Self, Fault> {
        Ok(Self)
    }

    fn display(&self) -> HeaderValue {
        HeaderValue::new(Self::name(), "List-Unsubscribe=One-Click".to_owned())
    }
}
