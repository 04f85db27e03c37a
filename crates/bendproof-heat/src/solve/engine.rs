//! The field and its step: enthalpy of every cell, carried forward in time.
//!
//! Finite volumes on slabs that share one section grid. One step is RKL2, a
//! stabilised explicit step of second order: no linear system, no failure at
//! any length of step, masks and growing metal for free, and every cell's new
//! value depends on old values only, so that any number of threads gives the
//! same bits.

use pulp::Arch;
use rayon::prelude::*;

use super::HeatError;
use super::axis::Axis;
use super::kernel::{self, Near, Old, Potential, Work};
use super::material::{Metal, Pieces, Table};
use super::slabs::{Change, SPAN_MAX, Slab, Zone, next_change};
use super::state::State;

/// Heat that leaves through free surfaces.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Losses {
    /// Convection, W/(m²·K), zero or more.
    pub convection_w_m2_k: f64,
    /// Emissivity, 0 to 1.
    pub emissivity: f64,
    /// Air and walls, K.
    pub ambient_k: f64,
}

/// Stefan-Boltzmann constant, W/(m²·K⁴) (exact by the SI of 2019, rounded).
pub const STEFAN_BOLTZMANN_W_M2_K4: f64 = 5.670_374_419e-8;

impl Losses {
    /// Faces that lose nothing.
    pub const NONE: Self = Self { convection_w_m2_k: 0.0, emissivity: 0.0, ambient_k: 293.15 };

    /// Heat flow out of a surface, W/m².
    pub fn flux_w_m2(&self, surface_k: f64) -> f64 {
        self.convection_w_m2_k * (surface_k - self.ambient_k)
            + self.emissivity * STEFAN_BOLTZMANN_W_M2_K4 * (surface_k.powi(4) - self.ambient_k.powi(4))
    }

    pub(crate) fn check(&self) -> Result<(), HeatError> {
        HeatError::check("convection", self.convection_w_m2_k, 0.0, 1e6, "W/(m²·K)")?;
        HeatError::check("emissivity", self.emissivity, 0.0, 1.0, "")?;
        HeatError::check("ambient temperature", self.ambient_k, 200.0, 1500.0, "K")
    }
}

/// Heat brought in and taken out since the start, J.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Tally {
    /// Brought by the arc, new metal included.
    pub brought_j: f64,
    /// Lost through free surfaces.
    pub lost_j: f64,
    /// In slabs added to the row less that in slabs taken from it.
    pub carried_j: f64,
}

/// A slab's neighbours and weights, by slot.
#[derive(Debug, Clone, Copy)]
struct Link {
    state: usize,
    thickness_m: f64,
    before: Option<(usize, usize)>,
    after: Option<(usize, usize)>,
    over_before: f64,
    over_after: f64,
}

pub(crate) struct Engine {
    pub metal: Metal,
    pub table: Table,
    pub y: Axis,
    pub z: Axis,
    pub states: Vec<State>,
    pub row: Vec<Slab>,
    /// Thickness of the thinnest slab possible, m.
    pub fine_m: f64,
    /// Enthalpy by slot, J/m³.
    pub enthalpy: Vec<f64>,
    /// Greatest enthalpy so far, J/m³.
    pub peak: Vec<f64>,
    /// Heat of the arc by slot, W/m³; the caller fills the slots it lists in `heated`.
    pub heat: Vec<f64>,
    pub heated: Vec<bool>,
    pub tally: Tally,
    pub steps: usize,
    pub stages: usize,
    /// Whether the ends of the row face the air.
    pub ends_lose: bool,
    surface: Option<Pieces>,
    /// Steepest loss over enthalpy, m/s; it bounds the step with the diffusivity.
    surface_m_s: f64,
    diffusivity_m2_s: f64,
    links: Vec<Option<Link>>,
    free: Vec<usize>,
    /// Slots below this one have been in use; none is from it on.
    used: usize,
    potential: Vec<f64>,
    rate: Vec<f64>,
    last: Vec<f64>,
    earlier: Vec<f64>,
    lost_w: Vec<f64>,
    threads: usize,
    arch: Arch,
}

