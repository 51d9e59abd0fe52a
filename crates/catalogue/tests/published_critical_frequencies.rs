//! Thickness times critical frequency of the materials, `h f_c = c₀² √12 / (2 π c_L)`.

const C0: f64 = 343.0;

fn product_hz_m(plate_speed_m_s: f64) -> f64 {
    C0 * C0 * 12_f64.sqrt() / (2.0 * std::f64::consts::PI * plate_speed_m_s)
}

#[track_caller]
fn check(id: &str, plate_speed_m_s: f64, printed_hz_m: f64) {
    let product = product_hz_m(plate_speed_m_s);
    assert!((product - printed_hz_m).abs() <= 0.0501, "{id}: h fc = {product}, printed {printed_hz_m}");
}

/// Hopkins, Sound Insulation (2007), Table A2, last column (c₀ = 343 m/s), printed to 0.1 Hz m.
#[test]
fn hopkins_2007_table_a2_boards() {
    for (id, printed) in [
        ("plasterboard-12.5", 35.8),
        ("natural-gypsum-plasterboard-12.5", 43.5),
        ("birch-plywood-18", 16.8),
        ("osb-18", 25.2),
        ("chipboard-22", 29.5),
        ("mdf-18", 25.3),
        ("steel-sheet-1", 12.3),
        ("aluminium-sheet-1", 12.7),
    ] {
        check(id, catalogue::sheet(id).unwrap().plate_speed_m_s(), printed);
    }
}

/// Hopkins, Sound Insulation (2007), Table A2, last column (c₀ = 343 m/s), printed to 0.1 Hz m.
#[test]
fn hopkins_2007_table_a2_glass_and_masonry() {
    check("glass-6", catalogue::glass("glass-6").unwrap().plate_speed_m_s(), 12.5);
    for (id, printed) in [
        ("concrete-150", 17.1),
        ("brick-102", 24.0),
        ("aerated-block-100", 34.1),
        ("aggregate-block-dense-100", 20.3),
        ("aggregate-block-light-100", 29.5),
        ("render-13", 26.5),
        ("gypsum-plaster-13", 40.3),
        ("screed-65", 20.0),
    ] {
        check(id, catalogue::masonry(id).unwrap().longitudinal_speed_m_s, printed);
    }
}

/// Long, Architectural Acoustics, Table 9.1: 55 Hz m for lead, printed to 1 Hz m.
#[test]
fn long_table_9_1_lead() {
    let product = product_hz_m(catalogue::sheet("lead-sheet-1.8").unwrap().plate_speed_m_s());
    assert!((product - 55.0).abs() <= 0.5, "{product}");
}

/// ISO 12354-1:2017 Annex L: mass and critical frequency (c₀ = 340 m/s, `f_c = c₀² / (1.8 c_L t)`) of the elements
/// of its example, printed to 1 kg/m² and 0.1 Hz.
#[test]
fn iso_12354_1_2017_annex_l_elements() {
    for (id, mass, critical_hz) in [
        ("concrete-220", 484.0, 76.8),
        ("aerated-block-365", 219.0, 92.6),
        ("calcium-silicate-block-200", 360.0, 128.4),
    ] {
        let layer = catalogue::masonry(id).unwrap();
        assert!((layer.mass_kg_m2() - mass).abs() <= 0.5, "{id}: {} kg/m²", layer.mass_kg_m2());
        let critical = 340.0 * 340.0 / (1.8 * layer.longitudinal_speed_m_s * layer.thickness_mm / 1000.0);
        assert!((critical - critical_hz).abs() <= 0.0501, "{id}: {critical} Hz");
    }
}
