//! Points and directions in space, metres.
//!
//! One right-handed frame for a whole site: `x` and `y` lie on the ground plan, `z` points up, `z = 0` is the
//! ground outside.

use quantities::math;
use serde::Serialize;

use crate::room_error::RoomError;

/// Farthest coordinate accepted, m: beyond it a number is a slip of the unit, not a place on a site.
const FARTHEST_M: f64 = 10_000.0;

/// A point on the site, metres; `z` is the height above the ground outside.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Point3 {
    /// Across the plan, m.
    pub x_m: f64,
    /// Up the plan, m.
    pub y_m: f64,
    /// Above the ground outside, m.
    pub z_m: f64,
}

impl Point3 {
    /// A point from its three coordinates, m.
    pub fn new(x_m: f64, y_m: f64, z_m: f64) -> Self {
        Self { x_m, y_m, z_m }
    }

    /// Straight distance to another point, m.
    pub fn distance_m(self, other: Self) -> f64 {
        (self - other).length()
    }

    /// Distance to another point as seen on the plan, m.
    pub fn plan_distance_m(self, other: Self) -> f64 {
        math::hypot(self.x_m - other.x_m, self.y_m - other.y_m)
    }

    /// The point itself, or a sentence when a coordinate is no number or beyond 10 km.
    pub(crate) fn checked(self, what: &str) -> Result<Self, RoomError> {
        for (quantity, value) in [("x", self.x_m), ("y", self.y_m), ("z", self.z_m)] {
            RoomError::in_range(what, quantity, value, "m", (-FARTHEST_M, FARTHEST_M))?;
        }
        Ok(self)
    }

    pub(crate) fn plan(self) -> (f64, f64) {
        (self.x_m, self.y_m)
    }

    pub(crate) fn towards(self, other: Self, part: f64) -> Self {
        self + (other - self).scaled(part)
    }
}

impl std::ops::Sub for Point3 {
    type Output = Arrow;
    fn sub(self, from: Self) -> Arrow {
        Arrow { x: self.x_m - from.x_m, y: self.y_m - from.y_m, z: self.z_m - from.z_m }
    }
}

impl std::ops::Add<Arrow> for Point3 {
    type Output = Self;
    fn add(self, step: Arrow) -> Self {
        Self::new(self.x_m + step.x, self.y_m + step.y, self.z_m + step.z)
    }
}

/// A direction of length one.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Direction(Arrow);

impl Direction {
    /// Straight up.
    pub const UP: Self = Self(Arrow { x: 0.0, y: 0.0, z: 1.0 });

    /// The direction of the arrow (x, y, z), of any length.
    ///
    /// An arrow of no length, or of a length that is no number, gives a sentence.
    pub fn new(x: f64, y: f64, z: f64) -> Result<Self, RoomError> {
        let arrow = Arrow { x, y, z };
        let length = arrow.length();
        if !length.is_finite() || length < 1e-9 {
            return Err(RoomError::NoDirection);
        }
        Ok(Self(arrow.scaled(1.0 / length)))
    }

    pub(crate) fn arrow(self) -> Arrow {
        self.0
    }
}

/// A step from one point to another, m.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Arrow {
    /// Across the plan, m.
    pub x: f64,
    /// Up the plan, m.
    pub y: f64,
    /// Upwards, m.
    pub z: f64,
}

impl Arrow {
    pub(crate) fn length(self) -> f64 {
        self.dot(self).sqrt()
    }

    pub(crate) fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y + self.z * other.z
    }

    pub(crate) fn cross(self, other: Self) -> Self {
        Self {
            x: self.y * other.z - self.z * other.y,
            y: self.z * other.x - self.x * other.z,
            z: self.x * other.y - self.y * other.x,
        }
    }

    pub(crate) fn scaled(self, by: f64) -> Self {
        Self { x: self.x * by, y: self.y * by, z: self.z * by }
    }
}
