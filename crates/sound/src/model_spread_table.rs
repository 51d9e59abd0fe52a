//! Written by `cargo run -p sound --example model_spread` from `tests/reference/cases.txt`; not by hand.

use crate::model_spread::Kind;

/// Standard deviation of the model, dB, and the number of data behind it, at 63 Hz to 4 kHz in octaves.
#[rustfmt::skip]
pub(crate) const BANDS: [(Kind, [(f64, usize); 7]); 5] = [
    (Kind::SingleLeaf, [(5.7, 18), (4.8, 34), (4.2, 36), (3.6, 36), (3.9, 36), (5.2, 35), (10.1, 35)]),
    (Kind::Masonry, [(7.1, 10), (4.4, 15), (3.7, 13), (3.9, 13), (4.4, 13), (4.7, 13), (8.1, 13)]),
    (Kind::Framed, [(5.7, 17), (3.9, 24), (4.4, 16), (4.3, 16), (5.1, 16), (6.4, 16), (6.2, 16)]),
    (Kind::LightDouble, [(6.0, 4), (3.8, 6), (4.5, 6), (5.2, 6), (5.2, 6), (5.2, 6), (9.1, 6)]),
    (Kind::HeavyDouble, [(8.5, 4), (6.3, 4), (5.6, 4), (5.1, 4), (4.4, 4), (6.8, 4), (10.0, 4)]),
];

/// The same for the single number.
#[rustfmt::skip]
pub(crate) const SINGLE_NUMBERS: [(Kind, f64, usize); 5] = [
    (Kind::SingleLeaf, 2.6, 42),
    (Kind::Masonry, 2.6, 22),
    (Kind::Framed, 1.9, 51),
    (Kind::LightDouble, 3.9, 26),
    (Kind::HeavyDouble, 3.5, 4),
];
