//! Tries the special functions on numbers of any bits.
#![no_main]

#[path = "../../tests/whole_domain/special.rs"]
mod special;

use libfuzzer_sys::fuzz_target;

fuzz_target!(|numbers: [f64; 4]| {
    let [a, b, x, p] = numbers;
    special::gamma_family(a, x, p);
    special::beta_family(a, b, x, p);
    special::normal_family(x, a, p);
    // Probabilities of any bits are mostly none: the same numbers once more, folded into the domain.
    let folded = |value: f64| if value.is_finite() { (value.abs().min(1.0) * 1e9).fract() } else { 0.5 };
    special::gamma_family(a.abs(), x.abs(), folded(p));
    special::beta_family(a.abs(), b.abs(), x.abs(), folded(p));
    special::normal_family(x, a.abs(), folded(p));
});
