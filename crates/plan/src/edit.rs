//! Writing single values into a room file, keeping its comments and order.
