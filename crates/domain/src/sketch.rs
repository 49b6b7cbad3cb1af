//! The words of a narrative in 64 bits, so that the likeness of two can be told without keeping either.

use crate::suggestion::stems_of;

/// A sketch of a narrative's words; of none where nothing was told.
///
/// Each word votes on each of 64 bits by its own digest, and the majority decides (Charikar, "Similarity estimation
/// techniques from rounding algorithms", STOC 2002): the more words two narratives share, the fewer bits differ.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Sketch(u64);

impl Sketch {
    /// The sketch of a narrative.
    pub fn of(narrative: &str) -> Self {
        let mut votes = [0_i32; 64];
        let mut words = 0;
        for stem in stems_of(narrative) {
            let digest = digest(stem.as_bytes());
            for (bit, vote) in votes.iter_mut().enumerate() {
                *vote += if digest >> bit & 1 == 1 { 1 } else { -1 };
            }
            words += 1;
        }
        if words == 0 {
            return Self(0);
        }
        let bits = votes.iter().enumerate().filter(|one| *one.1 > 0).map(|one| 1_u64 << one.0);
        // A sketch of words is never the sketch of nothing.
        Self(bits.fold(0, |all, bit| all | bit).max(1))
    }

    /// How many of 64 bits differ, about 32 where two narratives share nothing; nothing where one of them is empty.
    pub fn differs(self, other: Self) -> Option<u32> {
        (self.0 != 0 && other.0 != 0).then(|| (self.0 ^ other.0).count_ones())
    }
}

/// FNV-1a with the finish of MurmurHash3: the same on every machine and in every version.
fn digest(bytes: &[u8]) -> u64 {
    let mut hash = bytes.iter().fold(0xcbf2_9ce4_8422_2325_u64, |hash, &byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    });
    for factor in [0xff51_afd7_ed55_8ccd, 0xc4ce_b9fe_1a85_ec53] {
        hash = (hash ^ hash >> 33).wrapping_mul(factor);
    }
    hash ^ hash >> 33
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_more_words_are_shared_the_fewer_bits_differ() {
        let told = Sketch::of("The zip split behind the slider while climbing out of the boat");
        let again = Sketch::of("zip SPLIT behind the slider, climbing out of the boat!");
        let other = Sketch::of("left shoulder strap frayed where it runs through the buckle");
        let (near, far) = (told.differs(again).expect("told"), told.differs(other).expect("told"));
        assert_eq!(
            told.differs(Sketch::of("the ZIP splits behind the slider while climbing out of the boat")),
            Some(0)
        );
        assert!(near < 12 && far > 20, "{near} {far}");
    }

    #[test]
    fn nothing_told_is_like_nothing() {
        assert_eq!(Sketch::of(" ?! ").differs(Sketch::of("zip")), None);
    }
}
