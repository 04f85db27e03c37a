//! The floor under a stage of the solver: what the memory alone would need.

use std::hint::black_box;
use std::time::Instant;

/// Bytes that one stage moves per cell at the least, doubles: five fields read
/// (potential, last and earlier stage, start, its rate), one written and read
/// again as potential.
pub const BYTES_PER_CELL: f64 = 56.0;

/// Bandwidth of a copy between two fields of `bytes` each on one thread,
/// bytes/s, reads and writes counted.
pub fn copy_bytes_s(bytes: usize) -> f64 {
    /// Bytes of a sample: long against the clock, short against a disturbance.
    const SAMPLE: usize = 256 << 20;
    const SAMPLES: usize = 12;
    let from = vec![1.0_f64; bytes / 8];
    let mut to = vec![0.0_f64; bytes / 8];
    let rounds = (SAMPLE / (2 * bytes)).max(1);
    let one = |to: &mut Vec<f64>| {
        let began = Instant::now();
        for _ in 0..rounds {
            black_box(&mut *to).copy_from_slice(black_box(&from));
        }
        (rounds * 2 * bytes) as f64 / began.elapsed().as_secs_f64()
    };
    (0..SAMPLES).map(|_| one(&mut to)).fold(0.0, f64::max)
}

/// The floor of one cell and stage, ns.
pub fn floor_ns(bytes_s: f64) -> f64 {
    BYTES_PER_CELL / bytes_s * 1e9
}
