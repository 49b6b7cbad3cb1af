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

/// The week by which a share of the changes had come to it; `None` where it never was so many.
fn week_of(share: f64, mut weeks: Vec<usize>, of: usize) -> Option<usize> {
    weeks.sort_unstable();
    let needed = (share * of as f64).ceil().max(1.0) as usize;
    weeks.get(needed - 1).copied()
}

/// The first week that, fixed beforehand as the only look, would have shown a share of the changes to have worked. Later ones
/// must all do so too, so that chance doesn't pick it.
fn date_of(share: f64, found: &[Watched]) -> Option<usize> {
    let enough = |week: &usize| {
        let shown = found.iter().filter(|one| one.once.binary_search(week).is_ok()).count();
        shown as f64 >= share * found.len() as f64
    };
    let from = (1..=WEEKS).rev().take_while(enough).count();
    (from > 0).then_some(WEEKS + 1 - from)
}

fn main() {
    let worlds: u64 = std::env::args().nth(1).and_then(|text| text.parse().ok()).unwrap_or(500);
    println!("{worlds} changes a line, looked at every week for {WEEKS} weeks.\n");
    println!(
        "| true ratio | said to have worked | said to be worse | half by week | 80 % by week | fixed date for half | \
         fixed date for 80 % | one-look interval at the last week alone | one-look interval at any week |"
    );
    println!("|---|---|---|---|---|---|---|---|---|");
    for ratio in [1.0, 0.8, 0.5, 0.33, 0.2, 1.5] {
        let found: Vec<Watched> =
            (0..worlds).map(|seed| watch(ratio, 1, &mut draws(1_000_000 + seed))).collect();
        let share = |is: fn(&Watched) -> bool| {
            100.0 * found.iter().filter(|one| is(one)).count() as f64 / found.len() as f64
        };
        let week = |week: Option<usize>| week.map_or("never".to_owned(), |week| week.to_string());
        let worked: Vec<usize> = found.iter().filter_map(|one| one.worked).collect();
        println!(
            "| {ratio} | {:.1} % | {:.1} % | {} | {} | {} | {} | {:.1} % | {:.1} % |",
            share(|one| one.worked.is_some()),
            share(|one| one.worse.is_some()),
            week(week_of(0.5, worked.clone(), found.len())),
            week(week_of(0.8, worked, found.len())),
            week(date_of(0.5, &found)),
            week(date_of(0.8, &found)),
            share(|one| one.once.last() == Some(&WEEKS)),
            share(|one| one.once_peeked.is_some()),
        );
    }
}
