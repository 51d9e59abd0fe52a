//! Points, polygons, clipping and offsets in millimetres.
