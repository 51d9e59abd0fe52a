//! What is rendered has the levels it must have, and all versions stand at their true levels to each other.

#![allow(clippy::unwrap_used, reason = "a test stops at the first thing that is missing")]

use bands::{BAND_COUNT, Band, Spectrum};
use proof::hear::{Between, Pressure, Scale, Sound, synthesis};

/// A difference as rooms have it: little at low frequency, a dip, much above, a leak that flattens it.
fn difference(gap_db: f64) -> Spectrum {
    Spectrum::from_fn(|band| {
        let octaves = (band.index() as f64 - 6.0) / 3.0;
        let dip = if band.nominal() == "80" { 9.0 } else { 0.0 };
        (32.0 + 7.0 * octaves - dip).min(gap_db)
    })
}

fn sources() -> Vec<(&'static str, Sound)> {
    vec![("kit", synthesis::kit()), ("snare", synthesis::snare()), ("phrase", synthesis::phrase())]
}

/// Third octaves of the rendered sound are those of the source less the difference, within 0.3 dB, in every band that holds something.
#[test]
fn levels_are_source_less_difference() {
    let mut decay_s = [0.35; BAND_COUNT];
    for (at, seconds) in decay_s.iter_mut().enumerate() {
        *seconds += 0.6 / (1.0 + at as f64);
    }
    for (name, sound) in sources() {
        let room = Pressure::at_level(&sound, 100.0).unwrap();
        let total: f64 = room.levels().measured().map(|(_, level)| level).fold(f64::MIN, f64::max);
        for (gap_db, decay_s) in [(60.0, None), (60.0, Some(decay_s)), (42.0, Some(decay_s))] {
            let difference_db = difference(gap_db);
            let heard = room.heard(&Between { difference_db, decay_s, background_db: None });
            // Both are averaged over their own lengths.
            let longer = quantities::math::db_of_energy(heard.pa.len() as f64 / room.pa.len() as f64);
            let (before, after) = (room.levels(), heard.levels());
            let mut checked = 0;
            for band in Band::all() {
                let source = before.get(band).unwrap();
                if source < total - 60.0 {
                    continue;
                }
                checked += 1;
                let off = after.get(band).unwrap() + longer - (source - difference_db.get(band));
                assert!(off.abs() < 0.3, "{name}, {} Hz: {off:.2} dB off", band.nominal());
            }
            assert!(checked >= 15, "{name}: {checked}");
        }
    }
}

/// A background of its own level lies under a quiet sound, band by band.
#[test]
fn the_background_is_at_its_own_level() {
    let room = Pressure::at_level(&synthesis::kit(), 100.0).unwrap();
    let background = Spectrum::from_fn(|band| 40.0 - band.index() as f64);
    let heard = room.heard(&Between {
        difference_db: Spectrum::flat(150.0),
        decay_s: None,
        background_db: Some(background),
    });
    for (band, level) in heard.levels().measured() {
        assert!((level - background.get(band)).abs() < 1.0, "{} Hz: {level}", band.nominal());
    }
}

/// Relative levels of versions are exact: 12 dB more difference in every band is the same sound at a quarter of the pressure.
#[test]
fn versions_stand_at_their_true_levels_to_each_other() {
    let room = Pressure::at_level(&synthesis::snare(), 95.0).unwrap();
    let heard = |more: f64| {
        let between =
            Between { difference_db: difference(50.0).shifted(more), decay_s: None, background_db: None };
        room.heard(&between)
    };
    let (one, other) = (heard(0.0), heard(20.0));
    assert_eq!(one.pa.len(), other.pa.len());
    let scale = Scale::for_all([&one, &other]);
    for (loud, soft) in one.pa.iter().zip(&other.pa) {
        assert!((loud - 10.0 * soft).abs() < 1e-6 * one.peak_pa());
    }
    let peak = scale.samples(&one).iter().map(|sample| sample.abs()).max().unwrap();
    assert!((f64::from(peak) / 8_388_607.0 - 0.7079).abs() < 1e-3);
    assert!(scale.samples(&other).iter().all(|sample| sample.abs() <= peak / 9));
}

/// The filter starts at once: nothing is heard before the stroke.
#[test]
fn nothing_is_heard_before_the_stroke() {
    let mut samples = vec![0.0_f32; 24_000];
    samples[12_000] = 1.0;
    let room = Pressure::at_level(&Sound { samples, rate_hz: 48_000 }, 100.0).unwrap();
    let heard = room.heard(&Between { difference_db: difference(60.0), decay_s: None, background_db: None });
    let energy = |from: usize, to: usize| heard.pa[from..to].iter().map(|p| p * p).sum::<f64>();
    assert!(energy(0, 11_990) < 1e-9 * energy(12_000, 40_000));
}

#[test]
fn sounds_that_cannot_be_rendered_get_a_sentence() {
    let of = |samples: Vec<f32>, rate_hz| {
        Pressure::at_level(&Sound { samples, rate_hz }, 90.0).unwrap_err().to_string()
    };
    assert!(of(vec![], 48_000).contains("empty or silent"));
    assert!(of(vec![0.0; 100], 48_000).contains("empty or silent"));
    assert!(of(vec![f32::NAN; 100], 48_000).contains("no number"));
    assert!(of(vec![0.1; 100], 1).contains("rate of 1 Hz"));
    assert!(of(vec![0.1; 100], 0).contains("rate of 0 Hz"));
}
