//! A point of the plan, or the step from one point to another.

use std::ops::{Add, Mul, Neg, Sub};

use quantities::math;
use serde::Serialize;

/// A point on the plan, or the step between two points, in millimetres: x to the right, y up, seen from above.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Point {
    /// To the right, mm.
    pub x_mm: f64,
    /// Up the sheet, mm.
    pub y_mm: f64,
}

impl Point {
    /// The point (x, y), both in millimetres.
    pub const fn new(x_mm: f64, y_mm: f64) -> Self {
        Self { x_mm, y_mm }
    }

    /// Scalar product a·b, mm².
    pub fn dot(self, other: Self) -> f64 {
        self.x_mm * other.x_mm + self.y_mm * other.y_mm
    }

    /// Cross product a×b = aₓb_y − a_y bₓ, mm²: positive when b lies to the left of a.
    pub fn cross(self, other: Self) -> f64 {
        self.x_mm * other.y_mm - self.y_mm * other.x_mm
    }

    /// Length of this step, mm.
    pub fn length_mm(self) -> f64 {
        self.dot(self).sqrt()
    }

    /// Distance to another point, mm.
    pub fn distance_mm(self, other: Self) -> f64 {
        (other - self).length_mm()
    }

    /// The step of length one in the same direction; `None` for a step of no length.
    pub fn unit(self) -> Option<Self> {
        let length = self.length_mm();
        (length > 0.0 && length.is_finite()).then(|| self * (1.0 / length))
    }

    /// A quarter turn counter-clockwise: the left-hand normal of the same length.
    #[must_use]
    pub fn left(self) -> Self {
        Self::new(-self.y_mm, self.x_mm)
    }

    /// Direction as an angle from +x, radians, −π to π.
    pub fn angle_rad(self) -> f64 {
        math::atan2(self.y_mm, self.x_mm)
    }

    /// The step of the given length in the direction `angle_rad` from +x.
    pub fn from_angle(angle_rad: f64, length_mm: f64) -> Self {
        let (sin, cos) = math::sin_cos(angle_rad);
        Self::new(length_mm * cos, length_mm * sin)
    }

    /// The point a share `t` of the way to `other` (0 here, 1 there).
    #[must_use]
    pub fn toward(self, other: Self, t: f64) -> Self {
        Self::new(self.x_mm + (other.x_mm - self.x_mm) * t, self.y_mm + (other.y_mm - self.y_mm) * t)
    }

    /// Whether both coordinates are numbers.
    pub fn is_finite(self) -> bool {
        self.x_mm.is_finite() && self.y_mm.is_finite()
    }
}

impl Add for Point {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::new(self.x_mm + other.x_mm, self.y_mm + other.y_mm)
    }
}

impl Sub for Point {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::new(self.x_mm - other.x_mm, self.y_mm - other.y_mm)
    }
}

impl Mul<f64> for Point {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self::new(self.x_mm * factor, self.y_mm * factor)
    }
}

impl Neg for Point {
    type Output = Self;
    fn neg(self) -> Self {
        Self::new(-self.x_mm, -self.y_mm)
    }
}
