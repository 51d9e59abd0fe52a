//! Turning, shifting and reflecting.

use quantities::math;
use serde::Serialize;

use crate::{Point, Polygon};

/// A movement of the plan that keeps lengths: first a turn (and a reflection, if any) about the origin, then a shift.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Movement {
    x_axis: Point,
    y_axis: Point,
    shift: Point,
}

impl Movement {
    /// The movement that leaves everything where it is.
    pub const STAY: Self =
        Self { x_axis: Point::new(1.0, 0.0), y_axis: Point::new(0.0, 1.0), shift: Point::new(0.0, 0.0) };

    /// A shift.
    pub fn translation(by: Point) -> Self {
        Self { shift: by, ..Self::STAY }
    }

    /// A turn counter-clockwise about a point. Quarter turns are exact to the last digit of sine and cosine.
    pub fn rotation(angle_rad: f64, about: Point) -> Self {
        let (sin, cos) = math::sin_cos(angle_rad);
        let turned = Self { x_axis: Point::new(cos, sin), y_axis: Point::new(-sin, cos), ..Self::STAY };
        Self { shift: about - turned.apply(about), ..turned }
    }

    /// A reflection in the line through `on` in direction `along`; stays when `along` has no length.
    pub fn reflection(on: Point, along: Point) -> Self {
        let Some(d) = along.unit() else { return Self::STAY };
        let (xx, xy, yy) = (d.x_mm * d.x_mm, d.x_mm * d.y_mm, d.y_mm * d.y_mm);
        let turned = Self {
            x_axis: Point::new(xx - yy, 2.0 * xy),
            y_axis: Point::new(2.0 * xy, yy - xx),
            ..Self::STAY
        };
        Self { shift: on - turned.apply(on), ..turned }
    }

    /// This movement, then another.
    #[must_use]
    pub fn then(self, next: Self) -> Self {
        let turn = Self { shift: Point::default(), ..next };
        Self {
            x_axis: turn.apply(self.x_axis),
            y_axis: turn.apply(self.y_axis),
            shift: next.apply(self.shift),
        }
    }

    /// The movement that undoes this one.
    #[must_use]
    pub fn inverse(self) -> Self {
        let back = Self {
            x_axis: Point::new(self.x_axis.x_mm, self.y_axis.x_mm),
            y_axis: Point::new(self.x_axis.y_mm, self.y_axis.y_mm),
            shift: Point::default(),
        };
        Self { shift: -back.apply(self.shift), ..back }
    }

    /// Where a point goes.
    pub fn apply(self, point: Point) -> Point {
        self.x_axis * point.x_mm + self.y_axis * point.y_mm + self.shift
    }
}

impl Polygon {
    /// The polygon after a movement (corners stay counter-clockwise after a reflection).
    #[must_use]
    pub fn moved(&self, movement: Movement) -> Self {
        Self::from_moved(self.corners().iter().map(|&corner| movement.apply(corner)).collect())
    }

    /// Shifted.
    #[must_use]
    pub fn translate(&self, by: Point) -> Self {
        self.moved(Movement::translation(by))
    }

    /// Turned counter-clockwise about a point.
    #[must_use]
    pub fn rotate(&self, angle_rad: f64, about: Point) -> Self {
        self.moved(Movement::rotation(angle_rad, about))
    }

    /// Reflected in the line through `on` in direction `along`.
    #[must_use]
    pub fn mirror(&self, on: Point, along: Point) -> Self {
        self.moved(Movement::reflection(on, along))
    }
}
