//! ISO 12354-3:2017, airborne sound insulation against outdoor sound.
