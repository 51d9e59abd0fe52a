//! The page for the site: one file that works from a phone's own storage with no network.

use plan::Plan;

/// The page as text.
pub fn page(plan: &Plan) -> String {
    plan.title.name.clone()
}
