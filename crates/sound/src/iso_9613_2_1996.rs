//! ISO 9613-2:1996, attenuation of sound during propagation outdoors.
