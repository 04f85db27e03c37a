//! Code rules as data, and the small engine that applies them.
