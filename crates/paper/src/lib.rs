//! A scene in millimetres, text measuring, page layout, and its exporters.
