//! A fast model: a cubic in a few features, fitted to solved runs.
//!
//! All products of up to three features, each feature scaled to -1 to 1 over
//! the runs. Nothing is extrapolated here: the caller asks its box first.

use std::collections::BTreeMap;

/// One or more outputs over the same features.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Cubic {
    pub(crate) low: Vec<f64>,
    pub(crate) high: Vec<f64>,
    pub(crate) outputs: BTreeMap<String, Vec<f64>>,
}

impl Cubic {
    /// Reads a committed model: lines of a name and numbers, `low` and `high`
    /// for the scaling, then one line per output. A line that cannot be read is
    /// left out, and what rests on it is not a number; a test reads the files.
    pub fn read(text: &str) -> Self {
        let mut model = Self::default();
        for line in text.lines().filter(|line| !line.starts_with('#')) {
            let mut cells = line.split(',');
            let Some(name) = cells.next() else { continue };
            let numbers: Vec<f64> = cells.filter_map(|cell| cell.parse().ok()).collect();
            match name {
                "low" => model.low = numbers,
                "high" => model.high = numbers,
                _ => {
                    model.outputs.insert(name.to_owned(), numbers);
                }
            }
        }
        model
    }

    /// The products of up to three scaled features, the constant first; fixed
    /// order. Written into `terms`, whose old content is dropped.
    pub fn terms(&self, features: &[f64], terms: &mut Vec<f64>) {
        terms.clear();
        let scaled = features
            .iter()
            .zip(self.low.iter().zip(&self.high))
            .map(|(x, (low, high))| (2.0 * x - low - high) / (high - low));
        // With a leading 1, products of exactly three cover all lower degrees.
        let x: Vec<f64> = std::iter::once(1.0).chain(scaled).collect();
        for i in 0..x.len() {
            for j in i..x.len() {
                let pair = x[i] * x[j];
                terms.extend(x[j..].iter().map(|z| pair * z));
            }
        }
    }

    /// One output from its terms; NaN when the model does not have it.
    pub fn output(&self, name: &str, terms: &[f64]) -> f64 {
        match self.outputs.get(name) {
            Some(c) if c.len() == terms.len() => dot(c, terms),
            _ => f64::NAN,
        }
    }
}

/// The sum of products, in four sums next to each other: one after the other each
/// addition would wait for the one before.
fn dot(a: &[f64], b: &[f64]) -> f64 {
    const LANES: usize = 4;
    let ((a, a_rest), (b, b_rest)) = (a.as_chunks::<LANES>(), b.as_chunks::<LANES>());
    let mut sums = [0.0; LANES];
    for (a, b) in a.iter().zip(b) {
        for lane in 0..LANES {
            sums[lane] += a[lane] * b[lane];
        }
    }
    sums.iter().sum::<f64>() + a_rest.iter().zip(b_rest).map(|(a, b)| a * b).sum::<f64>()
}
