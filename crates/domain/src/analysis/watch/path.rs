//! The path of one series' score and the signal it raises.

use stats::cusum::{Alarm, Cusum, Side, Step, reference_rate};

use super::threshold::Thresholds;
use super::{Signal, Watched, Weeks};

/// Reports that the level of the whole record counts for before a recurrence has a past of its own.
const PAST_WEIGHT: f64 = 5.0;

/// A series ready to be scored.
pub(super) struct Line {
    /// Reports by the week they were received.
    pub(super) received: Vec<u64>,
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
pub(super) fn signal(weeks: &Weeks, of: Watched, line: &Line, thresholds: &Thresholds) -> Option<Signal> {
    let live = line.expected.iter().filter(|e| **e > 0.0).count();
    let mean = line.expected.iter().sum::<f64>() / live.max(1) as f64;
    if live == 0 {
        return None;
    }
    let threshold = thresholds.of(mean)?;
    let scores = scores(line, thresholds.ratio(), threshold)?;
    let at = scores.iter().position(|step| step.alarm)?;
    let begin = scores[..at].iter().rposition(|step| step.score <= 0.0).map_or(0, |zero| zero + 1);
    let last = scores.iter().rposition(|step| step.alarm).unwrap_or(at);
    Some(Signal {
        of,
        first_on: weeks.look(at).date(),
        on_now: scores[last..].iter().all(|step| step.score > 0.0),
        weeks: (at - begin + 1) as u32,
        reports: line.received[begin..=at].iter().sum(),
        expected: line.expected[begin..=at].iter().sum(),
        threshold,
    })
}

/// The path, with its signals. After a signal and after a cut-in it goes on from half the threshold, so that what
/// goes on or was not cured shows soon (Lucas' fast initial response).
fn scores(line: &Line, ratio: f64, threshold: f64) -> Option<Vec<Step>> {
    let mut chart = Cusum {
        reference_rate: reference_rate(1.0, ratio).ok()?,
        threshold,
        head_start: 0.0,
        side: Side::Upper,
        alarm: Alarm::AtLeast,
    };
    let mut steps: Vec<Step> = Vec::with_capacity(line.received.len());
    while steps.len() < line.received.len() {
        let from = steps.len();
        let cut_in = line.cut_ins.iter().copied().filter(|&at| at > from).min();
        let to = cut_in.unwrap_or(line.received.len());
        let path = chart.path(&line.received[from..to], &line.expected[from..to]).ok()?;
        let until = path.iter().position(|step| step.alarm).map_or(path.len(), |alarm| alarm + 1);
        steps.extend(&path[..until]);
        let last = steps.last().filter(|step| !step.alarm).map_or(0.0, |step| step.score);
        chart.head_start = last.max(threshold / 2.0);
    }
    Some(steps)
}
