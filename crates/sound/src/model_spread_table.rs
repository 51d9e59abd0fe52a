//! Written by `cargo run -p sound --example model_spread` from `tests/reference/cases.txt`; not by hand.

use crate::model_spread::Kind;

/// Standard deviation of the model, dB, and the number of data behind it, at 63 Hz to 4 kHz in octaves.
#[rustfmt::skip]
pub(crate) const BANDS: [(Kind, [(f64, usize); 7]); 5] = [
    (Kind::SingleLeaf, [(4.7, 18), (3.8, 34), (3.5, 36), (3.0, 36), (3.6, 36), (4.6, 35), (7.4, 35)]),
    (Kind::Masonry, [(4.9, 10), (4.1, 15), (4.1, 13), (3.8, 13), (4.3, 13), (4.0, 13), (7.2, 13)]),
    (Kind::Framed, [(4.9, 17), (3.8, 24), (4.0, 16), (4.1, 16), (5.1, 16), (3.4, 16), (5.6, 16)]),
    (Kind::LightDouble, [(4.7, 4), (3.7, 6), (3.4, 6), (4.1, 6), (5.4, 6), (4.1, 6), (7.3, 6)]),
    (Kind::HeavyDouble, [(6.2, 4), (3.7, 4), (5.3, 4), (4.6, 4), (4.4, 4), (5.7, 4), (8.6, 4)]),
];

/// The same for the single number.
#[rustfmt::skip]
pub(crate) const SINGLE_NUMBERS: [(Kind, f64, usize); 5] = [
    (Kind::SingleLeaf, 2.5, 42),
    (Kind::Masonry, 2.5, 22),
    (Kind::Framed, 1.8, 51),
    (Kind::LightDouble, 2.5, 26),
    (Kind::HeavyDouble, 3.5, 4),
];
