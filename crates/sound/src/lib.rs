//! Airborne sound insulation of elements, their sum, and what is heard where.
