//! How often a weekly look at a proof says the wrong thing, and how soon the right one, over many simulated changes:
//! `cargo run --release -p domain --example proof_looks -- 2000`.

#[path = "../tests/common/looks.rs"]
mod looks;

use looks::{WEEKS, Watched, watch};

/// A seeded source of draws (SplitMix64, Steele, Lea and Flood 2014; from memory).
fn draws(seed: u64) -> impl FnMut() -> u64 {
    let mut state = seed;
    move || {
        state = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = state;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }
}

fn main() {
    let worlds: u64 = std::env::args().nth(1).and_then(|text| text.parse().ok()).unwrap_or(500);
    println!(
        "{worlds} changes a line, looked at every week for {WEEKS} weeks; shares, and the median week of a verdict"
    );
    println!("ratio  worked  worse  median week  one-look interval: at the end  at any week");
    for ratio in [1.0, 0.8, 0.5, 0.33, 0.2, 1.5] {
        let found: Vec<Watched> =
            (0..worlds).map(|seed| watch(ratio, 1, &mut draws(1_000_000 + seed))).collect();
        let share =
            |is: fn(&Watched) -> bool| found.iter().filter(|one| is(one)).count() as f64 / found.len() as f64;
        let mut weeks: Vec<usize> = found.iter().filter_map(|one| one.worked).collect();
        weeks.sort_unstable();
        let median = weeks.get(weeks.len() / 2).map_or("-".to_owned(), ToString::to_string);
        println!(
            "{ratio:5.2}  {:6.3}  {:5.3}  {median:>11}  {:29.3}  {:11.3}",
            share(|one| one.worked.is_some()),
            share(|one| one.worse.is_some()),
            share(|one| one.once_at_end),
            share(|one| one.once_peeked.is_some()),
        );
    }
}
