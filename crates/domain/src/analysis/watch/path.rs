//! The path of one series' score and the signal it raises.

use stats::cusum::{Alarm, Cusum, Side, reference_rate};

use super::threshold::Thresholds;
use super::{Signal, Watched, Weeks};

/// Reports that the level of the whole record counts for before a recurrence has a past of its own.
const PAST_WEIGHT: f64 = 5.0;
/// A threshold no score reaches: the path is wanted unbroken.
const NEVER: f64 = 1e12;

/// A series ready to be scored.
pub(super) struct Line<'a> {
    pub(super) received: &'a [u64],
    /// Expected by week while nothing has changed.
    pub(super) expected: Vec<f64>,
    /// Weeks in which the score gets a head start.
    pub(super) cut_ins: Vec<usize>,
}

/// What a recurrence's own past leads one to expect each week: the shape is given, the level is that of the weeks
/// before, raised by its own standard error so that a past that happened to be quiet raises no signal.
pub(super) fn by_its_past(received: &[u64], shape: &[f64]) -> Vec<f64> {
    let (all, whole): (f64, f64) = (received.iter().map(|&n| n as f64).sum(), shape.iter().sum());
    let scale = if whole > 0.0 { all / whole } else { 0.0 };
    let (mut n, mut e) = (PAST_WEIGHT, PAST_WEIGHT);
    let week = |(&count, &shape): (&u64, &f64)| {
        let expected = shape * scale * (n / e) * (1.0 + 1.0 / n.sqrt());
        n += count as f64;
        e += shape * scale;
        expected
    };
    received.iter().zip(shape).map(week).collect()
}

/// The first signal of a line.
pub(super) fn signal(
    weeks: &Weeks,
    of: Watched,
    line: &Line<'_>,
    thresholds: &mut Thresholds,
) -> Option<Signal> {
    let live = line.expected.iter().filter(|e| **e > 0.0).count();
    let mean = line.expected.iter().sum::<f64>() / live.max(1) as f64;
    if live == 0 {
        return None;
    }
    let threshold = thresholds.of(mean)?;
    let scores = scores(line, thresholds.ratio(), threshold)?;
    let at = scores.iter().position(|&score| score >= threshold)?;
    let begin = scores[..at].iter().rposition(|&score| score <= 0.0).map_or(0, |zero| zero + 1);
    Some(Signal {
        of,
        first_on: weeks.look(at).date(),
        on_now: scores.last().is_some_and(|&score| score >= threshold),
        weeks: (at - begin + 1) as u32,
        reports: line.received[begin..=at].iter().sum(),
        expected: line.expected[begin..=at].iter().sum(),
        threshold,
    })
}

/// The unbroken path; after a cut-in it goes on from half the threshold at least (Lucas' fast initial response).
fn scores(line: &Line<'_>, ratio: f64, threshold: f64) -> Option<Vec<f64>> {
    let mut breaks = line.cut_ins.clone();
    breaks.sort_unstable();
    breaks.push(line.received.len());
    let mut chart = Cusum {
        reference_rate: reference_rate(1.0, ratio).ok()?,
        threshold: NEVER,
        head_start: 0.0,
        side: Side::Upper,
        alarm: Alarm::AtLeast,
    };
    let (mut scores, mut from) = (Vec::with_capacity(line.received.len()), 0);
    for to in breaks {
        let steps = chart.path(&line.received[from..to], &line.expected[from..to]).ok()?;
        scores.extend(steps.iter().map(|step| step.score));
        chart.head_start = scores.last().copied().unwrap_or(0.0).max(threshold / 2.0);
        from = to;
    }
    Some(scores)
}
