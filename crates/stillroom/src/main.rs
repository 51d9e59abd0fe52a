//! Stillroom.
fn main() {}
