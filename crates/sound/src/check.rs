//! What an element must be before it can be predicted.

use bands::Band;
use quantities::{format, math};

use crate::{
    cavity::MOST_FILLS,
    diffuse::MOST_LEAVES,
    element::{Bond, BridgeKind, Cavity, Element, Leaf, LeafKind, LeakKind, Part, SealGap},
    error::ElementError,
};

/// Checks everything a person may have typed; the first thing wrong is the error.
pub(crate) fn check(element: &Element) -> Result<(), ElementError> {
    let at = Place { element, place: String::from("its size") };
    at.within("width_m", element.width_m, 0.1, 100.0, "Give the clear width in metres")?;
    at.within("height_m", element.height_m, 0.1, 100.0, "Give the clear height or span in metres")?;
    if let Some(measured) = &element.measured {
        check_measured(element, measured)?;
        if element.parts.is_empty() {
            return check_leaks(element);
        }
    }
    order(element)?;
    let mut leaf_number = 0;
    for part in &element.parts {
        match part {
            Part::Leaf(leaf) => {
                check_leaf(element, leaf, leaf_number)?;
                leaf_number += 1;
            }
            Part::Cavity(cavity) => check_cavity(element, cavity, leaf_number)?,
        }
    }
    check_bridges(element, leaf_number)?;
    check_leaks(element)
}

struct Place<'a> {
    element: &'a Element,
    place: String,
}

impl Place<'_> {
    /// Both ends of the range are allowed.
    fn within(
        &self,
        quantity: &'static str,
        value: f64,
        least: f64,
        most: f64,
        remedy: &'static str,
    ) -> Result<(), ElementError> {
        if value.is_finite() && value >= least && value <= most {
            return Ok(());
        }
        Err(ElementError::Value {
            element: self.element.name.clone(),
            place: self.place.clone(),
            fault: format!("{quantity} is {}, but must be {} to {}", plain(value), plain(least), plain(most)),
            remedy,
        })
    }
}

