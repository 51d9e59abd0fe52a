//! ISO 12354-4:2017, transmission of indoor sound to the outside.
