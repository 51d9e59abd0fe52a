//! The demo with measurements typed into it.

use plan::{Plan, Project, outcome::proof::ProofOutcome};

pub(crate) const DEMO: &str = include_str!("../../../../examples/percussion-room/room.toml");

pub(crate) fn project(text: &str) -> Project {
    let (project, found) = plan::read(text, "room.toml");
    project.unwrap_or_else(|| panic!("{found:?}"))
}

pub(crate) fn planned(text: &str) -> Plan {
    plan::plan(&project(text)).unwrap()
}

pub(crate) fn proof_of(plan: &Plan) -> &ProofOutcome {
    plan.proof.as_ref().unwrap()
}

/// One measurement.
pub(crate) fn typed(what: &str, keys: &str) -> String {
    format!("[[measurement]]\nwhat = \"{what}\"\n{keys}\n\n")
}

/// The same value in every band from 50 Hz to 5 kHz.
pub(crate) fn all_bands(value: f64) -> String {
    by_band(50.0, 5000.0, |_| value)
}

/// A value in every band between two.
pub(crate) fn by_band(from_hz: f64, to_hz: f64, value: impl Fn(bands::Band) -> f64) -> String {
    let all: Vec<String> = bands::Band::range(from_hz, to_hz)
        .map(|band| format!("\"{}\" = {:.2}", band.nominal(), value(band)))
        .collect();
    format!("{{ {} }}", all.join(", "))
}