/// Arrays of doubles per cell.
pub(crate) const ARRAYS: usize = 7;

impl Engine {
    /// An engine for at most `slabs_max` slabs, its row still empty.
    pub fn new(
        metal: Metal,
        losses: &Losses,
        (y, z): (Axis, Axis),
        states: Vec<State>,
        fine_m: f64,
        slabs_max: usize,
        threads: usize,
    ) -> Result<Self, HeatError> {
        losses.check()?;
        let table = metal.table()?;
        let cells = y.cells() * z.cells();
        let loses = losses.convection_w_m2_k > 0.0 || losses.emissivity > 0.0;
        let surface = loses.then(|| table.pieces_of(|t| losses.flux_w_m2(t)));
        let all = || vec![0.0; cells * slabs_max];
        Ok(Self {
            surface_m_s: surface.as_ref().map_or(0.0, Pieces::steepest),
            diffusivity_m2_s: table.diffusivity_max_m2_s(),
            surface,
            metal,
            states,
            row: Vec::with_capacity(slabs_max),
            fine_m,
            enthalpy: all(),
            peak: all(),
            heat: all(),
            heated: vec![false; slabs_max],
            tally: Tally::default(),
            steps: 0,
            stages: 0,
            ends_lose: false,
            links: vec![None; slabs_max],
            free: (0..slabs_max).rev().collect(),
            used: 0,
            potential: vec![table.potential_w_m(0.0); (cells + 2 * y.cells()) * slabs_max],
            rate: all(),
            last: all(),
            earlier: all(),
            lost_w: vec![0.0; slabs_max],
            threads,
            arch: Arch::new(),
            table,
            y,
            z,
        })
    }

    pub fn cells_per_slab(&self) -> usize {
        self.y.cells() * self.z.cells()
    }

    fn slot(&self, slot: usize) -> std::ops::Range<usize> {
        let cells = self.cells_per_slab();
        slot * cells..(slot + 1) * cells
    }

    /// Heat content of a slab above 0 C, J.
    pub fn content_j(&self, slab: &Slab) -> f64 {
        let state = &self.states[slab.state];
        let thickness_m = slab.span as f64 * self.fine_m;
        let cells = self.enthalpy[self.slot(slab.slot)].iter().zip(&state.per_area);
        cells.filter(|(_, per_area)| **per_area > 0.0).map(|(h, per_area)| h / per_area).sum::<f64>()
            * thickness_m
    }

    /// Heat content of the whole row, J.
    pub fn row_content_j(&self) -> f64 {
        self.row.iter().map(|slab| self.content_j(slab)).sum()
    }

    /// Puts a slab of one temperature at the end of the row.
    pub fn push(&mut self, start: i64, span: i64, state: usize, temperature_k: f64) -> Result<(), HeatError> {
        let slot = self.take_slot()?;
        let enthalpy = self.metal.enthalpy_j_m3(temperature_k);
        let range = self.slot(slot);
        for (cell, share) in range.clone().zip(&self.states[state].fraction) {
            self.enthalpy[cell] = if *share > 0.0 { enthalpy } else { 0.0 };
        }
        self.peak[range.clone()].copy_from_slice(&self.enthalpy[range]);
        let slab = Slab { start, span, state, slot };
        self.tally.carried_j += self.content_j(&slab);
        self.row.push(slab);
        Ok(())
    }

    /// Takes the first slab from the row.
    pub fn pop_first(&mut self) {
        let slab = self.row.remove(0);
        self.tally.carried_j -= self.content_j(&slab);
        self.release(slab.slot);
    }

    fn take_slot(&mut self) -> Result<usize, HeatError> {
        let slot = self
            .free
            .pop()
            .ok_or_else(|| HeatError::Geometry("the row of slabs is longer than planned".to_owned()))?;
        self.used = self.used.max(slot + 1);
        Ok(slot)
    }

    fn release(&mut self, slot: usize) {
        self.heated[slot] = false;
        self.lost_w[slot] = 0.0;
        self.links[slot] = None;
        self.free.push(slot);
    }

