//! Changes watched week by week: failures of the old and the new design as they come, and what each look would say.

use domain::analysis::{ChangeCounts, Proof, ProofVerdict};
use stats::stratified::Stratum;

/// Weeks of three years.
pub(crate) const WEEKS: usize = 156;

/// Item-years of one item in one week.
const WEEK_YEARS: f64 = 7.0 / 365.25;

/// The ends of the age bands, in years, and the failures per item-year in each before the change.
const BANDS: [(f64, f64); 3] = [(0.5, 0.008), (1.5, 0.012), (f64::INFINITY, 0.02)];

/// Item-years of the history before, by age band.
const HISTORY: [f64; 3] = [1500.0, 2000.0, 1500.0];

/// New items built to the change and issued each week.
const ISSUED_A_WEEK: f64 = 40.0;

/// What a change that is looked at each week was said to be.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Watched {
    /// The first week at which the verdict was that it worked.
    pub worked: Option<usize>,
    /// The first week at which it was that it got worse.
    pub worse: Option<usize>,
    /// The first week at which the one-look interval lay below 1: what comes of looking every week with it.
    pub once_peeked: Option<usize>,
    /// Weeks at which it did: what each of them would have said, had it been the only look, at a date fixed beforehand.
    pub once: Vec<usize>,
}

/// One change with a true ratio, looked at every so many weeks for three years.
pub(crate) fn watch(ratio: f64, every: usize, draws: &mut impl FnMut() -> u64) -> Watched {
    let mut rows: Vec<Stratum> = BANDS
        .iter()
        .zip(HISTORY)
        .map(|(&(_, rate), years)| Stratum {
            before_count: poisson(rate * years, draws),
            before_exposure: years,
            after_count: 0,
            after_exposure: 0.0,
        })
        .collect();
    let mut watched = Watched::default();
    for week in 1..=WEEKS {
        let mut from = 0.0;
        for (row, (to, rate)) in rows.iter_mut().zip(BANDS) {
            // One cohort a week: those of an age in the band, the latest not quite a week old.
            let age_of = |cohort: usize| (week - cohort) as f64 * WEEK_YEARS;
            let cohorts = (1..=week).filter(|&cohort| (from..to).contains(&age_of(cohort))).count();
            let years = cohorts as f64 * ISSUED_A_WEEK * WEEK_YEARS;
            row.after_exposure += years;
            row.after_count += poisson(rate * ratio * years, draws);
            from = to;
        }
        if week.is_multiple_of(every) || week == WEEKS {
            look(&rows, week, &mut watched);
        }
    }
    watched
}

fn look(rows: &[Stratum], week: usize, watched: &mut Watched) {
    let counts = ChangeCounts { by_age: rows.to_vec(), ..ChangeCounts::default() };
    let Some(Proof { verdict, high, .. }) = counts.proof() else { return };
    let once = high.is_some_and(|high| high < 1.0);
    let first = |known: &mut Option<usize>, now: bool| *known = known.or(now.then_some(week));
    first(&mut watched.worked, verdict == ProofVerdict::Worked);
    first(&mut watched.worse, verdict == ProofVerdict::Worse);
    first(&mut watched.once_peeked, once);
    if once {
        watched.once.push(week);
    }
}

/// A Poisson count by inversion; means here are below a hundred.
fn poisson(mean: f64, draws: &mut impl FnMut() -> u64) -> u64 {
    let uniform = (draws() >> 11) as f64 / (1u64 << 53) as f64;
    let (mut count, mut chance) = (0, (-mean).exp());
    let mut sum = chance;
    while sum < uniform && count < 1000 {
        count += 1;
        chance *= mean / count as f64;
        sum += chance;
    }
    count
}
