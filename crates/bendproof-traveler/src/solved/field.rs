//! A solved field seen from the drawing's frame: millimetres, y up, degrees
//! Celsius, both halves of a symmetric section. Changes no value.

use bendproof_drawing::SectionGrid;
use bendproof_forecast::solved::SolvedBead;
use bendproof_measure::celsius_from_kelvin;

/// Where the cells of a field lie on the drawing.
pub(crate) struct Turned {
    pub grid: SectionGrid,
    /// For each cell of the grid, the cell of the field it shows.
    from: Vec<usize>,
}

impl Turned {
    /// The cells within `half_mm` of the centre line, a cell more on each side.
    pub(crate) fn of(bead: &SolvedBead, half_mm: f64) -> Self {
        let field = &bead.field;
        let ny = field.y.cells();
        let y_mm: Vec<f64> = field.y.edges_m().iter().map(|e| 1e3 * e).collect();
        let kept: Vec<usize> = (0..ny).filter(|i| y_mm[*i + 1] > -half_mm && y_mm[*i] < half_mm).collect();
        let (first, last) = (kept.first().copied().unwrap_or(0), kept.last().copied().unwrap_or(0));
        let (first, last) = (first.saturating_sub(1), (last + 1).min(ny - 1));
        let mut columns: Vec<usize> = (first..=last).collect();
        let mut x_edges_mm: Vec<f64> = y_mm[first..=last + 1].to_vec();
        if field.mirror {
            columns = columns.iter().rev().chain(&columns).copied().collect();
            let left: Vec<f64> = x_edges_mm.iter().skip(1).rev().map(|e| -e).collect();
            x_edges_mm = left.into_iter().chain(x_edges_mm).collect();
        }
        let rows: Vec<usize> = (0..field.z.cells()).rev().collect();
        let y_edges_mm = field.z.edges_m().iter().rev().map(|e| -1e3 * e).collect();
        let from = rows.iter().flat_map(|k| columns.iter().map(move |i| k * ny + i)).collect();
        Self { grid: SectionGrid { x_edges_mm, y_edges_mm }, from }
    }

    /// The values of a field in kelvin on the grid, °C.
    pub(crate) fn celsius(&self, kelvin: impl Fn(usize) -> f64) -> Vec<f32> {
        self.from.iter().map(|cell| celsius_from_kelvin(kelvin(*cell)) as f32).collect()
    }
}
