//! The inner rungs of the verification ladder: the engine on blocks of cells,
//! without a plate or a pass around it.
//!
//! From the ground up: what the scheme must do exactly ([`exact`]), what it must
//! keep ([`energy`], [`symmetry`], [`losses`], [`section`]), how fast its error
//! must fall ([`order`]), and closed solutions ([`instant`], [`front`]). The
//! outer rungs stand in this crate's `tests`: moving sources, reference
//! problems, cooling times, threads, any numbers at all. The third reference
//! problem, metal that appears in a groove ([`two_passes`]), needs the engine
//! itself.

mod block;
mod energy;
mod exact;
mod front;
mod instant;
mod losses;
mod order;
mod section;
mod symmetry;
mod table;
mod two_passes;
