//! The finite-size mass law.

use bands::Band;
use quantities::math;
use sound::{
    element::{Element, Leaf, LeafKind, Part, Sheet},
    iso_12354_1_2017::forced_radiation_factor,
};

/// 50 to 160 Hz, dB.
const PRINTED: [(f64, f64); 6] =
    [(50.0, 10.7), (63.0, 11.9), (80.0, 13.4), (100.0, 14.8), (125.0, 16.3), (160.0, 17.9)];

/// ISO 15186-3:2002, Table A.1: limp plasterboard of 10 kg/m² over 10 m², 23 °C, one printed decimal: mass law with the forced radiation
/// factor, `R = 20 lg(π f m'/(ρ0c0)) − 10 lg(2σ_f)`, ρ0c0 = 411 Pa s/m. The factor here takes c0 = 340 m/s, the table 345 m/s, which is
/// 0.06 dB.
#[test]
fn iso_15186_3_table_a1() {
    let side = 10.0_f64.sqrt();
    for (f, expected) in PRINTED {
        let mass_law = 20.0 * math::log10(math::PI * f * 10.0 / 411.0);
        let found = mass_law - math::db_of_energy(2.0 * forced_radiation_factor(side, side, f));
        assert!((found - expected).abs() < 0.05 + 0.06, "{f} Hz: {found} for {expected}");
    }
}

/// The prediction itself takes Davy's (2009) radiation efficiency at each angle instead of Sewell's mean: the two theories differ by up to
/// 0.5 dB at 10 m² (no published value: a regression bound).
#[test]
fn prediction_lies_near_sewell() {
    let mut leaf = Leaf::thin("limp board", vec![Sheet::from_wave_speed("board", 0.0125, 800.0, 1800.0)]);
    leaf.kind = LeafKind::Limp;
    let side = 10.0_f64.sqrt();
    let parts = vec![Part::Leaf(leaf)];
    let element = Element { name: "limp".into(), width_m: side, height_m: side, parts, ..Element::default() };
    let r = sound::Prepared::new(&element).unwrap().transmission().reduction_index();
    for (f, expected) in PRINTED {
        let found = r.get(Band::from_nominal_hz(f).unwrap());
        assert!((found - expected).abs() < 0.5, "{f} Hz: {found} for {expected}");
    }
}
