//! Written by `cargo run -p sound --example model_spread` from `tests/reference/cases.txt`; not by hand.

use crate::model_spread::Kind;

/// Standard deviation of the model, dB, and the number of data behind it, at 63 Hz to 4 kHz in octaves.
#[rustfmt::skip]
         pub(crate) const BANDS: [(Kind, [(f64, usize); 7]); 4] = [
    (Kind::SingleLeaf, [(5.5, 18), (4.8, 34), (4.2, 36), (3.5, 36), (4.1, 36), (5.2, 35), (10.1, 35)]),
    (Kind::Masonry, [(6.9, 10), (4.5, 15), (3.8, 13), (3.7, 13), (5.2, 13), (5.3, 13), (8.8, 13)]),
    (Kind::LightDouble, [(5.5, 21), (3.8, 30), (4.6, 22), (5.3, 22), (5.8, 22), (6.5, 22), (6.8, 22)]),
    (Kind::HeavyDouble, [(8.7, 4), (5.0, 4), (6.2, 4), (3.6, 4), (6.3, 4), (8.0, 4), (10.2, 4)]),
];

/// The same for the single number.
#[rustfmt::skip]
pub(crate) const SINGLE_NUMBERS: [(Kind, f64, usize); 4] = [
    (Kind::SingleLeaf, 2.6, 42),
    (Kind::Masonry, 2.6, 22),
    (Kind::LightDouble, 2.6, 77),
    (Kind::HeavyDouble, 3.2, 4),
];
