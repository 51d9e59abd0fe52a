//! What was measured and what explains it, as tables.

use plan::{Plan, outcome::proof::FaultSize};

use crate::lists::{List, n};

/// Nothing is called surer.
const MOST_SURE: f64 = 0.99;

/// The measured differences, and the ranked explanations.
pub(crate) fn lists(plan: &Plan) -> Vec<List> {
    let Some(proof) = &plan.proof else { return Vec::new() };
    let mut measured = List::new(
        "measured",
        &[
            "receiver",
            "quantity",
            "frequency_hz",
            "source_db",
            "received_db",
            "background_db",
            "difference_db",
            "standard_uncertainty_db",
            "at_least",
            "planned_db",
            "planned_lower_db",
            "planned_upper_db",
            "before_db",
            "gain_db",
        ],
    );
    let or_empty = |value: Option<f64>| value.map_or_else(String::new, |value| n(value, 1));
    for one in &proof.differences {
        for band in &one.bands {
            measured.row(vec![
                one.receiver.clone(),
                one.quantity.to_owned(),
                band.band.nominal().to_owned(),
                n(band.source_db, 1),
                n(band.received_db, 1),
                or_empty(band.background_db),
                n(band.difference_db, 1),
                n(band.deviation_db, 1),
                if band.at_least { "yes" } else { "no" }.to_owned(),
                n(band.planned_db, 1),
                n(band.planned_lower_db, 1),
                n(band.planned_upper_db, 1),
                or_empty(band.before_db),
                or_empty(band.gain_db),
            ]);
        }
    }
    let mut faults = List::new(
        "faults",
        &["explanation", "probability", "leads", "size", "lower", "upper", "unit", "look", "tell"],
    );
    for one in proof.diagnosis.iter().flat_map(|diagnosis| &diagnosis.explanations) {
        let in_inches = |size: &FaultSize| {
            plan.lengths().in_feet() && size.unit.starts_with("mm") && !size.unit.starts_with("mm²")
        };
        let size = |of: fn(&FaultSize) -> f64| {
            one.size.as_ref().map_or_else(String::new, |size| {
                if in_inches(size) {
                    n(of(size) / 25.4, size.decimals as u32 + 2)
                } else {
                    n(of(size), size.decimals as u32)
                }
            })
        };
        let unit = one.size.as_ref().map_or_else(String::new, |size| {
            if in_inches(size) { size.unit.replacen("mm", "in", 1) } else { size.unit.to_owned() }
        });
        faults.row(vec![
            one.name.clone(),
            n(one.probability.min(MOST_SURE), 3),
            if one.leads { "yes" } else { "no" }.to_owned(),
            size(|size| size.median),
            size(|size| size.lower),
            size(|size| size.upper),
            unit,
            one.look.clone(),
            one.tell.clone(),
        ]);
    }
    vec![measured, faults]
}
