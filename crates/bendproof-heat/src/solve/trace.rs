//! A temperature followed in time, and what is read from it.

/// Temperature at one point, sample by sample.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Trace {
    /// Times, s.
    pub time_s: Vec<f64>,
    /// Temperatures, K.
    pub temperature_k: Vec<f64>,
    /// Greatest temperature, K, by the parabola through the three highest samples.
    pub peak_k: f64,
    /// Time from 800 to 500 C after the peak, s; `None` when it did not pass both.
    pub t85_s: Option<f64>,
}

/// 800 and 500 C, K.
const FROM_K: f64 = 1073.15;
const TO_K: f64 = 773.15;

impl Trace {
    pub(crate) fn push(&mut self, time_s: f64, temperature_k: f64) {
        self.time_s.push(time_s);
        self.temperature_k.push(temperature_k);
    }

    /// Reads peak and cooling time.
    pub(crate) fn close(&mut self) {
        self.peak_k = self.parabola_peak();
        self.t85_s = self.falls_to_s(TO_K).zip(self.falls_to_s(FROM_K)).map(|(to, from)| to - from);
    }

    fn highest(&self) -> usize {
        let t = &self.temperature_k;
        (0..t.len()).fold(0, |best, i| if t[i] > t[best] { i } else { best })
    }

    fn parabola_peak(&self) -> f64 {
        let i = self.highest();
        let t = &self.temperature_k;
        if i == 0 || i + 1 >= t.len() {
            return t.get(i).copied().unwrap_or(f64::NAN);
        }
        let (before, after) = (self.time_s[i - 1] - self.time_s[i], self.time_s[i + 1] - self.time_s[i]);
        let (fall, drop) = ((t[i - 1] - t[i]) / before, (t[i + 1] - t[i]) / after);
        let bend = (drop - fall) / (after - before);
        let slope = fall - bend * before;
        if bend < 0.0 { t[i] - 0.25 * slope * slope / bend } else { t[i] }
    }

    /// When the temperature last falls through `level_k`, s.
    pub fn falls_to_s(&self, level_k: f64) -> Option<f64> {
        let t = &self.temperature_k;
        let i = (self.highest()..t.len().saturating_sub(1))
            .rev()
            .find(|i| t[*i] >= level_k && t[i + 1] < level_k)?;
        let share = (t[i] - level_k) / (t[i] - t[i + 1]);
        Some(self.time_s[i] + share * (self.time_s[i + 1] - self.time_s[i]))
    }

    /// Temperature at a time, K, by a cubic through the four samples around it;
    /// `None` outside the time followed.
    pub fn at_s(&self, time_s: f64) -> Option<f64> {
        let n = self.time_s.len();
        if n < 4 || time_s < self.time_s[0] || time_s > self.time_s[n - 1] {
            return None;
        }
        let after = self.time_s.partition_point(|t| *t < time_s).clamp(2, n - 2);
        let four: [usize; 4] = std::array::from_fn(|k| after - 2 + k);
        let weight = |i: usize| -> f64 {
            let others = four.iter().filter(|j| **j != i);
            others.map(|j| (time_s - self.time_s[*j]) / (self.time_s[i] - self.time_s[*j])).product()
        };
        Some(four.iter().map(|i| weight(*i) * self.temperature_k[*i]).sum())
    }
}

/// Where a function that falls from the origin crosses zero, by steps of
/// `step_m` and halving; zero when it starts below, `end_m` when it never does.
pub(crate) fn crossing(end_m: f64, step_m: f64, f: impl Fn(f64) -> f64) -> f64 {
    if f(0.0) <= 0.0 {
        return 0.0;
    }
    let mut low = 0.0;
    let mut high = step_m;
    while f(high) > 0.0 {
        if high >= end_m {
            return end_m;
        }
        low = high;
        high = (high + step_m).min(end_m);
    }
    for _ in 0..40 {
        let middle = 0.5 * (low + high);
        if f(middle) > 0.0 { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn peak_and_cooling_time_are_read_between_samples() {
        let mut trace = Trace::default();
        for i in 0..=200 {
            let t = f64::from(i) * 0.1;
            trace.push(t, 1400.0 - 20.0 * (t - 3.1).powi(2));
        }
        trace.close();
        assert!((trace.peak_k - 1400.0).abs() < 1e-9);
        let at = |level: f64| 3.1 + ((1400.0 - level) / 20.0).sqrt();
        // A chord of 0.1 s under a parabola of curvature 40 K/s² misses by 0.05 K.
        assert!((trace.t85_s.unwrap() - (at(773.15) - at(1073.15))).abs() < 1e-3);
        assert!((trace.at_s(5.55).unwrap() - (1400.0 - 20.0 * (5.55f64 - 3.1).powi(2))).abs() < 1e-9);
        assert_eq!(trace.at_s(21.0), None);
    }

    #[test]
    fn a_curve_that_never_got_hot_has_no_cooling_time() {
        let mut trace = Trace::default();
        (0..9).for_each(|i| trace.push(f64::from(i), 400.0 - f64::from(i)));
        trace.close();
        assert_eq!((trace.peak_k, trace.t85_s), (400.0, None));
    }
}
