//! Predicted rates and forecasts of retrofit, held against invented worlds in which the truth is known.

use crate::argued_worlds::{after_rates, retrofits, seeded};

/// The long form is `cargo run --release -p domain --example argued_worlds`.
#[test]
fn ninety_per_cent_bounds_of_what_a_retrofit_avoids_and_leaves_hold() {
    let (avoided, left) = retrofits(90, &mut seeded(6));
    assert!(avoided.of >= 320 && left.of == avoided.of, "{avoided:?}");
    assert!(avoided.share() >= 0.86, "{avoided:?}");
    assert!(left.share() >= 0.86, "{left:?}");
}

#[test]
fn ninety_per_cent_limits_of_the_predicted_rate_hold() {
    let (cycles, strength) = after_rates(1_200, &mut seeded(4));
    assert!(cycles.of > 1_150 && strength.of > 1_150, "{cycles:?} {strength:?}");
    assert!(cycles.share() >= 0.86, "{cycles:?}");
    assert!(strength.share() >= 0.86, "{strength:?}");
}
