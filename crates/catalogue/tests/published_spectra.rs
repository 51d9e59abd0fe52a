//! Shapes of sounds against the publications they are taken from.

use bands::{
    Band,
    iec_61672_1::a_weighting_db,
    iso_717_1_2020::{Range, SoundSpectrum, spectrum_third_octave_db},
};

/// ISO 717-1:2020 Tables 4 and B.1: A-weighted shape of spectrum no. 2 (urban traffic) and no. 1, 50 Hz to 5 kHz,
/// printed in whole decibels.
#[test]
fn iso_717_1_2020_sound_spectra() {
    for (id, number) in [
        ("road-traffic", SoundSpectrum::Two),
        ("railway-slow", SoundSpectrum::Two),
        ("aircraft", SoundSpectrum::Two),
        ("road-traffic-fast", SoundSpectrum::One),
        ("railway", SoundSpectrum::One),
    ] {
        let sound = catalogue::outdoor_sound(id).unwrap();
        // The table is normalised to 0 dB(A) over these bands; the catalogue adds others.
        let within: bands::Readings =
            Band::range(50.0, 5000.0).map(|band| (band, sound.spectrum.get(band))).collect();
        for (band, level) in within.iter() {
            let printed = spectrum_third_octave_db(number, Range::From50To5000, band).unwrap();
            let held = level + a_weighting_db(band) - within.total_a_db();
            assert!(
                (held - printed).abs() <= 0.5001,
                "{id} at {} Hz: {held}, printed {printed}",
                band.nominal()
            );
        }
    }
}

/// ANSI S3.5-1997 standard speech spectra: totals 62.35, 68.34, 74.85 and 82.30 dB. Values from memory.
///
/// The bands held here add up to the printed totals within 0.1 dB, not to the printed hundredth: bands below 160 Hz and
/// above 8 kHz are assumed, and the standard's levels are per hertz.
#[test]
fn ansi_s3_5_1997_overall_levels() {
    for (id, total_db) in
        [("voice-normal", 62.35), ("voice-raised", 68.34), ("voice-loud", 74.85), ("voice-shouting", 82.30)]
    {
        let total = catalogue::source(id).unwrap().spectrum.total_db();
        assert!((total - total_db).abs() < 0.1, "{id}: {total} dB, printed {total_db}");
    }
}
