//! Looking at a proof every week for three years: how often a change that does nothing is said to have worked.

use crate::common::draws;
use crate::common::looks::{WEEKS, Watched, watch};

const WORLDS: u64 = 120;

fn worlds(ratio: f64, every: usize) -> Vec<Watched> {
    (0..WORLDS).map(|seed| watch(ratio, every, &mut draws(7_000 + seed))).collect()
}

fn share(worlds: &[Watched], is: impl Fn(&Watched) -> bool) -> f64 {
    worlds.iter().filter(|one| is(one)).count() as f64 / worlds.len() as f64
}

/// Seeded, so that it can't fail by chance; `examples/proof_looks.rs` is its long form.
#[test]
fn a_change_that_does_nothing_is_seldom_said_to_have_worked_though_looked_at_every_week() {
    let found = worlds(1.0, 1);
    let (any, peeked) =
        (share(&found, |one| one.worked.is_some()), share(&found, |one| one.once_peeked.is_some()));
    assert!(any <= 0.05, "{any}");
    assert!(peeked > 2.0 * any.max(0.025), "the interval for one look would have erred more: {peeked}");
}

#[test]
fn a_change_that_leaves_a_third_is_said_to_have_worked_before_the_three_years_are_over() {
    let found = worlds(0.33, 4);
    assert!(share(&found, |one| one.worked.is_some()) > 0.9);
    assert!(share(&found, |one| one.worse.is_some()) < 0.01);
    assert!(found.iter().filter_map(|one| one.worked).all(|week| week <= WEEKS));
}