    /// Splits and joins slabs until every one suits the zone.
    pub fn adapt(&mut self, zone: &Zone) -> Result<(), HeatError> {
        let mut from = 0;
        while let Some(change) = next_change(&self.row, zone, from) {
            match change {
                Change::Split(i) => {
                    self.split(i)?;
                    from = i;
                }
                Change::Join(i) => {
                    self.join(i);
                    from = i.saturating_sub(1);
                }
            }
        }
        self.link();
        Ok(())
    }

    /// Takes over the temperatures of another engine on coarser cells of the
    /// same plate: each cell from the metal cells around its middle.
    pub fn take_from(&mut self, other: &Engine) {
        let (ny, cells) = (self.y.cells(), self.cells_per_slab());
        self.tally = Tally::default();
        for i in 0..self.row.len() {
            let slab = self.row[i];
            let x_m = 0.5 * (slab.start + slab.end()) as f64 * self.fine_m;
            let from = other.row.partition_point(|s| s.end() as f64 * other.fine_m <= x_m);
            let from = other.row[from.min(other.row.len() - 1)];
            for c in (0..cells).filter(|c| self.states[slab.state].fraction[*c] > 0.0) {
                let place = [self.y.centre_m(c % ny), self.z.centre_m(c / ny)];
                if let Some(h) = other.nearest_metal(&from, place) {
                    self.enthalpy[slab.slot * cells + c] = h;
                }
            }
            let own = slab.slot * cells..(slab.slot + 1) * cells;
            self.peak[own.clone()].copy_from_slice(&self.enthalpy[own]);
            self.tally.carried_j += self.content_j(&slab);
        }
    }

    /// Enthalpy of a slab near a place of the section, J/m³: bilinear over the
    /// metal cells around it; `None` where there is none.
    fn nearest_metal(&self, slab: &Slab, [y_m, z_m]: [f64; 2]) -> Option<f64> {
        let (mut sum, mut weight) = (0.0, 0.0);
        for (k, wk) in self.z.around(z_m) {
            for (i, wi) in self.y.around(y_m) {
                let c = k * self.y.cells() + i;
                if self.states[slab.state].fraction[c] > 0.0 {
                    sum += wk * wi * self.enthalpy[slab.slot * self.cells_per_slab() + c];
                    weight += wk * wi;
                }
            }
        }
        (weight > 0.0).then(|| sum / weight)
    }

    /// Halves a slab; its enthalpy keeps its sum and takes the slope of its
    /// neighbours, as far as both agree on one.
    fn split(&mut self, i: usize) -> Result<(), HeatError> {
        let slab = self.row[i];
        let slot = self.take_slot()?;
        let half = slab.span / 2;
        let near = |j: Option<usize>| {
            j.and_then(|j| self.row.get(j)).filter(|n| n.state == slab.state).map(|n| (n.slot, n.span))
        };
        let slope_from = near(i.checked_sub(1)).zip(near(Some(i + 1)));
        let cells = self.cells_per_slab();
        for c in 0..cells {
            let own = slab.slot * cells + c;
            let middle = self.enthalpy[own];
            let shift = slope_from.map_or(0.0, |((before, b), (after, a))| {
                let per = |span: i64| 0.5 * (slab.span + span) as f64;
                let rise = (middle - self.enthalpy[before * cells + c]) / per(b);
                let next = (self.enthalpy[after * cells + c] - middle) / per(a);
                let slope = if rise * next > 0.0 { rise.abs().min(next.abs()).copysign(rise) } else { 0.0 };
                0.25 * slab.span as f64 * slope
            });
            self.enthalpy[own] = middle - shift;
            self.enthalpy[slot * cells + c] = middle + shift;
            self.peak[slot * cells + c] = self.peak[own];
        }
        self.heated[slot] = false;
        self.row[i].span = half;
        self.row.insert(i + 1, Slab { start: slab.start + half, span: half, slot, ..slab });
        Ok(())
    }

