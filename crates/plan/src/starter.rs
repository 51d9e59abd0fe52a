//! A commented room file to start from.
