//! The traveler and the welder record as PDF.