    fn join(&mut self, i: usize) {
        let (slab, next) = (self.row[i], self.row[i + 1]);
        let cells = self.cells_per_slab();
        for c in 0..cells {
            let (a, b) = (slab.slot * cells + c, next.slot * cells + c);
            self.enthalpy[a] = 0.5 * (self.enthalpy[a] + self.enthalpy[b]);
            self.peak[a] = self.peak[a].max(self.peak[b]);
        }
        self.row[i].span *= 2;
        self.row.remove(i + 1);
        self.release(next.slot);
    }

    /// Gives a slab another make; new metal enters at `enthalpy_j_m3`.
    pub fn grow(&mut self, i: usize, state: usize, enthalpy_j_m3: f64) {
        let slab = self.row[i];
        if slab.state == state {
            return;
        }
        let before_j = self.content_j(&slab);
        for (c, cell) in self.slot(slab.slot).enumerate() {
            let (old, new) = (self.states[slab.state].fraction[c], self.states[state].fraction[c]);
            let h = &mut self.enthalpy[cell];
            *h = match new {
                _ if new <= 0.0 => 0.0,
                _ if new > old => (*h * old + enthalpy_j_m3 * (new - old)) / new,
                _ => *h,
            };
            self.peak[cell] = if old > 0.0 { self.peak[cell].max(*h) } else { *h };
        }
        self.row[i].state = state;
        self.tally.brought_j += self.content_j(&self.row[i]) - before_j;
    }

    /// Renews neighbours and weights; to be called after the row changed.
    pub fn link(&mut self) {
        for i in 0..self.row.len() {
            let slab = self.row[i];
            let thickness_m = slab.span as f64 * self.fine_m;
            let near = |j: Option<usize>| j.and_then(|j| self.row.get(j));
            let over = |n: Option<&Slab>| {
                n.map_or(0.0, |n| 1.0 / (0.5 * (n.span + slab.span) as f64 * self.fine_m * thickness_m))
            };
            let (before, after) = (near(i.checked_sub(1)), near(Some(i + 1)));
            let at = |n: &Slab| (n.slot, n.state);
            self.links[slab.slot] = Some(Link {
                state: slab.state,
                thickness_m,
                before: before.map(at),
                after: after.map(at),
                over_before: over(before),
                over_after: over(after),
            });
        }
    }

    /// The longest explicit step that would be stable, s.
    pub fn explicit_step_s(&self) -> f64 {
        let span = self.row.iter().map(|slab| slab.span).min().unwrap_or(SPAN_MAX) as f64;
        let along = 2.0 / (span * self.fine_m).powi(2);
        let most = |pick: fn(&State) -> f64| {
            self.row.iter().map(|slab| pick(&self.states[slab.state])).fold(0.0, f64::max)
        };
        let ends = if self.ends_lose { 2.0 / (span * self.fine_m) } else { 0.0 };
        let loses = 0.5 * self.surface_m_s * (most(|s| s.exposure) + ends);
        1.0 / (self.diffusivity_m2_s * (most(|s| s.stiffness) + along) + loses)
    }

    /// One step of `dt_s`.
    pub fn step(&mut self, dt_s: f64) {
        let count = kernel::stages(dt_s / self.explicit_step_s());
        let first_s = kernel::first_rate_s(count, dt_s);
        self.fill_potential(true);
        self.first(first_s);
        let start_w: f64 = self.lost_w.iter().sum();
        let (mut lost_earlier, mut lost_last) = (0.0, first_s * start_w);
        let cells = self.used * self.cells_per_slab();
        self.earlier[..cells].copy_from_slice(&self.enthalpy[..cells]);
        for j in 2..=count {
            let k = kernel::stage(j, count, dt_s);
            self.fill_potential(false);
            self.later(&k);
            let lost_w: f64 = self.lost_w.iter().sum();
            let lost = k.before * lost_last
                + k.earlier * lost_earlier
                + k.rate_s * lost_w
                + k.start_rate_s * start_w;
            (lost_earlier, lost_last) = (lost_last, lost);
            std::mem::swap(&mut self.last, &mut self.earlier);
        }
        std::mem::swap(&mut self.enthalpy, &mut self.last);
        self.tally.lost_j += lost_last;
        self.tally.brought_j += dt_s * self.heat_w();
        self.steps += 1;
        self.stages += count;
        for (peak, h) in self.peak[..cells].iter_mut().zip(&self.enthalpy) {
            *peak = peak.max(*h);
        }
    }

