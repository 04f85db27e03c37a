//! People, coupons and their history, kept in SQLite.
