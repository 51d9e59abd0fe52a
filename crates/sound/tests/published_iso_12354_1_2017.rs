//! ISO 12354-1:2017, Annex L: radiation factors, loss factors and R of five heavy elements, 50 Hz to 5 kHz.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops where it fails")]

use sound::iso_12354_1_2017::{Edges, Monolithic, critical_frequency_hz, forced_radiation_factor};

struct Element {
    file: &'static str,
    sides_m: (f64, f64),
    thickness_m: f64,
    density: f64,
    speed: f64,
    loss: f64,
    mass: f64,
    printed_fc: f64,
}

const ELEMENTS: [Element; 5] = [
    Element {
        file: include_str!("reference/iso12354_1_2017_annexL_ext1_365mm_AAC.csv"),
        sides_m: (4.0, 2.75),
        thickness_m: 0.365,
        density: 600.0,
        speed: 1900.0,
        loss: 0.0125,
        mass: 219.0,
        printed_fc: 92.6,
    },
    Element {
        file: include_str!("reference/iso12354_1_2017_annexL_ext2_365mm_AAC.csv"),
        sides_m: (5.0, 2.75),
        thickness_m: 0.365,
        density: 600.0,
        speed: 1900.0,
        loss: 0.0125,
        mass: 219.0,
        printed_fc: 92.6,
    },
    Element {
        file: include_str!("reference/iso12354_1_2017_annexL_int1_200mm_calcium_silicate.csv"),
        sides_m: (4.0, 2.75),
        thickness_m: 0.2,
        density: 1800.0,
        speed: 2500.0,
        loss: 0.01,
        mass: 360.0,
        printed_fc: 128.4,
    },
    Element {
        file: include_str!("reference/iso12354_1_2017_annexL_int2_200mm_calcium_silicate.csv"),
        sides_m: (5.0, 2.75),
        thickness_m: 0.2,
        density: 1800.0,
        speed: 2500.0,
        loss: 0.01,
        mass: 360.0,
        printed_fc: 128.4,
    },
    Element {
        file: include_str!("reference/iso12354_1_2017_annexL_floor_220mm_concrete.csv"),
        sides_m: (5.0, 4.0),
        thickness_m: 0.22,
        density: 2200.0,
        speed: 3800.0,
        loss: 0.005,
        mass: 484.0,
        printed_fc: 76.8,
    },
];

/// Rows of frequency, σ, σ_f, η_tot, R.
fn rows(text: &str) -> Vec<[f64; 5]> {
    text.lines()
        .filter(|line| !line.starts_with('#') && !line.starts_with("freq"))
        .map(|line| {
            let values: Vec<f64> = line.split(',').map(|value| value.trim().parse().unwrap()).collect();
            <[f64; 5]>::try_from(values).unwrap()
        })
        .collect()
}

fn plate(element: &Element) -> Monolithic {
    Monolithic {
        width_m: element.sides_m.0,
        height_m: element.sides_m.1,
        mass_kg_m2: element.mass,
        critical_frequency_hz: critical_frequency_hz(element.speed, element.thickness_m),
        longitudinal_impedance_kg_m2_s: element.density * element.speed,
    }
}

/// Tables L.2 and L.3: critical frequencies to the printed digit.
#[test]
fn critical_frequencies_of_annex_l() {
    for element in &ELEMENTS {
        assert!((plate(element).critical_frequency_hz - element.printed_fc).abs() < 0.051);
    }
}

/// Tables L.2 and L.3: radiation factors for free and forced waves, to the fourth printed digit (one unit of it is left for the rounded fc the
/// standard goes on with).
#[test]
fn radiation_factors_of_annex_l() {
    let mut count = 0;
    for element in &ELEMENTS {
        let plate = plate(element);
        for [f, sigma, forced, ..] in rows(element.file) {
            assert!(
                (plate.free_radiation_factor(f) - sigma).abs() < 1.5e-3,
                "{f}: {}",
                plate.free_radiation_factor(f)
            );
            let found = forced_radiation_factor(element.sides_m.0, element.sides_m.1, f);
            assert!((found - forced).abs() < 1.1e-4, "{f}: {found} for {forced}");
            count += 1;
        }
    }
    assert_eq!(count, 105);
}

/// Table L.2: total loss factors of the two elements whose edge sum is printed (2.375 m and 1.840 m).
#[test]
fn loss_factors_of_annex_l() {
    for (element, absorption_length_m) in [(&ELEMENTS[0], 2.375), (&ELEMENTS[3], 1.840)] {
        let plate = plate(element);
        for [f, _, _, eta, _] in rows(element.file) {
            let found = plate.total_loss_factor(element.loss, Edges::InSitu { absorption_length_m }, f);
            assert!((found - eta).abs() < 1.6e-4, "{f}: {found} for {eta}");
        }
    }
}

/// Table L.3: all 105 printed R, with the printed total loss factors, within 0.06 dB.
#[test]
fn reduction_indices_of_annex_l() {
    let mut worst: f64 = 0.0;
    for element in &ELEMENTS {
        let plate = plate(element);
        for [f, _, _, eta, r] in rows(element.file) {
            let found = plate.reduction_index_db(eta, f);
            worst = worst.max((found - r).abs());
            assert!((found - r).abs() < 0.06, "{f} Hz: {found} for {r}");
        }
    }
    assert!(worst > 0.0);
}