    /// Power of the arc in the row, W.
    fn heat_w(&self) -> f64 {
        let heated = self.row.iter().filter(|slab| self.heated[slab.slot]);
        heated
            .map(|slab| {
                let per_area = &self.states[slab.state].per_area;
                let cells = self.heat[self.slot(slab.slot)].iter().zip(per_area);
                let sum: f64 = cells.filter(|(_, p)| **p > 0.0).map(|(q, p)| q / p).sum();
                sum * slab.span as f64 * self.fine_m
            })
            .sum()
    }

    fn fill_potential(&mut self, of_start: bool) {
        let (row, cells) = (self.y.cells(), self.cells_per_slab());
        let from = if of_start { &self.enthalpy } else { &self.last };
        let (links, table, arch) = (&self.links, &self.table, self.arch);
        each_slot(
            self.threads,
            cells + 2 * row,
            &mut self.potential,
            &mut self.lost_w[..self.used],
            |slot, out, _| {
                if links[slot].is_some() {
                    let h = &from[slot * cells..(slot + 1) * cells];
                    arch.dispatch(Potential { table, row, enthalpy: h, out });
                }
            },
        );
    }

    /// Rate at the start and the first stage; the stage lands in `last`.
    fn first(&mut self, rate_s: f64) {
        let (row, cells) = (self.y.cells(), self.cells_per_slab());
        let view = View::of(&self.links, &self.states, &self.potential, cells, row);
        let (surface, table, arch) = (&self.surface, &self.table, self.arch);
        let (enthalpy, heat, heated, ends) = (&self.enthalpy, &self.heat, &self.heated, self.ends_lose);
        each_slot(self.threads, cells, &mut self.rate, &mut self.lost_w[..self.used], |slot, out, lost_w| {
            let Some((link, near)) = view.near(slot) else { return };
            let own = slot * cells..(slot + 1) * cells;
            arch.dispatch(Work { near, row, stage: None, out });
            *lost_w = surface.as_ref().map_or(0.0, |s| {
                lose(
                    link,
                    near.state,
                    ends,
                    |c| table.value(s, enthalpy[own.start + c]),
                    |c, w_m3| out[c] -= w_m3,
                )
            });
            if heated[slot] {
                out.iter_mut().zip(&heat[own]).for_each(|(o, q)| *o += q);
            }
        });
        let (rate, links) = (&self.rate, &self.links);
        each_slot(self.threads, cells, &mut self.last, &mut self.lost_w[..self.used], |slot, out, _| {
            if links[slot].is_some() {
                let own = slot * cells..(slot + 1) * cells;
                let both = enthalpy[own.clone()].iter().zip(&rate[own]);
                out.iter_mut().zip(both).for_each(|(o, (h, r))| *o = h + rate_s * r);
            }
        });
    }

    /// A later stage, from `last` and `earlier` into `earlier`.
    fn later(&mut self, k: &kernel::Stage) {
        let (row, cells) = (self.y.cells(), self.cells_per_slab());
        let view = View::of(&self.links, &self.states, &self.potential, cells, row);
        let (surface, table, arch) = (&self.surface, &self.table, self.arch);
        let (enthalpy, rate, last) = (&self.enthalpy, &self.rate, &self.last);
        let (heat, heated, ends) = (&self.heat, &self.heated, self.ends_lose);
        each_slot(
            self.threads,
            cells,
            &mut self.earlier,
            &mut self.lost_w[..self.used],
            |slot, out, lost_w| {
                let Some((link, near)) = view.near(slot) else { return };
                let own = slot * cells..(slot + 1) * cells;
                let last = &last[own.clone()];
                let old = Old { start: &enthalpy[own.clone()], start_rate: &rate[own.clone()], last };
                arch.dispatch(Work { near, row, stage: Some((k, old)), out });
                *lost_w = surface.as_ref().map_or(0.0, |s| {
                    lose(
                        link,
                        near.state,
                        ends,
                        |c| table.value(s, last[c]),
                        |c, w_m3| out[c] -= k.rate_s * w_m3,
                    )
                });
                if heated[slot] {
                    out.iter_mut().zip(&heat[own]).for_each(|(o, q)| *o += k.rate_s * q);
                }
            },
        );
    }

