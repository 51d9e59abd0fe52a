//! One- and two-dimensional stock cutting with bounds.
