//! From outdoors to a receiver inside.
