//! To be written out.
