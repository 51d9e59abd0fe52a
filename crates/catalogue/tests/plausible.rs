//! Every number of the catalogue is finite and lies where a number of its kind can lie; every id is unique.

use std::collections::BTreeMap;

use catalogue::{Basis, Entry, Kind, PlateSpread, Vapour};

/// A field, its value and the range it must lie in.
type Ranged = (&'static str, f64, f64, f64);

#[track_caller]
fn check<E: Entry>(fields: impl Fn(&E) -> Vec<Ranged>) {
    assert!(!E::all().is_empty(), "{:?} has no entries", E::KIND);
    for entry in E::all() {
        let id = entry.id();
        for (field, value, low, high) in fields(entry) {
            assert!(
                value.is_finite() && low <= value && value <= high,
                "{id}: {field} = {value}, not {low} to {high}"
            );
        }
        assert!(!entry.name().is_empty() && entry.name().len() < 70, "{id}: name");
        let text = entry.basis().text();
        assert!(text.len() > 8 && !text.contains("  "), "{id}: basis `{text}`");
    }
}

fn plate_spread(spread: PlateSpread) -> Vec<Ranged> {
    vec![
        ("density spread", spread.density, 0.005, 0.2),
        ("stiffness spread", spread.youngs_modulus, 0.02, 0.6),
        ("loss spread", spread.loss_factor, 0.1, 0.8),
    ]
}

fn vapour(vapour: Vapour) -> Vec<Ranged> {
    match vapour {
        Vapour::Factor { dry, wet } => {
            assert!(wet <= dry, "μ wet {wet} over μ dry {dry}");
            vec![("μ dry", dry, 1.0, 100_000.0), ("μ wet", wet, 1.0, 100_000.0)]
        }
        Vapour::AirLayer { sd_m } => vec![("sd", sd_m, 0.01, 2000.0)],
    }
}

#[test]
fn ids_are_unique_plain_words() {
    let mut seen: BTreeMap<&str, Kind> = BTreeMap::new();
    for kind in Kind::ALL {
        for id in catalogue::ids(kind) {
            assert_eq!(seen.insert(id, kind), None, "{id} twice");
            assert!(
                id.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-' || c == '.'),
                "{id} is not plain kebab-case"
            );
            assert!(id.len() <= 40 && !id.starts_with('-') && !id.ends_with('-'), "{id}");
            assert_eq!(catalogue::kind_of(id), Some(kind));
            assert_eq!(catalogue::nearest_id(kind, id), Some(id));
        }
    }
    assert!(seen.len() > 250, "{}", seen.len());
}

#[test]
fn every_typical_entry_says_so() {
    fn bases<E: Entry>(all: &mut Vec<Basis>) {
        all.extend(E::all().iter().map(Entry::basis));
    }
    let mut all = Vec::new();
    bases::<catalogue::Sheet>(&mut all);
    bases::<catalogue::Clip>(&mut all);
    bases::<catalogue::Source>(&mut all);
    for basis in all {
        assert_eq!(basis.is_published(), !basis.text().starts_with("typical, no source"));
    }
    assert!(
        catalogue::clips().iter().all(|clip| !clip.basis.is_published()),
        "no clip has a published stiffness"
    );
}

#[test]
fn sheets() {
    check::<catalogue::Sheet>(|sheet| {
        let mut fields = vec![
            ("thickness_mm", sheet.thickness_mm, 0.4, 40.0),
            ("density_kg_m3", sheet.density_kg_m3, 200.0, 12_000.0),
            ("youngs_modulus_gpa", sheet.youngs_modulus_gpa, 0.01, 210.0),
            ("poisson", sheet.poisson, 0.1, 0.49),
            ("loss_factor", sheet.loss_factor, 0.0001, 0.3),
            ("loss_factor_in_place", sheet.loss_factor_in_place, sheet.loss_factor, 0.4),
            ("conductivity", sheet.conductivity_w_m_k, 0.03, 240.0),
            ("mass", sheet.mass_kg_m2(), 1.0, 30.0),
            ("plate speed", sheet.plate_speed_m_s(), 80.0, 5500.0),
        ];
        fields.extend(plate_spread(sheet.spread));
        fields.extend(vapour(sheet.vapour));
        for format in sheet.formats {
            assert!(format.length_mm >= format.width_mm, "{}", sheet.id);
            fields.push(("length_mm", format.length_mm, 900.0, 6000.0));
            fields.push(("width_mm", format.width_mm, 90.0, 1250.0));
        }
        assert!(!sheet.formats.is_empty(), "{}", sheet.id);
        fields
    });
    assert!(catalogue::sheet("sand-filled-board-15").is_some_and(|sheet| sheet.tape_cut_edges));
}

#[test]
fn masonry() {
    check::<catalogue::Masonry>(|layer| {
        let mut fields = vec![
            ("thickness_mm", layer.thickness_mm, 2.0, 500.0),
            ("density_kg_m3", layer.density_kg_m3, 350.0, 2600.0),
            ("speed", layer.longitudinal_speed_m_s, 1000.0, 4200.0),
            ("poisson", layer.poisson, 0.1, 0.3),
            ("loss_factor", layer.loss_factor, 0.002, 0.05),
            ("conductivity", layer.conductivity_w_m_k, 0.1, 3.0),
            ("mass", layer.mass_kg_m2(), 1.5, 1200.0),
            ("stiffness", layer.youngs_modulus_gpa(), 1.0, 40.0),
            ("density spread", layer.spread.density, 0.01, 0.2),
            ("speed spread", layer.spread.longitudinal_speed, 0.02, 0.25),
            ("loss spread", layer.spread.loss_factor, 0.1, 0.8),
        ];
        fields.extend(vapour(layer.vapour));
        fields
    });
}

#[test]
fn fills_and_membranes() {
    check::<catalogue::Fill>(|fill| {
        let mut fields = vec![
            ("density", fill.density_kg_m3, 8.0, 200.0),
            (
                "flow resistivity",
                fill.flow_resistivity_pa_s_m2,
                1000.0,
                if fill.closed_cell { 1e6 } else { 150_000.0 },
            ),
            ("flow resistivity spread", fill.flow_resistivity_spread, 0.1, 0.7),
            ("porosity", fill.porosity, if fill.closed_cell { 0.0 } else { 0.85 }, 0.995),
            ("conductivity", fill.conductivity_w_m_k, 0.018, 0.06),
        ];
        fields.extend(vapour(fill.vapour));
        fields.extend(fill.thicknesses_mm.iter().map(|&thickness| ("thickness", thickness, 10.0, 300.0)));
        assert!(fill.thicknesses_mm.is_sorted(), "{}", fill.id);
        fields
    });
    check::<catalogue::Membrane>(|membrane| {
        vec![
            ("thickness", membrane.thickness_mm, 0.04, 12.0),
            ("mass", membrane.mass_kg_m2, 0.05, 20.0),
            ("sd", membrane.sd_m, 0.01, 2000.0),
            ("conductivity", membrane.conductivity_w_m_k, 0.1, 240.0),
        ]
    });
}

#[test]
fn denser_wool_resists_more() {
    let wools: Vec<_> =
        catalogue::fills().iter().filter(|fill| fill.id.starts_with("mineral-wool")).collect();
    assert!(
        wools.is_sorted_by(|a, b| a.density_kg_m3 < b.density_kg_m3
            && a.flow_resistivity_pa_s_m2 < b.flow_resistivity_pa_s_m2)
    );
}

#[test]
fn panes_doors_and_seals() {
    check::<catalogue::Glass>(|pane| {
        let mut fields = vec![
            ("thickness", pane.thickness_mm, 2.0, 25.0),
            ("density", pane.density_kg_m3, 2200.0, 2600.0),
            ("stiffness", pane.youngs_modulus_gpa, 15.0, 75.0),
            ("poisson", pane.poisson, 0.2, 0.3),
            ("loss", pane.loss_factor, 0.001, 0.4),
            ("loss in place", pane.loss_factor_in_place, pane.loss_factor, 0.4),
            ("conductivity", pane.conductivity_w_m_k, 0.5, 1.2),
        ];
        fields.extend(plate_spread(pane.spread));
        assert_eq!(pane.laminated, pane.id.contains("laminated"));
        fields
    });
    check::<catalogue::Door>(|door| {
        let mut fields = vec![
            ("thickness", door.thickness_mm, 0.5, 150.0),
            ("mass", door.mass_kg_m2, 5.0, 150.0),
            ("stiffness", door.equivalent_youngs_modulus_gpa, 0.5, 210.0),
            ("poisson", door.poisson, 0.2, 0.4),
            ("loss", door.loss_factor, 0.005, 0.2),
            ("transmittance", door.transmittance_w_m2_k, 0.5, 6.5),
        ];
        fields.extend(plate_spread(door.spread));
        fields.extend(door.measured_r_db.iter().map(|&(_, r)| ("measured R", r, 5.0, 80.0)));
        assert!(door.measured_r_db.is_sorted_by(|a, b| a.0 < b.0), "{}", door.id);
        fields
    });
    check::<catalogue::Seal>(|seal| {
        vec![
            ("slit width", seal.slit_width_mm, 0.0005, 10.0),
            ("depth", seal.depth_mm, 5.0, 100.0),
            ("spread", seal.width_spread, 0.2, 1.0),
        ]
    });
}

#[test]
fn supports() {
    check::<catalogue::Stud>(|stud| {
        vec![
            ("depth", stud.depth_mm, 40.0, 250.0),
            ("width", stud.width_mm, 30.0, 60.0),
            ("compliance", stud.compliance_m2_n, 0.0, 1e-5),
            ("spread", stud.compliance_spread, 0.0, 0.7),
            ("mass", stud.mass_kg_m, 0.4, 6.0),
            ("conductivity", stud.conductivity_w_m_k, 0.1, 60.0),
        ]
    });
    check::<catalogue::Clip>(|clip| {
        vec![
            ("drop", clip.drop_mm, 10.0, 200.0),
            (
                "stiffness",
                clip.stiffness_n_m,
                if clip.resilient { 5e3 } else { 1e6 },
                if clip.resilient { 3e5 } else { 1e8 },
            ),
            ("spread", clip.stiffness_spread, 0.2, 0.6),
            ("loss", clip.loss_factor, 0.01, 0.3),
        ]
    });
    check::<catalogue::Bar>(|bar| {
        vec![
            ("width", bar.width_mm, 10.0, 80.0),
            ("depth", bar.depth_mm, 10.0, 60.0),
            ("stock length", bar.stock_length_mm, 2400.0, 6000.0),
            ("mass", bar.mass_kg_m, 0.2, 1.5),
            ("compliance", bar.compliance_m2_n, 0.0, 1e-4),
            ("spread", bar.compliance_spread, 0.0, 0.7),
        ]
    });
    check::<catalogue::Tie>(|tie| {
        vec![
            ("stiffness", tie.stiffness_n_m, 1e5, 1e8),
            ("spread", tie.stiffness_spread, 0.2, 0.6),
            ("number", tie.number_per_m2, 1.0, 6.0),
        ]
    });
}

#[test]
fn grades_coverings_and_activities() {
    check::<catalogue::TimberGrade>(|grade| {
        vec![
            ("bending", grade.bending_strength_n_mm2, 14.0, 50.0),
            ("tension", grade.tension_strength_n_mm2, 7.0, 34.0),
            ("shear", grade.shear_strength_n_mm2, 3.0, 4.0),
            ("modulus", grade.modulus_mean_n_mm2, 7000.0, 16_000.0),
            (
                "low modulus",
                grade.modulus_low_n_mm2,
                0.65 * grade.modulus_mean_n_mm2,
                0.68 * grade.modulus_mean_n_mm2,
            ),
            (
                "shear modulus",
                grade.shear_modulus_mean_n_mm2,
                grade.modulus_mean_n_mm2 / 16.5,
                grade.modulus_mean_n_mm2 / 15.5,
            ),
            ("low density", grade.density_low_kg_m3, 290.0, grade.density_mean_kg_m3),
            ("mean density", grade.density_mean_kg_m3, 350.0, 520.0),
        ]
    });
    check::<catalogue::Covering>(|covering| {
        vec![
            ("load", covering.load_kn_m2, 0.01, 1.5),
            ("low load", covering.load_low_kn_m2, 0.005, covering.load_kn_m2),
        ]
    });
    check::<catalogue::Activity>(|activity| {
        vec![
            ("met", activity.met, 0.8, 8.0),
            ("co2", activity.co2_l_s, 0.003, 0.03),
            // Persily & de Jonge (2017): 0.0056 L/s for the man of 85 kg at 1.5 met.
            ("co2 a met", activity.co2_l_s / activity.met, 0.00373, 0.00375),
            ("moisture", activity.moisture_g_h, 30.0, 400.0),
            ("heat", activity.heat_w, 90.0, 700.0),
        ]
    });
}

#[test]
fn every_sound_adds_up_to_its_total() {
    fn level(id: &str, spectrum: &bands::Spectrum, level_db_a: f64) -> Vec<Ranged> {
        let total = spectrum.total_a_db();
        assert!((total - level_db_a).abs() < 0.05, "{id}: {total} dB(A), entered as {level_db_a}");
        spectrum.values_db().iter().map(|&value| ("band level", value, -20.0, 115.0)).collect()
    }
    check::<catalogue::Source>(|source| {
        let mut fields = level(source.id, &source.spectrum, source.level_db_a);
        fields.push(("spread", source.level_spread_db, 2.0, 6.0));
        fields.push(("peak", source.peak_over_average_db, source.maximum_over_average_db, 35.0));
        fields.push(("maximum", source.maximum_over_average_db, 3.0, 15.0));
        fields
    });
    check::<catalogue::OutdoorSound>(|sound| {
        let mut fields = level(sound.id, &sound.spectrum, sound.level_db_a);
        fields.push(("spread", sound.level_spread_db, 2.0, 8.0));
        fields.push(("maximum", sound.maximum_over_average_db, 3.0, 25.0));
        fields
    });
    check::<catalogue::Background>(|background| {
        let mut fields = level(background.id, &background.spectrum, background.level_db_a);
        fields.push(("spread", background.level_spread_db, 2.0, 8.0));
        fields
    });
    let drums = catalogue::source("drum-kit").unwrap();
    assert!((drums.spectrum_at(90.0).total_a_db() - 90.0).abs() < 0.05);
}

#[test]
fn everything_serialises_with_its_source() {
    let text = serde_json::to_value(catalogue::sheet("dense-plasterboard-15").unwrap()).unwrap();
    assert_eq!(text["id"], "dense-plasterboard-15");
    assert!(text["basis"].as_str().unwrap().starts_with("typical, no source"));
    assert_eq!(text["family"], "gypsum");
    let text = serde_json::to_value(catalogue::source("drum-kit").unwrap()).unwrap();
    assert_eq!(text["quantity"], "level-in-room");
}
