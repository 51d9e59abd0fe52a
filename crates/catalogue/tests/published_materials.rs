//! Material and door data against the handbooks they are taken from.

/// Bies, Hansen & Howard (2017), Table 7.6, and Rossing (2014), Table 11.4: octaves of doors, printed to 1 dB.
#[test]
fn handbook_door_octaves() {
    let mut doors = 0;
    for line in
        include_str!("reference/door_octaves.csv").lines().filter(|line| !line.starts_with('#')).skip(1)
    {
        let mut cells = line.split(',');
        let door = catalogue::door(cells.next().unwrap()).unwrap();
        let numbers: Vec<Option<f64>> = cells.map(|cell| cell.parse().ok()).collect();
        assert_eq!(numbers.len(), 8, "{line}");
        assert!(numbers[0].is_none_or(|printed| (door.thickness_mm - printed).abs() < 1e-9), "{}", door.id);
        assert!(numbers[1].is_none_or(|printed| (door.mass_kg_m2 - printed).abs() < 1e-9), "{}", door.id);
        let printed: Vec<(f64, f64)> = [125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0]
            .into_iter()
            .zip(numbers.into_iter().skip(2).flatten())
            .collect();
        assert_eq!(door.measured_r_db, printed, "{}", door.id);
        doors += 1;
    }
    assert_eq!(doors, catalogue::doors().iter().filter(|door| !door.measured_r_db.is_empty()).count());
}

/// Hopkins, Sound Insulation (2007), Table A2: density kg/m³, plate speed m/s, Poisson's ratio, loss factor (the middle
/// where a range is printed).
#[test]
fn hopkins_2007_table_a2_boards() {
    for (id, density, speed, poisson, loss) in [
        ("plasterboard-12.5", 680.0, 1810.0, 0.3, Some(0.0125)),
        ("natural-gypsum-plasterboard-12.5", 860.0, 1490.0, 0.3, Some(0.0141)),
        ("fire-plasterboard-15", 800.0, 2010.0, 0.3, None),
        ("osb-18", 590.0, 2570.0, 0.3, Some(0.01)),
        ("birch-plywood-18", 710.0, 3850.0, 0.3, Some(0.016)),
        ("chipboard-22", 760.0, 2200.0, 0.3, Some(0.01)),
        ("mdf-18", 760.0, 2560.0, 0.3, Some(0.01)),
        ("steel-sheet-1", 7800.0, 5270.0, 0.28, Some(0.0001)),
        ("aluminium-sheet-1", 2700.0, 5100.0, 0.34, Some(0.001)),
    ] {
        let sheet = catalogue::sheet(id).unwrap();
        assert!((sheet.density_kg_m3 - density).abs() < 1e-9, "{id}");
        assert!((sheet.plate_speed_m_s() - speed).abs() < 0.5, "{id}: {} m/s", sheet.plate_speed_m_s());
        assert!((sheet.poisson - poisson).abs() < 1e-9, "{id}");
        assert!(loss.is_none_or(|loss| (sheet.loss_factor - loss).abs() < 1e-9), "{id}");
        assert!(sheet.basis.is_published(), "{id}");
    }
    let glass = catalogue::glass("glass-6").unwrap();
    assert!((glass.density_kg_m3 - 2500.0).abs() < 1e-9 && (glass.plate_speed_m_s() - 5200.0).abs() < 0.5);
    assert!(0.003 < glass.loss_factor && glass.loss_factor < 0.006);
}

/// Hopkins, Sound Insulation (2007), Table A2, masonry: density kg/m³ (the middle of a printed range), plate speed
/// m/s, loss factor; Poisson's ratio 0.2 throughout.
#[test]
fn hopkins_2007_table_a2_masonry() {
    for (id, density, speed, loss) in [
        ("concrete-150", 2200.0, 3800.0, 0.005),
        ("aggregate-block-dense-100", 2000.0, 3200.0, 0.01),
        ("aggregate-block-light-100", 1400.0, 2200.0, 0.01),
        ("aerated-block-100", 600.0, 1900.0, 0.0125),
        ("calcium-silicate-block-100", 1800.0, 2500.0, 0.01),
        ("brick-102", 1750.0, 2700.0, 0.01),
        ("render-13", 1600.0, 2450.0, 0.013),
        ("gypsum-plaster-13", 650.0, 1610.0, 0.012),
        ("screed-65", 2000.0, 3250.0, 0.01),
    ] {
        let layer = catalogue::masonry(id).unwrap();
        let held = [layer.density_kg_m3, layer.longitudinal_speed_m_s, layer.loss_factor, layer.poisson];
        for (held, printed) in held.into_iter().zip([density, speed, loss, 0.2]) {
            assert!((held - printed).abs() < 1e-9, "{id}: {held}, printed {printed}");
        }
        assert!(layer.basis.is_published(), "{id}");
    }
}

