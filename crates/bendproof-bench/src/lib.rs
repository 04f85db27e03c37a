//! The web page a shop works at.
