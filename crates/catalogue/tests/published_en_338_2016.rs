//! EN 338:2016 Table 1, softwood, edgewise bending: all twelve rows.

/// EN 338:2016 Table 1, read from a machine-readable copy of the standard; C16, C18, C24 and C30 agree with
/// a second one. Strengths N/mm², moduli kN/mm², densities kg/m³: printed digits.
#[test]
fn en_338_2016_table_1() {
    let rows: Vec<&str> = include_str!("reference/en_338_2016_table_1.csv")
        .lines()
        .filter(|line| !line.starts_with('#'))
        .skip(1)
        .collect();
    assert_eq!(rows.len(), catalogue::timber_grades().len());
    for row in rows {
        let mut cells = row.split(',');
        let class = cells.next().unwrap();
        let printed: Vec<f64> = cells.map(|cell| cell.parse().unwrap()).collect();
        let grade = catalogue::timber_grade(class).unwrap();
        assert_eq!(grade.name, class);
        let held = [
            grade.bending_strength_n_mm2,
            grade.tension_strength_n_mm2,
            grade.cross_tension_strength_n_mm2,
            grade.compression_strength_n_mm2,
            grade.cross_compression_strength_n_mm2,
            grade.shear_strength_n_mm2,
            grade.modulus_mean_n_mm2 / 1000.0,
            grade.modulus_low_n_mm2 / 1000.0,
            grade.cross_modulus_mean_n_mm2 / 1000.0,
            grade.shear_modulus_mean_n_mm2 / 1000.0,
            grade.density_low_kg_m3,
            grade.density_mean_kg_m3,
        ];
        assert_eq!(printed.len(), held.len());
        for (column, (printed, held)) in printed.iter().zip(held).enumerate() {
            assert!((printed - held).abs() < 1e-9, "{class}, column {column}: {held}, printed {printed}");
        }
    }
}
