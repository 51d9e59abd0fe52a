//! Noise-rating (NR) curves: `L = a + b N` in each octave from 31.5 Hz to 8 kHz.
//!
//! Constants after AS 1469:1983 (the curves of Kosten and van Os, 1962, and of the withdrawn ISO/R 1996:1971).

use serde::Serialize;

use crate::{OCTAVE_COUNT, OctaveBand, Octaves, Spectrum};

/// The rating of a spectrum and what makes it so.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NoiseRating {
    /// The number of the highest curve the spectrum touches, not rounded. The curves are drawn from NR 0 to NR 130;
    /// a number below 0 means quieter than any of them.
    pub rating: f64,
    /// The octave that touches it.
    pub governing: OctaveBand,
    /// The number of the curve touched in each octave.
    pub by_octave: Octaves,
}

impl NoiseRating {
    /// The rating as it is quoted: the next whole number up.
    pub fn quoted(&self) -> i32 {
        // A level on the curve gives its number back only to the last digit of the arithmetic.
        (self.rating - 1e-9).ceil() as i32
    }
}

/// Level of curve NR N in an octave, `L = a + b N`, dB.
///
/// ```
/// use bands::{OctaveBand, noise_rating::curve_db};
/// let octave = OctaveBand::from_nominal_hz(1000.0).unwrap();
/// assert_eq!(curve_db(25.0, octave), 25.0);
/// ```
pub fn curve_db(rating: f64, octave: OctaveBand) -> f64 {
    let (a, b) = CONSTANTS[octave.index()];
    a + b * rating
}

/// The whole curve NR N, dB.
pub fn curve(rating: f64) -> Octaves {
    Octaves::from_fn(|octave| curve_db(rating, octave))
}

/// The number of the curve that a level touches in an octave, `N = (L − a) / b`.
pub fn number_touched(level_db: f64, octave: OctaveBand) -> f64 {
    let (a, b) = CONSTANTS[octave.index()];
    (level_db - a) / b
}

/// Rating of octave levels: the highest curve touched in any octave (the lowest octave of equals). An octave whose
/// level is not a finite number counts as silent.
pub fn rate_noise(levels: &Octaves) -> NoiseRating {
    let by_octave =
        levels.map(|octave, level| number_touched(if level.is_finite() { level } else { SILENT_DB }, octave));
    let mut governing = OctaveBand::LOWEST;
    for octave in OctaveBand::all() {
        if by_octave.get(octave) > by_octave.get(governing) {
            governing = octave;
        }
    }
    NoiseRating { rating: by_octave.get(governing), governing, by_octave }
}

/// Rating of a third-octave level spectrum.
pub fn rate_noise_spectrum(levels: &Spectrum) -> NoiseRating {
    rate_noise(&Octaves::of_levels(levels))
}

/// Stands for no sound at all: far under every curve, yet a number.
const SILENT_DB: f64 = -200.0;

/// Constants a and b of each octave, 31.5 Hz first.
const CONSTANTS: [(f64, f64); OCTAVE_COUNT] = [
    (55.4, 0.681),
    (35.5, 0.790),
    (22.0, 0.870),
    (12.0, 0.930),
    (4.8, 0.974),
    (0.0, 1.0),
    (-3.5, 1.015),
    (-6.1, 1.025),
    (-8.0, 1.030),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_curve_rates_as_itself() {
        for number in [0.0, 15.0, 25.0, 60.0, 130.0] {
            let rated = rate_noise(&curve(number));
            assert!((rated.rating - number).abs() < 1e-9);
            assert_eq!(rated.quoted(), number as i32);
        }
    }

    #[test]
    fn the_octave_that_stands_out_governs() {
        let mut levels = curve(20.0);
        let hum = OctaveBand::from_nominal_hz(125.0).unwrap();
        levels.set(hum, curve_db(31.2, hum));
        let rated = rate_noise(&levels);
        assert_eq!((rated.governing, rated.quoted()), (hum, 32));
    }

    #[test]
    fn silence_and_nonsense_still_give_a_number() {
        for level in [f64::NEG_INFINITY, f64::NAN] {
            let rating = rate_noise(&Octaves::from_fn(|_| level)).rating;
            assert!(rating.is_finite() && rating < 0.0, "{rating}");
        }
    }

    #[test]
    fn the_lowest_of_octaves_on_one_curve_governs() {
        // NR 50 is one of those whose arithmetic comes out even in all octaves.
        let rated = rate_noise(&curve(50.0));
        assert_eq!((rated.rating, rated.governing), (50.0, OctaveBand::LOWEST));
    }
}
