//! Searches for the root of a rising function: Halley's where slopes are known, false position where not.

/// What the search needs to know at a point: the function, its slope, and the slope of its slope over its slope.
pub(crate) struct Shape {
    /// Value, negative left of the root.
    pub(crate) value: f64,
    /// Slope, above 0.
    pub(crate) slope: f64,
    /// Second derivative divided by the slope.
    pub(crate) bend: f64,
    /// Length over which the function keeps its shape.
    pub(crate) scale: f64,
}

/// Finds the root of a rising function from a start.
///
/// A Halley step shorter than 1e-5 of the length over which the function keeps its shape leaves an error of third order,
/// below rounding, so that the step is taken and the search ends.
pub(crate) fn find(start: f64, at: impl Fn(f64) -> Shape) -> f64 {
    let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
    let mut u = start;
    for _ in 0..200 {
        let Shape { value, slope, bend, scale } = at(u);
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
        } else if step.abs() < 1e-5 * scale || next == u {
            return next;
        }
        u = next;
    }
    u
}

/// Finds the root of a rising function by widening from a centre in growing steps, then closing in.
///
/// Where the function stays on one side of 0 the last point tried is answered, some 2,000 steps away.
pub(crate) fn widened(centre: f64, step: f64, f: impl Fn(f64) -> f64) -> f64 {
    let at_centre = f(centre);
    let outward = if at_centre < 0.0 { step } else { -step };
    let (mut near, mut at_near) = (centre, at_centre);
    let mut reach = outward;
    for _ in 0..11 {
        let far = near + reach;
        let at_far = f(far);
        if (at_far < 0.0) != (at_near < 0.0) {
            return if outward > 0.0 {
                bracketed((near, at_near), (far, at_far), f)
            } else {
                bracketed((far, at_far), (near, at_near), f)
            };
        }
        (near, at_near) = (far, at_far);
        reach *= 2.0;
    }
    near
}

/// Closes in on the root of a rising function between two points given with their values.
///
/// Illinois false position, with a bisection now and then so that it cannot stall.
pub(crate) fn bracketed(low: (f64, f64), high: (f64, f64), f: impl Fn(f64) -> f64) -> f64 {
    let ((mut low, mut at_low), (mut high, mut at_high)) = (low, high);
    let (mut last, mut last_was_low) = (f64::NAN, None);
    for round in 1..200 {
        let mut next = (low * at_high - high * at_low) / (at_high - at_low);
        if !(next > low && next < high) || round % 12 == 0 {
            next = 0.5 * (low + high);
        }
        let value = f(next);
        if value == 0.0 || (next - last).abs() <= f64::EPSILON * (1.0 + next.abs()) {
            return next;
        }
        last = next;
        if value < 0.0 {
            (low, at_low) = (next, value);
            at_high *= if last_was_low == Some(true) { 0.5 } else { 1.0 };
        } else {
            (high, at_high) = (next, value);
            at_low *= if last_was_low == Some(false) { 0.5 } else { 1.0 };
        }
        last_was_low = Some(value < 0.0);
    }
    0.5 * (low + high)
}
