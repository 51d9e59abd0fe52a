//! The JSON Schema and the reference of the file formats, from the same declarations the reader uses.
