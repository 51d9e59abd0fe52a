//! What a receiver must not exceed.
