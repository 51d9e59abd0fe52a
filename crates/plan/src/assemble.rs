//! The rooms below called in their order: each module hands one of them what it needs from the project.

pub(crate) mod air_path;
pub(crate) mod as_built;
pub(crate) mod ceiling;
pub(crate) mod damp;
pub(crate) mod element;
pub(crate) mod fabric_findings;
pub(crate) mod facts;
pub(crate) mod faults;
pub(crate) mod heard;
pub(crate) mod joist_beam;
pub(crate) mod joist_model;
pub(crate) mod joist_opening;
pub(crate) mod leaks;
pub(crate) mod lined;
pub(crate) mod lining;
pub(crate) mod material;
pub(crate) mod proof;
pub(crate) mod room_air;
pub(crate) mod section;
pub(crate) mod shell;
pub(crate) mod sound_findings;
pub(crate) mod surfaces;
pub(crate) mod survey;
pub(crate) mod timber;
pub(crate) mod verdicts;
pub(crate) mod ways;