/// Bies, Hansen & Howard (2017), Table C.1, loss factor in place: gypsum board, plywood 0.05, glass 0.02, steel 0.01;
/// fir plywood 600 kg/m³, 8.3 GPa.
#[test]
fn bies_2017_table_c1() {
    for (id, in_place) in [
        ("plasterboard-12.5", 0.05),
        ("plywood-18", 0.05),
        ("birch-plywood-12", 0.05),
        ("steel-sheet-1.5", 0.01),
    ] {
        let sheet = catalogue::sheet(id).unwrap();
        assert!((sheet.loss_factor_in_place - in_place).abs() < 1e-9, "{id}");
    }
    assert!((catalogue::glass("glass-4").unwrap().loss_factor_in_place - 0.02).abs() < 1e-9);
    let plywood = catalogue::sheet("plywood-18").unwrap();
    assert!((plywood.density_kg_m3 - 600.0).abs() < 1e-9 && (plywood.youngs_modulus_gpa - 8.3).abs() < 1e-9);
}

/// Cox & D'Antonio, Acoustic Absorbers and Diffusers, Table 6.2: flow resistivity within the printed ranges, Pa s/m².
#[test]
fn cox_dantonio_table_6_2() {
    for (id, low, high) in [
        ("melamine-foam-10kg", 10_500.0, 17_500.0),
        ("polyurethane-foam-30kg", 4_500.0, 12_900.0),
        ("felt-fibre-80kg", 26_000.0, 73_300.0),
    ] {
        let flow = catalogue::fill(id).unwrap().flow_resistivity_pa_s_m2;
        assert!(low < flow && flow < high, "{id}: {flow}");
    }
    for fill in catalogue::fills().iter().filter(|fill| fill.id.starts_with("mineral-wool")) {
        assert!((1000.0..=150_000.0).contains(&fill.flow_resistivity_pa_s_m2), "{}", fill.id);
        assert!((0.92..=0.99).contains(&fill.porosity), "{}", fill.id);
    }
}

/// EN ISO 10456 values: plasterboard λ 0.21 and μ 10/4, wood-based boards and wood, polyethylene and foil s_d. Values
/// from memory, but for OSB λ 0.13, μ wet 30 and mineral wool μ 1, which a building code's catalogue gives as well.
#[test]
fn en_iso_10456_from_memory() {
    use catalogue::Vapour;
    for (id, conductivity, dry, wet) in [
        ("plasterboard-12.5", 0.21, 10.0, 4.0),
        ("dense-plasterboard-15", 0.25, 10.0, 4.0),
        ("osb-18", 0.13, 50.0, 30.0),
        ("plywood-18", 0.13, 200.0, 70.0),
        ("softwood-boarding-19", 0.13, 50.0, 20.0),
    ] {
        let sheet = catalogue::sheet(id).unwrap();
        assert!((sheet.conductivity_w_m_k - conductivity).abs() < 1e-9, "{id}");
        assert_eq!(sheet.vapour, Vapour::Factor { dry, wet }, "{id}");
    }
    for (id, sd_m) in [
        ("polyethylene-sheet-0.15", 50.0),
        ("polyethylene-sheet-0.25", 100.0),
        ("aluminium-foil-0.05", 1500.0),
    ] {
        assert!((catalogue::membrane(id).unwrap().sd_m - sd_m).abs() < 1e-9, "{id}");
    }
    assert_eq!(catalogue::fill("mineral-wool-20kg").unwrap().vapour, Vapour::Factor { dry: 1.0, wet: 1.0 });
}
