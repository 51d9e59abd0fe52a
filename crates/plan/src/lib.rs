//! The project file, its diagnostics, and the one function that plans it.