    /// Balance of the heat: what is there less what should be, as a share of
    /// what the arc brought, or of what is there where nothing was brought.
    pub fn energy_error(&self) -> f64 {
        let t = &self.tally;
        let (there_j, should_j) = (self.row_content_j(), t.carried_j + t.brought_j - t.lost_j);
        let measure_j = if t.brought_j > 0.0 { t.brought_j } else { there_j.abs() };
        (there_j - should_j).abs() / measure_j.max(f64::MIN_POSITIVE)
    }

    /// Refuses a field whose heat does not add up; NaN never does.
    pub fn check_energy(&self, allowed: f64, time_s: f64) -> Result<(), HeatError> {
        let error = self.energy_error();
        if error <= allowed { Ok(()) } else { Err(HeatError::Energy { error, allowed, time_s }) }
    }
}

/// Takes the losses of a slab out of its cells; gives their sum, W.
fn lose(
    link: &Link,
    state: &State,
    ends: bool,
    flux_w_m2: impl Fn(usize) -> f64,
    mut take: impl FnMut(usize, f64),
) -> f64 {
    let mut sum_w = 0.0;
    for free in &state.exposed {
        let flux = flux_w_m2(free.cell);
        take(free.cell, flux * free.length_m * state.per_area[free.cell]);
        sum_w += flux * free.length_m * link.thickness_m;
    }
    let faces = u32::from(link.before.is_none()) + u32::from(link.after.is_none());
    if ends && faces > 0 {
        for (c, per_area) in state.per_area.iter().enumerate().filter(|(_, p)| **p > 0.0) {
            let flux = f64::from(faces) * flux_w_m2(c);
            take(c, flux / link.thickness_m);
            sum_w += flux / per_area;
        }
    }
    sum_w
}

/// What a stage reads.
struct View<'a> {
    links: &'a [Option<Link>],
    states: &'a [State],
    potential: &'a [f64],
    stride: usize,
}

impl<'a> View<'a> {
    fn of(
        links: &'a [Option<Link>],
        states: &'a [State],
        potential: &'a [f64],
        cells: usize,
        row: usize,
    ) -> Self {
        Self { links, states, potential, stride: cells + 2 * row }
    }

    fn near(&self, slot: usize) -> Option<(&'a Link, Near<'a>)> {
        let link = self.links[slot].as_ref()?;
        let slab = |slot: usize| &self.potential[slot * self.stride..(slot + 1) * self.stride];
        let fraction = |n: Option<(usize, usize)>| {
            n.filter(|(_, state)| *state != link.state)
                .map(|(_, state)| self.states[state].fraction.as_slice())
        };
        let near = Near {
            state: &self.states[link.state],
            here: slab(slot),
            before: slab(link.before.map_or(slot, |n| n.0)),
            after: slab(link.after.map_or(slot, |n| n.0)),
            before_fraction: fraction(link.before),
            after_fraction: fraction(link.after),
            over_before: link.over_before,
            over_after: link.over_after,
        };
        Some((link, near))
    }
}

/// Runs over all slots, on one thread or several; every slot writes only its own part.
fn each_slot(
    threads: usize,
    stride: usize,
    out: &mut [f64],
    sums: &mut [f64],
    run: impl Fn(usize, &mut [f64], &mut f64) + Sync,
) {
    let slots = sums.len();
    if threads <= 1 {
        let both = out.chunks_exact_mut(stride).zip(sums);
        both.enumerate().for_each(|(slot, (out, sum))| run(slot, out, sum));
    } else {
        let both = out.par_chunks_exact_mut(stride).zip(sums.par_iter_mut());
        let least = slots.div_ceil(threads).max(1);
        both.enumerate().with_min_len(least).for_each(|(slot, (out, sum))| run(slot, out, sum));
    }
}
