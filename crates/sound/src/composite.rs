//! Many elements as one envelope.
