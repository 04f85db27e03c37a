//! Fits a cubic to runs, checks the committed one, and renews it on demand.

use std::collections::BTreeMap;

use crate::cubic::Cubic;

/// Runs of a data file by column name, and whether each row is held back.
pub struct Runs {
    columns: BTreeMap<String, Vec<f64>>,
    pub held: Vec<bool>,
}

impl Runs {
    pub fn read(text: &str) -> Self {
        let mut lines = text.lines().filter(|line| !line.starts_with('#'));
        let names: Vec<&str> = lines.next().unwrap().split(',').collect();
        let rows: Vec<Vec<f64>> =
            lines.map(|line| line.split(',').map(|cell| cell.parse().unwrap()).collect()).collect();
        let column = |i: usize| rows.iter().map(|row| row[i]).collect();
        let columns = names.iter().enumerate().map(|(i, name)| ((*name).to_owned(), column(i))).collect();
        Self { columns, held: (0..rows.len()).map(|i| i % 5 == 4).collect() }
    }

    pub fn get(&self, name: &str) -> &[f64] {
        &self.columns[name]
    }
}

/// One output to fit: its values, and the weight of each row; zero leaves it out.
pub struct Target {
    pub name: &'static str,
    pub values: Vec<f64>,
    pub weights: Vec<f64>,
}

/// Least squares over the rows not held back; the text of the model file.
pub fn fit(features: &[Vec<f64>], held: &[bool], targets: &[Target], head: &str) -> String {
    let sides = features[0].len();
    let end = |pick: fn(f64, f64) -> f64, start: f64| -> Vec<f64> {
        (0..sides).map(|i| features.iter().map(|f| f[i]).fold(start, pick)).collect()
    };
    let mut model = Cubic {
        low: end(f64::min, f64::INFINITY),
        high: end(f64::max, f64::NEG_INFINITY),
        ..Cubic::default()
    };
    // Rounded as the file holds them, so that the fit sees the same scaling.
    model.low.iter_mut().chain(&mut model.high).for_each(|v| *v = format!("{v:.6}").parse().unwrap());
    let line = |name: &str, numbers: &[f64], digits: usize| {
        let cells: Vec<String> = numbers.iter().map(|n| format!("{n:.digits$}")).collect();
        format!("{name},{}\n", cells.join(","))
    };
    let mut text = format!("{head}{}{}", line("low", &model.low, 6), line("high", &model.high, 6));
    for target in targets {
        text += &line(target.name, &least_squares(&model, features, held, target), 6);
    }
    text
}

fn least_squares(model: &Cubic, features: &[Vec<f64>], held: &[bool], target: &Target) -> Vec<f64> {
    let mut terms = Vec::new();
    model.terms(&features[0], &mut terms);
    let n = terms.len();
    let (mut normal, mut right) = (vec![0.0; n * n], vec![0.0; n]);
    for (row, f) in features.iter().enumerate() {
        let weight = target.weights[row].powi(2);
        if held[row] || weight == 0.0 {
            continue;
        }
        model.terms(f, &mut terms);
        for i in 0..n {
            right[i] += weight * terms[i] * target.values[row];
            for j in 0..=i {
                normal[i * n + j] += weight * terms[i] * terms[j];
            }
        }
    }
    cholesky_solve(&mut normal, &mut right, n);
    right
}

/// Solves a symmetric positive system, its lower half given, in place.
fn cholesky_solve(a: &mut [f64], b: &mut [f64], n: usize) {
    for i in 0..n {
        for j in 0..=i {
            let dot: f64 = (0..j).map(|k| a[i * n + k] * a[j * n + k]).sum();
            let rest = a[i * n + j] - dot;
            a[i * n + j] = if i == j { rest.max(1e-12).sqrt() } else { rest / a[j * n + j] };
        }
        let dot: f64 = (0..i).map(|k| a[i * n + k] * b[k]).sum();
        b[i] = (b[i] - dot) / a[i * n + i];
    }
    for i in (0..n).rev() {
        let dot: f64 = (i + 1..n).map(|k| a[k * n + i] * b[k]).sum();
        b[i] = (b[i] - dot) / a[i * n + i];
    }
}

/// Compares the committed model with a fresh fit at every row, or renews the
/// file when the environment says `UPDATE=1`.
pub fn check_or_renew(path: &str, committed: &str, fitted: &str, features: &[Vec<f64>]) {
    if std::env::var("UPDATE").is_ok_and(|v| v == "1") {
        std::fs::write(path, fitted).unwrap();
        return;
    }
    // Coefficients carry six decimals; 220 of them round to 1e-4 at most.
    const ROUNDED: f64 = 2e-4;
    let (old, new) = (Cubic::read(committed), Cubic::read(fitted));
    assert_eq!(old.outputs.keys().collect::<Vec<_>>(), new.outputs.keys().collect::<Vec<_>>());
    let (mut a, mut b) = (Vec::new(), Vec::new());
    for f in features {
        old.terms(f, &mut a);
        new.terms(f, &mut b);
        for name in new.outputs.keys() {
            let (committed, fresh) = (old.output(name, &a), new.output(name, &b));
            assert!((committed - fresh).abs() < ROUNDED, "{name}: {committed} committed, {fresh} fitted");
        }
    }
}

/// Root mean square error over the held-back rows that `pick` takes.
pub fn held_rms(
    text: &str,
    name: &str,
    features: &[Vec<f64>],
    values: &[f64],
    held: &[bool],
    pick: impl Fn(usize) -> bool,
) -> f64 {
    let model = Cubic::read(text);
    let mut terms = Vec::new();
    let (mut sum, mut count) = (0.0, 0usize);
    for (row, f) in features.iter().enumerate().filter(|(row, _)| held[*row] && pick(*row)) {
        model.terms(f, &mut terms);
        sum += (model.output(name, &terms) - values[row]).powi(2);
        count += 1;
    }
    (sum / count as f64).sqrt()
}
