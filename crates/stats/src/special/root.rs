//! A bracketed Halley search for the root of a rising function, shared by the inverse functions.

/// What the search needs to know at a point: the function, its slope, and the slope of its slope over its slope.
pub(crate) struct Shape {
    /// Value, negative left of the root.
    pub(crate) value: f64,
    /// Slope, above 0.
    pub(crate) slope: f64,
    /// Second derivative divided by the slope.
    pub(crate) bend: f64,
}

/// Finds the root of a rising function from a start.
///
/// `scale(u)` is the length over which the function keeps its shape at `u`; a Halley step shorter than 1e-5 of it
/// leaves an error of third order, below rounding, so that the step is taken and the search ends.
pub(crate) fn find(start: f64, scale: impl Fn(f64) -> f64, at: impl Fn(f64) -> Shape) -> f64 {
    let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
    let mut u = start;
    for _ in 0..200 {
        let Shape { value, slope, bend } = at(u);
        if value == 0.0 {
            return u;
        }
        if value < 0.0 {
            low = u;
        } else {
            high = u;
        }
        let newton = -value / slope;
        let damping = 1.0 + 0.5 * newton * bend;
        let step = if damping > 0.5 && damping < 2.0 { newton / damping } else { newton };
        let mut next = u + step;
        if next.is_nan() || next <= low || next >= high {
            next = match (low.is_finite(), high.is_finite()) {
                (true, true) => 0.5 * (low + high),
                (true, false) => low + 2.0 * (1.0 + low.abs()),
                (false, true) => high - 2.0 * (1.0 + high.abs()),
                (false, false) => return f64::NAN,
            };
            if next == low || next == high {
                return u;
            }
        } else if step.abs() < 1e-5 * scale(u) || next == u {
            return next;
        }
        u = next;
    }
    u
}
