//! Receipt codes: short codes that can be said on a radio and stand on the tag.

use std::str::FromStr;

/// Letters and digits that can't be taken for one another: no 0/O, 1/I, 5/S.
const ALPHABET: &[u8; 30] = b"2346789ABCDEFGHJKLMNPQRTUVWXYZ";
const DRAWN: usize = 7;

/// A receipt code: seven drawn signs and a check sign, written `K7M4-RT9X`.
///
/// It names a report and opens nothing.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct ReceiptCode(String);

/// Why a text is not a receipt code.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotAReceiptCode {
    /// Wrong length or a sign that is not used.
    #[error("A receipt code has eight letters and digits, like K7M4-RT9X; it never has 0, O, 1, I, 5 or S.")]
    Shape,
    /// The check sign does not fit.
    #[error("One sign of this receipt code is wrong. Please read it again.")]
    Check,
}

impl ReceiptCode {
    /// Makes a code from random draws (30^7, about 2 x 10^10, codes).
    pub fn draw(draw: &mut impl FnMut() -> u64) -> Self {
        let signs: Vec<u8> = (0..DRAWN).map(|_| ALPHABET[(draw() % 30) as usize]).collect();
        Self::with_check(&signs)
    }

    fn with_check(signs: &[u8]) -> Self {
        let mut text: String = signs.iter().map(|&b| char::from(b)).collect();
        text.push(char::from(check_sign(signs)));
        text.insert(4, '-');
        Self(text)
    }

    /// The code as written, with its hyphen.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// Weighted sum modulo 30 with weights prime to 30, so that one wrong sign always shows.
fn check_sign(signs: &[u8]) -> u8 {
    const WEIGHTS: [usize; DRAWN] = [1, 7, 11, 13, 17, 19, 23];
    let sum: usize = signs
        .iter()
        .zip(WEIGHTS)
        .map(|(sign, weight)| weight * ALPHABET.iter().position(|a| a == sign).unwrap_or(0))
        .sum();
    ALPHABET[sum % 30]
}

impl FromStr for ReceiptCode {
    type Err = NotAReceiptCode;

    /// Reads a code in any case, with or without hyphens and spaces.
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let signs: Vec<u8> =
            text.bytes().filter(|b| !matches!(b, b'-' | b' ')).map(|b| b.to_ascii_uppercase()).collect();
        if signs.len() != DRAWN + 1 || !signs.iter().all(|b| ALPHABET.contains(b)) {
            return Err(NotAReceiptCode::Shape);
        }
        if check_sign(&signs[..DRAWN]) != signs[DRAWN] {
            return Err(NotAReceiptCode::Check);
        }
        Ok(Self::with_check(&signs[..DRAWN]))
    }
}

impl std::fmt::Display for ReceiptCode {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn code(seed: u64) -> ReceiptCode {
        let mut n = seed;
        ReceiptCode::draw(&mut || {
            n = n.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            n >> 33
        })
    }

    #[test]
    fn a_code_reads_back_however_it_is_typed() {
        let code = code(1);
        let typed = code.as_str().replace('-', " ").to_lowercase();
        assert_eq!(typed.parse(), Ok(code));
    }

    #[test]
    fn one_wrong_sign_always_shows() {
        let good = code(2).as_str().replace('-', "");
        for at in 0..good.len() {
            for &sign in ALPHABET {
                let mut wrong = good.clone().into_bytes();
                if wrong[at] == sign {
                    continue;
                }
                wrong[at] = sign;
                let text = String::from_utf8(wrong).expect("ascii");
                assert_eq!(text.parse::<ReceiptCode>(), Err(NotAReceiptCode::Check), "{text}");
            }
        }
    }

    #[test]
    fn confusable_signs_are_refused_by_name() {
        assert_eq!("O0I1-5S22".parse::<ReceiptCode>(), Err(NotAReceiptCode::Shape));
    }
}
