//! todo
pub enum Hatch {}
