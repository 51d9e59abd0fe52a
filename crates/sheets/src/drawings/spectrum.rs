//! Predicted and heard spectra.

use plan::Plan;

use super::Drawing;

/// No drawing yet.
pub(super) fn drawings(_plan: &Plan) -> Vec<Drawing> {
    Vec::new()
}
