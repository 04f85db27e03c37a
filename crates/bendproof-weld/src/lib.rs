//! Domain model of a welded test piece and its small physics.
