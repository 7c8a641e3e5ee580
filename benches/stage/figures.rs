//! Samples and how they are printed: medians, spreads, and ratios to the floor.

use std::time::Duration;

/// Measured times, at least one.
pub(crate) struct Sample {
    sorted_ms: Vec<f64>,
}

impl Sample {
    pub(crate) fn new(times: &[Duration]) -> Sample {
        let mut sorted_ms: Vec<f64> = times.iter().map(|time| time.as_secs_f64() * 1000.0).collect();
        sorted_ms.sort_by(f64::total_cmp);
        assert!(!sorted_ms.is_empty(), "nothing was measured");
        Sample { sorted_ms }
    }

    pub(crate) fn median_ms(&self) -> f64 {
        self.quantile_ms(0.5)
    }

    fn quantile_ms(&self, part: f64) -> f64 {
        self.sorted_ms[((self.sorted_ms.len() - 1) as f64 * part).round() as usize]
    }
}

pub(crate) fn heading(text: &str) {
    println!("\n{text}");
    println!(
        "  {:<34} {:>9} {:>9} {:>9} {:>9} {:>9}",
        "ms", "median", "10 %", "90 %", "99 %", "x floor"
    );
}

/// One line: a sample beside the floor that was measured in turn with it.
pub(crate) fn row(name: &str, sample: &Sample, floor: &Sample, goal: Option<f64>) {
    let ratio = sample.median_ms() / floor.median_ms();
    let goal = goal.map_or(String::new(), |goal| format!("  (goal: {goal} at most)"));
    println!(
        "  {name:<34} {:>9.3} {:>9.3} {:>9.3} {:>9.3} {ratio:>9.2}{goal}",
        sample.median_ms(),
        sample.quantile_ms(0.1),
        sample.quantile_ms(0.9),
        sample.quantile_ms(0.99),
    );
}

/// How noisy the machine was: the floor's middle eight tenths, and its median in each third of the run.
pub(crate) fn noise(floor: &[Duration]) {
    let whole = Sample::new(floor);
    let thirds: Vec<String> = floor
        .chunks(floor.len().div_ceil(3))
        .map(|third| format!("{:.3}", Sample::new(third).median_ms()))
        .collect();
    let spread = whole.quantile_ms(0.9) / whole.quantile_ms(0.1);
    println!(
        "  noise: the floor's 90 % is {spread:.2} times its 10 %; by thirds of the run {}",
        thirds.join(", ")
    );
}

/// The middle one, and the largest.
pub(crate) fn median_and_most(counts: impl Iterator<Item = usize>) -> (usize, usize) {
    let mut sorted: Vec<usize> = counts.collect();
    sorted.sort_unstable();
    (sorted[sorted.len() / 2], sorted[sorted.len() - 1])
}
