//! A small quasi-Newton (BFGS) climb within a box, for likelihoods of a few parameters.

/// A value and its slopes.
pub(super) type Slope<const N: usize> = (f64, [f64; N]);

/// Climbs from a start to a maximum with every coordinate kept within `-bound` to `bound`.
///
/// Stops when a step gains less than `gain`. A coordinate that leans against its bound is held there.
pub(super) fn climb<const N: usize>(
    start: [f64; N],
    bound: f64,
    gain: f64,
    f: impl Fn(&[f64; N]) -> Slope<N>,
) -> ([f64; N], f64) {
    let mut at = start.map(|x| x.clamp(-bound, bound));
    let (mut value, mut slope) = f(&at);
    let mut inverse = identity::<N>();
    let mut idle = 0;
    for _ in 0..500 {
        let held: [bool; N] = std::array::from_fn(|i| {
            (at[i] >= bound && slope[i] > 0.0) || (at[i] <= -bound && slope[i] < 0.0)
        });
        let free: [f64; N] = std::array::from_fn(|i| if held[i] { 0.0 } else { slope[i] });
        let mut way: [f64; N] = std::array::from_fn(|i| if held[i] { 0.0 } else { dot(&inverse[i], &free) });
        if dot(&way, &free) <= 0.0 {
            inverse = identity();
            way = free;
        }
        let longest = way.iter().fold(0.0_f64, |m, x| m.max(x.abs()));
        if longest == 0.0 {
            break;
        }
        let mut share = 1.0_f64.min(2.0 / longest);
        let step = loop {
            let next: [f64; N] = std::array::from_fn(|i| (at[i] + share * way[i]).clamp(-bound, bound));
            let (v, s) = f(&next);
            if v.is_finite() && v >= value + 1e-4 * share * dot(&way, &free).min(1e6)
                || v > value && share < 1e-3
            {
                break Some((next, v, s));
            }
            share *= 0.4;
            if share < 1e-12 {
                break None;
            }
        };
        let Some((next, v, s)) = step else { break };
        let moved: [f64; N] = std::array::from_fn(|i| next[i] - at[i]);
        let turned: [f64; N] = std::array::from_fn(|i| slope[i] - s[i]);
        update(&mut inverse, &moved, &turned);
        idle = if v - value < gain { idle + 1 } else { 0 };
        (at, value, slope) = (next, v, s);
        if idle == 3 {
            break;
        }
    }
    (at, value)
}

fn identity<const N: usize>() -> [[f64; N]; N] {
    std::array::from_fn(|i| std::array::from_fn(|j| f64::from(u8::from(i == j))))
}

fn dot<const N: usize>(one: &[f64; N], two: &[f64; N]) -> f64 {
    one.iter().zip(two).map(|(a, b)| a * b).sum()
}

/// The BFGS update of the inverse of the (downward) curvature, left out where the surface did not bend down.
fn update<const N: usize>(inverse: &mut [[f64; N]; N], moved: &[f64; N], turned: &[f64; N]) {
    let curvature = dot(moved, turned);
    if curvature <= 1e-12 * dot(moved, moved).sqrt() * dot(turned, turned).sqrt() {
        return;
    }
    let by_turn: [f64; N] = std::array::from_fn(|i| dot(&inverse[i], turned));
    let scale = (1.0 + dot(turned, &by_turn) / curvature) / curvature;
    for i in 0..N {
        for j in 0..N {
            inverse[i][j] +=
                scale * moved[i] * moved[j] - (by_turn[i] * moved[j] + moved[i] * by_turn[j]) / curvature;
        }
    }
}
