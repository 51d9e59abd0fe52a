//! Loads and timber, heat and moisture, fresh air.
