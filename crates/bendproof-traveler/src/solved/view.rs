//! One look at a solved coupon: the sheet, a frame of the film, the cut along
//! the weld and the curves, for the bead and the places asked for.

use serde::Serialize;

use super::coupon::SolvedCoupon;
use super::curves;
use super::curves::{Curves, PLACES_MAX, Place};
use super::film::{FilmFrame, FilmSide, film_frame, film_times};
use super::sheet::{SolvedSheet, solved_sheet};
use crate::drawn::Look;

/// Time after the arc of the frame shown first, s: the bead has its full height
/// and much of it is still liquid. Basis: choice.
const FIRST_SHOWN_S: f64 = 0.4;

/// What is asked for. Numbers out of range are taken to the nearest there is.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SectionAsk {
    /// Bead that is filmed and followed, 1 first; 0 for the first.
    pub bead: usize,
    /// Frame of its film; `None` for one soon after the arc.
    pub frame: Option<usize>,
    /// Places followed, mm across and up; none follows every bead at its side.
    pub places_mm: Vec<[f64; 2]>,
    /// A measured curve, s and °C.
    pub measured: Vec<[f64; 2]>,
}

/// Everything shown at once.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SectionView {
    /// Picture, numbers and notes.
    pub sheet: SolvedSheet,
    /// Name of every bead, in order.
    pub beads: Vec<String>,
    /// The frame across the weld.
    pub film: FilmFrame,
    /// The cut along the weld.
    pub along: String,
    /// Cooling curves.
    pub curves: Curves,
}

/// The view asked for; `None` only when the coupon has no bead.
pub fn section_view(solved: &SolvedCoupon, ask: &SectionAsk, look: Look) -> Option<SectionView> {
    let film = section_film(solved, ask, look)?;
    let places = places(ask, film.bead);
    let along = film_frame(solved, film.bead, film.frame, FilmSide::Along, &places, look);
    Some(SectionView {
        sheet: solved_sheet(solved, look),
        beads: (1..=solved.beads()).map(|bead| solved.bead_name(bead)).collect(),
        along: along.map(|frame| frame.svg).unwrap_or_default(),
        curves: curves(solved, &places, &ask.measured, look),
        film,
    })
}

/// The frame of the film asked for.
pub fn section_film(solved: &SolvedCoupon, ask: &SectionAsk, look: Look) -> Option<FilmFrame> {
    let bead = ask.bead.clamp(1, solved.beads().max(1));
    let times = film_times(solved, bead);
    let after = || times.iter().position(|t_s| *t_s > FIRST_SHOWN_S).unwrap_or(0);
    let frame = ask.frame.unwrap_or_else(after).min(times.len().saturating_sub(1));
    film_frame(solved, bead, frame, FilmSide::Across, &places(ask, bead), look)
}

/// The places with their letters.
pub fn places(ask: &SectionAsk, bead: usize) -> Vec<Place> {
    let letters = ('A'..='Z').map(String::from);
    let points = ask.places_mm.iter().take(PLACES_MAX);
    points.zip(letters).map(|(at_mm, name)| Place { name, bead, at_mm: *at_mm }).collect()
}
