//! Tape and level readings adjusted to a room with its uncertainty.
