//! Exact choice of what to build: candidates handed over with their spectra, loads and costs, the least costly set that
//! meets every limit, with proof; trade-off fronts. Knows no acoustics of an element and no structure.
