//! From inside to a receiver outdoors.
