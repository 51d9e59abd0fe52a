//! Drawings, lists and documents from a plan.
