//! ISO 9613-1:1993, absorption of sound by the atmosphere.
