//! What must hold for any spectrum.

use bands::{
    Band, OctaveReadings, Octaves, Readings, Spectrum, astm_e413,
    iso_717_1_2020::{self as iso, Precision},
    noise_rating, rate, rate_octaves, rate_spectrum,
};
use proptest::prelude::*;

fn insulation() -> impl Strategy<Value = Spectrum> {
    proptest::collection::vec(0.0_f64..90.0, 27)
        .prop_map(|values| Spectrum::from_fn(|band| values.get(band.index()).copied().unwrap_or(0.0)))
}

fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![Just(f64::NAN), Just(f64::INFINITY), Just(f64::NEG_INFINITY), any::<f64>(), -50.0_f64..150.0]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, ..ProptestConfig::default() })]

    /// The curve is as high as it may be: allowed where it is, not one step further.
    #[test]
    fn the_curve_is_shifted_as_far_as_allowed(spectrum in insulation()) {
        for (precision, step) in [(Precision::Whole, 1.0), (Precision::Tenth, 0.1)] {
            let weighted = iso::weigh_third_octaves(|band| Some(spectrum.get(band)), precision).unwrap();
            let sum_at = |rw: f64| -> f64 {
                Band::range(100.0, 3150.0)
                    .map(|band| {
                        let tenth = (spectrum.get(band) * 10.0 + 0.5).floor() / 10.0;
                        (iso::reference_third_octave_db(band).unwrap() + rw - 52.0 - tenth).max(0.0)
                    })
                    .sum()
            };
            prop_assert!((sum_at(weighted.value_db) - weighted.unfavourable_sum_db).abs() < 1e-6);
            prop_assert!(weighted.unfavourable_sum_db <= 32.0);
            prop_assert!(sum_at(weighted.value_db + step) > 32.0 + 1e-6);
        }
    }

    /// A whole decibel more in every band is a whole decibel more in every rating, with the same terms.
    #[test]
    fn ratings_follow_a_shift(spectrum in insulation(), by in -5_i32..20) {
        let spectrum = spectrum.map(|_, value| (value * 10.0).round() / 10.0);
        let moved = spectrum.map(|_, value| ((value + f64::from(by)) * 10.0).round() / 10.0);
        let (before, after) = (rate_spectrum(&spectrum).unwrap(), rate_spectrum(&moved).unwrap());
        prop_assert_eq!(after.rw_db, before.rw_db + by);
        prop_assert_eq!(after.stc_db, before.stc_db.map(|stc| stc + by));
        prop_assert!((after.unfavourable_sum_db - before.unfavourable_sum_db).abs() < 1e-9);
    }

    /// More insulation in a band never lowers a rating.
    #[test]
    fn a_better_band_never_rates_worse(spectrum in insulation(), at in 0_usize..27, by in 0.0_f64..30.0) {
        let mut better = spectrum;
        let band = Band::at(at).unwrap();
        better.set(band, spectrum.get(band) + by);
        let (before, after) = (rate_spectrum(&spectrum).unwrap(), rate_spectrum(&better).unwrap());
        prop_assert!(after.rw_db >= before.rw_db && after.stc_db >= before.stc_db);
        prop_assert!(after.rw_db + after.ctr_db >= before.rw_db + before.ctr_db);
        let sum = |r: &bands::Ratings| r.ctr50_5000_db.map(|term| r.rw_db + term);
        prop_assert!(sum(&after) >= sum(&before));
    }

    /// The contour obeys both rules and could not go higher.
    #[test]
    fn the_contour_is_as_high_as_allowed(spectrum in insulation()) {
        let stc = astm_e413::classify(|band| Some(spectrum.get(band))).unwrap();
        prop_assert!(stc.deficiency_sum_db <= 32 && stc.largest_deficiency_db <= 8);
        let next: Vec<i32> = astm_e413::third_octaves()
            .map(|band| {
                let loss = (spectrum.get(band) + 0.5).floor() as i32;
                (stc.stc_db + 1 + astm_e413::contour_db(band).unwrap() - loss).max(0)
            })
            .collect();
        prop_assert!(next.iter().sum::<i32>() > 32 || next.iter().any(|&under| under > 8));
    }

    /// Octaves of reductions lie between the best and the worst of their thirds, levels never under the loudest.
    #[test]
    fn octaves_lie_where_their_thirds_do(spectrum in insulation()) {
        let reductions = Octaves::of_reductions(&spectrum);
        let levels = Octaves::of_levels(&spectrum);
        for (octave, value) in reductions.iter() {
            let thirds: Vec<f64> = octave.thirds().map(|band| spectrum.get(band)).collect();
            let worst = thirds.iter().copied().fold(f64::INFINITY, f64::min);
            let best = thirds.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            prop_assert!(worst - 1e-9 <= value && value <= best + 1e-9);
            prop_assert!(levels.get(octave) >= best - 1e-9);
        }
    }

    /// The noise rating is where its octave touches the curve; no octave is above that curve.
    #[test]
    fn no_octave_is_above_the_rated_curve(spectrum in insulation()) {
        let levels = Octaves::of_levels(&spectrum);
        let rated = noise_rating::rate_noise(&levels);
        for (octave, level) in levels.iter() {
            prop_assert!(level <= noise_rating::curve_db(rated.rating, octave) + 1e-9);
        }
        let touched = noise_rating::curve_db(rated.rating, rated.governing);
        prop_assert!((levels.get(rated.governing) - touched).abs() < 1e-9);
    }

    /// Any readings at all give a rating of finite numbers or a sentence.
    #[test]
    fn any_readings_are_answered(values in proptest::collection::vec(proptest::option::of(any_number()), 27)) {
        let readings: Readings = Band::all()
            .zip(&values)
            .filter_map(|(band, value)| value.map(|value| (band, value)))
            .collect();
        match rate(&readings) {
            Ok(ratings) => prop_assert!(ratings.rw_exact_db.is_finite() && ratings.c_exact_db.is_finite()),
            Err(error) => prop_assert!(error.to_string().ends_with('.')),
        }
        let octaves: OctaveReadings = bands::OctaveBand::all()
            .zip(&values)
            .filter_map(|(octave, value)| value.map(|value| (octave, value)))
            .collect();
        if let Err(error) = rate_octaves(&octaves) {
            prop_assert!(error.to_string().ends_with('.'));
        }
    }
}