/// A number as a person would write it.
fn plain(value: f64) -> String {
    if !value.is_finite() {
        return String::from("not a number");
    }
    let decimals = if value.abs() >= 100.0 || (value - value.round()).abs() < 1e-12 {
        0
    } else if value.abs() >= 0.1 {
        2
    } else {
        6
    };
    let text = format::number(value, decimals);
    if decimals == 6 { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

fn order(element: &Element) -> Result<(), ElementError> {
    let fault = |what: &str, remedy: &str| {
        Err(ElementError::Order {
            element: element.name.clone(),
            what: what.to_owned(),
            remedy: remedy.to_owned(),
        })
    };
    let leaves = element.leaves().count();
    if leaves == 0 {
        return Err(ElementError::NoLeaf { element: element.name.clone() });
    }
    if leaves > MOST_LEAVES {
        return fault(
            &format!("has {leaves} leaves; at most {MOST_LEAVES} can be predicted"),
            "Join boards that lie on each other into one leaf",
        );
    }
    for pair in element.parts.windows(2) {
        match pair {
            [Part::Cavity(_), Part::Cavity(_)] => {
                return fault(
                    "has two cavities next to each other",
                    "Make them one cavity with a fill of part of its depth, or put a leaf between them",
                );
            }
            [Part::Leaf(a), Part::Leaf(b)] => {
                return fault(
                    &format!("has two leaves, {} and {}, with nothing between them", a.name, b.name),
                    "Make them one leaf of several sheets, or put a cavity between them",
                );
            }
            _ => {}
        }
    }
    if matches!(element.parts.first(), Some(Part::Cavity(_)))
        || matches!(element.parts.last(), Some(Part::Cavity(_)))
    {
        return fault("begins or ends with a cavity", "Add the leaf that closes the cavity");
    }
    Ok(())
}

fn check_leaf(element: &Element, leaf: &Leaf, number: usize) -> Result<(), ElementError> {
    let label = if leaf.name.is_empty() { format!("leaf {number}") } else { leaf.name.clone() };
    if leaf.sheets.is_empty() {
        return Err(ElementError::Order {
            element: element.name.clone(),
            what: format!("{label} has no sheets"),
            remedy: String::from("Give the leaf at least one sheet of a material"),
        });
    }
    for sheet in &leaf.sheets {
        let at = Place { element, place: format!("{label}, {}", sheet.name) };
        at.within("thickness_m", sheet.thickness_m, 1e-5, 2.0, "Give the thickness of the sheet in metres")?;
        at.within(
            "density_kg_m3",
            sheet.density_kg_m3,
            1.0,
            25_000.0,
            "A leaf without mass stops no sound: give its density",
        )?;
        at.within(
            "youngs_modulus_pa",
            sheet.youngs_modulus_pa,
            1e3,
            1e13,
            "Give Young's modulus in pascals (plasterboard 2 to 4 GPa)",
        )?;
        at.within(
            "along_over_across",
            sheet.along_over_across,
            1e-3,
            1e3,
            "Give stiffness along the grain over that across it, 1 for a sheet without a grain",
        )?;
        at.within(
            "poisson",
            sheet.poisson,
            0.0,
            0.49,
            "Poisson's ratio of most boards is 0.3, of masonry 0.2",
        )?;
        at.within("loss_factor", sheet.loss_factor, 0.0, 1.0, "Loss factors of boards are near 0.01")?;
    }
    let at = Place { element, place: label };
    if let Bond::Damped { loss_factor } = leaf.bond {
        at.within("bond loss_factor", loss_factor, 0.0, 1.0, "Laminated glass has 0.05 to 0.3")?;
    }
    match leaf.kind {
        LeafKind::Orthotropic { stiffness_ratio } => at.within(
            "stiffness_ratio",
            stiffness_ratio,
            1.0,
            1e6,
            "Give stiffness along the ribs over that of the plain sheet, at least 1",
        ),
        LeafKind::Porous { flow_resistance_pa_s_m } => at.within(
            "flow_resistance_pa_s_m",
            flow_resistance_pa_s_m,
            1.0,
            1e9,
            "Give the specific airflow resistance of the leaf",
        ),
        LeafKind::Thin | LeafKind::Masonry | LeafKind::Limp => Ok(()),
    }
}

fn check_cavity(element: &Element, cavity: &Cavity, after_leaf: usize) -> Result<(), ElementError> {
    let place = format!("cavity {after_leaf} (counted from outside)");
    let at = Place { element, place: place.clone() };
    at.within("depth_m", cavity.depth_m, 1e-4, 10.0, "Give the clear depth between the leaves in metres")?;
    if let Some(absorption) = cavity.edge_absorption {
        at.within("edge_absorption", absorption, 0.0, 1.0, "An absorption coefficient lies between 0 and 1")?;
    }
    if cavity.fills.len() > MOST_FILLS {
        return Err(ElementError::Order {
            element: element.name.clone(),
            what: format!("{place} has {} fills; at most {MOST_FILLS} can be predicted", cavity.fills.len()),
            remedy: String::from("Join fills of the same kind into one"),
        });
    }
    for fill in &cavity.fills {
        at.within(
            "fill thickness_m",
            fill.thickness_m,
            1e-4,
            10.0,
            "Give the thickness of the fill in metres, or leave it out",
        )?;
        at.within(
            "fill flow_resistivity_pa_s_m2",
            fill.flow_resistivity_pa_s_m2,
            50.0,
            1e7,
            "Mineral wool has 3000 to 50000 Pa s/m²",
        )?;
        at.within("fill density_kg_m3", fill.density_kg_m3, 1.0, 3000.0, "Mineral wool has 10 to 100 kg/m³")?;
        if let Some(stiffness) = fill.dynamic_stiffness_n_m3 {
            at.within(
                "fill dynamic_stiffness_n_m3",
                stiffness,
                1e4,
                1e11,
                "Resilient layers have 5 to 80 MN/m³",
            )?;
        }
    }
    let filled: f64 = cavity.fills.iter().map(|fill| fill.thickness_m).sum();
    if filled > cavity.depth_m * (1.0 + 1e-6) {
        return Err(ElementError::FillTooDeep {
            element: element.name.clone(),
            place,
            fill_mm: format::number(filled * 1000.0, 0),
            cavity_mm: format::number(cavity.depth_m * 1000.0, 0),
        });
    }
    Ok(())
}

fn check_bridges(element: &Element, leaf_count: usize) -> Result<(), ElementError> {
    for bridge in &element.bridges {
        let (outer, inner) = bridge.leaves;
        if outer == inner || outer >= leaf_count || inner >= leaf_count {
            return Err(ElementError::BridgeLeaves {
                element: element.name.clone(),
                place: bridge.name.clone(),
                outer,
                inner,
                count: leaf_count,
            });
        }
        let at = Place { element, place: bridge.name.clone() };
        let spacing = |value: f64| {
            at.within("spacing_m", value, 0.02, 20.0, "Give the spacing centre to centre in metres")
        };
        let many = |value: f64| {
            at.within("per_m2", value, 0.001, 1000.0, "Give how many there are on a square metre")
        };
        match bridge.kind {
            BridgeKind::TimberStud { spacing_m }
            | BridgeKind::StaggeredStud { spacing_m }
            | BridgeKind::DoubleStud { spacing_m } => spacing(spacing_m)?,
            BridgeKind::SteelStud { spacing_m, steel_thickness_m, web_depth_m, compliance_m2_n } => {
                spacing(spacing_m)?;
                at.within(
                    "steel_thickness_m",
                    steel_thickness_m,
                    1e-4,
                    0.02,
                    "Studs are 0.0004 to 0.003 m thick",
                )?;
                at.within("web_depth_m", web_depth_m, 0.005, 1.0, "Give the depth of the stud in metres")?;
                if let Some(compliance) = compliance_m2_n {
                    at.within("compliance_m2_n", compliance, 0.0, 1.0, "Steel studs are near 0.000001 m²/N")?;
                }
            }
            BridgeKind::ResilientChannel { stud_spacing_m, channel_spacing_m, .. } => {
                spacing(stud_spacing_m)?;
                spacing(channel_spacing_m)?;
            }
            BridgeKind::Clip { stiffness_n_m, loss_factor, per_m2, bar_spacing_m } => {
                at.within(
                    "stiffness_n_m",
                    stiffness_n_m,
                    1e3,
                    1e10,
                    "A clip without stiffness cannot carry the ceiling: give its dynamic stiffness under load",
                )?;
                at.within("loss_factor", loss_factor, 0.0, 2.0, "Rubber clips have 0.05 to 0.3")?;
                many(per_m2)?;
                spacing(bar_spacing_m)?;
            }
            BridgeKind::Tie { stiffness_n_m, per_m2 } => {
                at.within("stiffness_n_m", stiffness_n_m, 1e3, 1e10, "Wall ties have 1 to 100 MN/m")?;
                many(per_m2)?;
            }
            BridgeKind::Dab { per_m2, area_m2 } => {
                many(per_m2)?;
                at.within("area_m2", area_m2, 1e-4, 1.0, "A dab is near 0.01 m²")?;
            }
            BridgeKind::RigidPoint { count } => {
                at.within("count", count, 0.0, 1e6, "Give how many screws or brackets go straight through")?;
            }
            BridgeKind::CommonFrame { length_m, stiffness_n_m2 } => {
                at.within("length_m", length_m, 0.01, 1000.0, "Give the length of the frame in metres")?;
                at.within("stiffness_n_m2", stiffness_n_m2, 1e3, 1e12, "Gaskets have 1 to 100 MN/m²")?;
            }
        }
    }
    Ok(())
}

/// Face that the openings of a leak take, m².
fn open_face_m2(leak: &LeakKind) -> f64 {
    match leak {
        LeakKind::Slit { length_m, width_m, .. } => length_m * width_m,
        LeakKind::Hole { diameter_m, count, .. } => count * 0.25 * math::PI * diameter_m * diameter_m,
        LeakKind::Panel { area_m2, count, .. } => area_m2 * count,
        LeakKind::Seal { length_m, gap } => length_m * gap.width_m,
        LeakKind::Device { .. } | LeakKind::Pores { .. } => 0.0,
    }
}

fn check_leaks(element: &Element) -> Result<(), ElementError> {
    let open: f64 = element.leaks.iter().map(|leak| open_face_m2(&leak.kind)).sum();
    if open > element.area_m2() {
        return Err(ElementError::Order {
            element: element.name.clone(),
            what: format!(
                "its gaps, holes and covers take {}, but its face has only {}",
                format::with_unit(open, 2, "m²"),
                format::with_unit(element.area_m2(), 2, "m²")
            ),
            remedy: String::from("Check how many there are and how large"),
        });
    }
    for leak in &element.leaks {
        let at = Place { element, place: leak.name.clone() };
        let count = element.leaves().count();
        if let Some(leaf) = leak.leaf
            && leaf >= count
        {
            return Err(ElementError::Order {
                element: element.name.clone(),
                what: format!("{} goes through leaf {leaf}, and the element has {count}", leak.name),
                remedy: String::from("Count the leaves from 0 outside"),
            });
        }
        let filling = |value: Option<f64>| match value {
            Some(sigma) => at.within(
                "filling_pa_s_m2",
                sigma,
                50.0,
                1e9,
                "Packed mineral wool has 20000 to 100000 Pa s/m²",
            ),
            None => Ok(()),
        };
        match &leak.kind {
            LeakKind::Slit { length_m, width_m, depth_m, filling_pa_s_m2, .. } => {
                at.within("length_m", *length_m, 1e-3, 1000.0, "Give the length of the joint in metres")?;
                at.within(
                    "width_m",
                    *width_m,
                    1e-6,
                    0.2,
                    "Give the width of the gap in metres; leave out a joint that is tight",
                )?;
                at.within("depth_m", *depth_m, 1e-4, 5.0, "Give the depth of the joint in metres")?;
                filling(*filling_pa_s_m2)?;
            }
            LeakKind::Hole { diameter_m, depth_m, count, filling_pa_s_m2 } => {
                at.within("diameter_m", *diameter_m, 1e-4, 2.0, "Give the diameter of the hole in metres")?;
                at.within("depth_m", *depth_m, 1e-4, 5.0, "Give the depth of the hole in metres")?;
                at.within("count", *count, 0.0, 1e5, "Give how many holes there are")?;
                filling(*filling_pa_s_m2)?;
            }
            LeakKind::Seal { length_m, gap } => seal(&at, *length_m, *gap)?,
            LeakKind::Device { count, dn_e_db } => {
                at.within("count", *count, 0.0, 1e4, "Give how many there are")?;
                for (_, value) in dn_e_db.iter() {
                    at.within("dn_e_db", value, 0.0, 150.0, "Give a level difference in every band")?;
                }
            }
            LeakKind::Panel { area_m2, mass_kg_m2, count } => {
                at.within("area_m2", *area_m2, 1e-5, 10.0, "Give the area of the cover in square metres")?;
                at.within("mass_kg_m2", *mass_kg_m2, 0.0, 500.0, "Thin plastic has 2 kg/m², a board 9")?;
                at.within("count", *count, 0.0, 1e4, "Give how many there are")?;
            }
            LeakKind::Pores { flow_resistivity_pa_s_m2, depth_m } => {
                at.within(
                    "flow_resistivity_pa_s_m2",
                    *flow_resistivity_pa_s_m2,
                    50.0,
                    1e10,
                    "Bare lightweight blocks have some 100 000 Pa s/m²",
                )?;
                at.within("depth_m", *depth_m, 1e-4, 5.0, "Give the way through the pores in metres")?;
            }
        }
    }
    Ok(())
}

fn seal(at: &Place<'_>, length_m: f64, gap: SealGap) -> Result<(), ElementError> {
    at.within("length_m", length_m, 1e-3, 1000.0, "Give the length of the seal in metres")?;
    at.within("gap width_m", gap.width_m, 1e-6, 0.05, "Give in metres what the seal leaves open")?;
    at.within("gap depth_m", gap.depth_m, 1e-4, 1.0, "Give the depth of the joint in metres")
}

fn check_measured(element: &Element, measured: &crate::element::Measured) -> Result<(), ElementError> {
    let missing: Vec<&str> = Band::range(100.0, 3150.0)
        .filter(|&band| measured.readings.get(band).is_none())
        .map(Band::nominal)
        .collect();
    if !missing.is_empty() {
        return Err(ElementError::MeasuredBands {
            element: element.name.clone(),
            missing: format!("{} Hz", missing.join(", ")),
        });
    }
    let at = Place { element, place: String::from("measured spectrum") };
    for (_, value) in measured.readings.iter() {
        at.within("R", value, -10.0, 150.0, "Give the sound reduction index in dB")?;
    }
    if let Some(spread) = measured.standard_uncertainty_db {
        at.within("standard_uncertainty_db", spread, 0.0, 20.0, "Laboratories state 1 to 3 dB")?;
    }
    Ok(())
}
