//! What is counted over all worlds, and the lines of the tables it is printed in.

/// How often something held.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Held {
    tried: u32,
    within: u32,
    below: u32,
}

impl Held {
    pub(super) fn add(&mut self, truth: f64, low: f64, high: f64) {
        self.tried += 1;
        self.within += u32::from(low <= truth && truth <= high);
        self.below += u32::from(truth < low);
    }

    pub(super) fn line(&self, what: &str) {
        let share = 100.0 * f64::from(self.within) / f64::from(self.tried.max(1));
        let above = self.tried - self.within - self.below;
        println!("| {what} | {} | {share:.1} % | {} | {above} |", self.tried, self.below);
    }
}

/// Bands of the reports that a bad lot is expected to bring on top.
pub(super) const BANDS: [(f64, f64); 4] = [(0.0, 5.0), (5.0, 10.0), (10.0, 20.0), (20.0, f64::INFINITY)];

/// How many times worse than good ones bad lots are.
pub(super) const TIMES: [(f64, f64); 3] = [(2.5, 3.5), (3.5, 4.5), (4.5, f64::INFINITY)];

/// The band that a figure lies in.
pub(super) fn band(bands: &[(f64, f64)], figure: f64) -> Option<usize> {
    bands.iter().position(|(low, high)| (*low..*high).contains(&figure))
}

/// How bad upstream lots of one band were found.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Found {
    pub(super) bad: u32,
    pub(super) flagged: u32,
    pub(super) first_three: u32,
    pub(super) watched: u32,
    /// Those of which chance alone would bring so many reports in less than one case of ten thousand, were every label read
    /// and the usual rate known.
    pub(super) plain: u32,
}

impl Found {
    pub(super) fn add(&mut self, other: Self) {
        self.bad += other.bad;
        self.flagged += other.flagged;
        self.first_three += other.first_three;
        self.watched += other.watched;
        self.plain += other.plain;
    }
}

/// Prints a table of bad lots by bands.
pub(super) fn table(of: &str, bands: &[(f64, f64)], found: &[Found]) {
    println!();
    println!("| {of} | bad lots | plain by an oracle | flagged | among the first three | watch signalled |");
    println!("|---|---|---|---|---|---|");
    for ((low, high), Found { bad, flagged, first_three, watched, plain }) in bands.iter().zip(found) {
        println!("| {low} to {high} | {bad} | {plain} | {flagged} | {first_three} | {watched} |");
    }
}

/// Upstream lots flagged that nothing else explains.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Flags {
    worlds: u32,
    /// Worlds with a false one.
    worlds_wrong: u32,
    flagged: u32,
    wrong: u32,
    /// Sum over worlds of the share of false ones.
    shares: f64,
}

impl Flags {
    pub(super) fn add(&mut self, flagged: u32, wrong: u32) {
        self.worlds += 1;
        self.worlds_wrong += u32::from(wrong > 0);
        self.flagged += flagged;
        self.wrong += wrong;
        self.shares += f64::from(wrong) / f64::from(flagged.max(1));
    }

    pub(super) fn line(&self, what: &str) {
        let share = 100.0 * self.shares / f64::from(self.worlds.max(1));
        println!(
            "| {what} | {} | {} | {} | {} | {share:.1} % |",
            self.worlds, self.flagged, self.wrong, self.worlds_wrong
        );
    }
}
