//! Weighs how often 90 % bounds of retrofit forecasts and of predicted rates hold the truth, on many invented worlds.

#[path = "../tests/common/argued_worlds.rs"]
mod argued_worlds;

use argued_worlds::{after_rates, retrofits, seeded};

fn main() {
    let worlds = std::env::args().nth(1).and_then(|given| given.parse().ok()).unwrap_or(3_000);
    let draw = &mut seeded(11);
    let (avoided, left) = retrofits(worlds, draw);
    let (cycles, strength) = after_rates(10 * worlds, draw);
    for (what, held) in [
        ("failures avoided", avoided),
        ("failures left", left),
        ("rate after, by cycles to failure", cycles),
        ("rate after, by strength", strength),
    ] {
        println!("{what}: 90 % bounds held in {:.3} of {}", held.share(), held.of);
    }
}
