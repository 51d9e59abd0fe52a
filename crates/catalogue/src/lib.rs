//! Materials, products, timber grades, climates and sound sources, each with its source.
