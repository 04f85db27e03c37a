//! Plane geometry the drawings share: hatching, centroids, label rows. No SVG.

/// Most hatch lines in one area; reaching it thins the hatching instead of
/// growing the file. Basis: choice.
const HATCH_LINES_MAX: f64 = 400.0;

/// Parallel segments at 45° that fill a polygon, `spacing` apart, even-odd rule.
///
/// Lines are laid on one grid through the origin, so that neighbouring areas
/// hatch in step.
pub(crate) fn hatch(polygon: &[[f64; 2]], spacing: f64) -> Vec<[[f64; 2]; 2]> {
    if polygon.len() < 3 || polygon.iter().flatten().any(|v| !v.is_finite()) {
        return Vec::new();
    }
    // Along a hatch line x + y is constant: c. Solve each polygon edge for it.
    let sums = polygon.iter().map(|p| p[0] + p[1]);
    let (low, high) = sums.fold((f64::MAX, f64::MIN), |(low, high), c| (low.min(c), high.max(c)));
    let step = (spacing * std::f64::consts::SQRT_2).max((high - low) / HATCH_LINES_MAX);
    let mut segments = Vec::new();
    let mut index = (low / step).floor() + 1.0;
    while index * step < high {
        let c = index * step;
        let mut crossings: Vec<f64> = edges(polygon).filter_map(|(a, b)| crossing_x(a, b, c)).collect();
        crossings.sort_by(f64::total_cmp);
        for pair in crossings.chunks_exact(2) {
            segments.push([[pair[0], c - pair[0]], [pair[1], c - pair[1]]]);
        }
        index += 1.0;
    }
    segments
}

/// The x at which the edge a–b crosses the line x + y = c; half-open, so that a
/// shared corner counts once.
fn crossing_x(a: [f64; 2], b: [f64; 2], c: f64) -> Option<f64> {
    let (ca, cb) = (a[0] + a[1], b[0] + b[1]);
    ((ca <= c) != (cb <= c)).then(|| a[0] + (b[0] - a[0]) * (c - ca) / (cb - ca))
}

/// Cyclic edges of a polygon.
pub(crate) fn edges(polygon: &[[f64; 2]]) -> impl Iterator<Item = ([f64; 2], [f64; 2])> + '_ {
    polygon.iter().copied().zip(polygon.iter().copied().cycle().skip(1))
}

/// Centroid of a polygon's area; the mean of its corners when it has none.
pub(crate) fn centroid(polygon: &[[f64; 2]]) -> [f64; 2] {
    let mut sum = [0.0; 3];
    for (a, b) in edges(polygon) {
        let cross = a[0] * b[1] - b[0] * a[1];
        sum[0] += (a[0] + b[0]) * cross;
        sum[1] += (a[1] + b[1]) * cross;
        sum[2] += cross;
    }
    if sum[2].abs() < f64::EPSILON {
        let n = polygon.len().max(1) as f64;
        return [
            polygon.iter().map(|p| p[0]).sum::<f64>() / n,
            polygon.iter().map(|p| p[1]).sum::<f64>() / n,
        ];
    }
    [sum[0] / (3.0 * sum[2]), sum[1] / (3.0 * sum[2])]
}

/// Width of a polygon along the horizontal through `y`: the longest run inside.
pub(crate) fn width_at(polygon: &[[f64; 2]], y: f64) -> f64 {
    let mut crossings: Vec<f64> = edges(polygon)
        .filter(|(a, b)| (a[1] <= y) != (b[1] <= y))
        .map(|(a, b)| a[0] + (b[0] - a[0]) * (y - a[1]) / (b[1] - a[1]))
        .collect();
    crossings.sort_by(f64::total_cmp);
    crossings.chunks_exact(2).map(|pair| pair[1] - pair[0]).fold(0.0, f64::max)
}

/// Bounds of many points: `[x_min, y_min, x_max, y_max]`.
pub(crate) fn bounds<'a>(points: impl Iterator<Item = &'a [f64; 2]>) -> [f64; 4] {
    points.fold([f64::MAX, f64::MAX, f64::MIN, f64::MIN], |b, p| {
        [b[0].min(p[0]), b[1].min(p[1]), b[2].max(p[0]), b[3].max(p[1])]
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Room for rounding in coordinates of order one.
    const ROUNDING: f64 = 1e-12;

    #[test]
    fn hatching_stays_inside_and_covers_the_area() {
        let square = [[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]];
        let lines = hatch(&square, 1.0);
        // Summed length times spacing is the area of what was hatched.
        let area: f64 = lines.iter().map(|[a, b]| (b[0] - a[0]).hypot(b[1] - a[1])).sum();
        assert!((area - 100.0).abs() < 1.0, "{area}");
        assert!(lines.iter().flatten().flatten().all(|v| (-ROUNDING..=10.0 + ROUNDING).contains(v)));
    }

    #[test]
    fn centroid_of_a_triangle_is_a_third_up() {
        let [x, y] = centroid(&[[0.0, 0.0], [6.0, 0.0], [0.0, 3.0]]);
        assert!((x - 2.0).abs() < ROUNDING && (y - 1.0).abs() < ROUNDING);
    }

    #[test]
    fn width_is_the_longest_run() {
        let vee = [[-3.0, 3.0], [0.0, 0.0], [3.0, 3.0]];
        assert!((width_at(&vee, 1.0) - 2.0).abs() < ROUNDING);
    }
}
