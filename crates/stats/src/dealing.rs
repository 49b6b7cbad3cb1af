//! Sorting whole numbers by dealing them into boxes before anything is compared.

/// Of so many or fewer in a box a search by insertion finds the places quickly.
const SMALL: usize = 16;

/// Sorts numbers of so many bits, dealing them into up to `2^box_bits` boxes.
pub(crate) fn sorted(numbers: Vec<u64>, bits: u32, box_bits: u32) -> Vec<u64> {
    let shift = bits - box_bits;
    let mut ends = vec![0_u32; 1 << box_bits];
    for number in &numbers {
        ends[(number >> shift) as usize] += 1;
    }
    let mut before = 0;
    for end in &mut ends {
        before += std::mem::replace(end, before);
    }
    let mut sorted = vec![0; numbers.len()];
    for number in numbers {
        let place = &mut ends[(number >> shift) as usize];
        sorted[*place as usize] = number;
        *place += 1;
    }
    let mut begin = 0;
    for end in ends {
        let end = end as usize;
        if end - begin > SMALL {
            sorted[begin..end].sort_unstable();
        }
        begin = end;
    }
    for at in 1..sorted.len() {
        // Most stand right or need but one exchange, which is made without a decision.
        let (before, number) = (sorted[at - 1], sorted[at]);
        sorted[at] = before.max(number);
        let number = before.min(number);
        let mut place = at - 1;
        while place > 0 && sorted[place - 1] > number {
            sorted[place] = sorted[place - 1];
            place -= 1;
        }
        sorted[place] = number;
    }
    sorted
}
