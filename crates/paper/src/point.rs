//! Points and rectangles on paper, in millimetres, y downwards.

use quantities::math;

/// A point on paper in millimetres; x to the right, y **down**.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize)]
pub struct Point {
    /// Millimetres from the left edge.
    pub x: f64,
    /// Millimetres from the top edge, downwards.
    pub y: f64,
}

impl Point {
    /// A point `x` mm from the left and `y` mm from the top.
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// This point moved right by `dx` and down by `dy` mm.
    #[must_use]
    pub fn moved(self, dx: f64, dy: f64) -> Self {
        Self::new(self.x + dx, self.y + dy)
    }

    /// This point moved `distance` mm along a direction.
    #[must_use]
    pub fn along(self, direction: Direction, distance: f64) -> Self {
        self.moved(direction.x * distance, direction.y * distance)
    }

    /// Distance to another point in millimetres.
    pub fn distance_to(self, other: Self) -> f64 {
        math::hypot(other.x - self.x, other.y - self.y)
    }

    /// The point half way to another.
    #[must_use]
    pub fn middle(self, other: Self) -> Self {
        Self::new(f64::midpoint(self.x, other.x), f64::midpoint(self.y, other.y))
    }

    /// Whether both coordinates are ordinary numbers.
    pub fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite()
    }
}

/// A unit vector on paper. Made only by its constructors, so its length is one.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Direction {
    x: f64,
    y: f64,
}

impl Direction {
    /// To the right.
    pub const RIGHT: Self = Self { x: 1.0, y: 0.0 };
    /// To the left.
    pub const LEFT: Self = Self { x: -1.0, y: 0.0 };
    /// Up the paper.
    pub const UP: Self = Self { x: 0.0, y: -1.0 };
    /// Down the paper.
    pub const DOWN: Self = Self { x: 0.0, y: 1.0 };

    /// From one point towards another; to the right if they coincide or are not ordinary numbers.
    pub fn between(from: Point, to: Point) -> Self {
        let length = from.distance_to(to);
        if length.is_finite() && length > 1e-9 {
            Self { x: (to.x - from.x) / length, y: (to.y - from.y) / length }
        } else {
            Self::RIGHT
        }
    }

    /// The component to the right.
    pub fn x(self) -> f64 {
        self.x
    }

    /// The component downwards.
    pub fn y(self) -> f64 {
        self.y
    }

    /// Turned a quarter to the left as seen on paper (right becomes up).
    #[must_use]
    pub fn left(self) -> Self {
        Self { x: self.y, y: -self.x }
    }

    /// Turned a quarter to the right as seen on paper (right becomes down).
    #[must_use]
    pub fn right(self) -> Self {
        Self { x: -self.y, y: self.x }
    }

    /// Turned about.
    #[must_use]
    pub fn back(self) -> Self {
        Self { x: -self.x, y: -self.y }
    }

    /// Angle in degrees, anticlockwise from the right as seen on paper, −180 to 180.
    pub fn angle_deg(self) -> f64 {
        math::atan2(-self.y, self.x) * 180.0 / math::PI
    }

    /// The angle, kept between −90 (not included) and 90 degrees, at which text along this direction is read from
    /// below or from the right.
    pub fn reading_angle_deg(self) -> f64 {
        let angle = self.angle_deg();
        if angle > 90.0 + 1e-6 {
            angle - 180.0
        } else if angle <= -90.0 + 1e-6 {
            angle + 180.0
        } else {
            angle
        }
    }
}

/// An upright rectangle on paper in millimetres.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize)]
pub struct Extent {
    /// Left edge, mm.
    pub left: f64,
    /// Top edge, mm.
    pub top: f64,
    /// Right edge, mm; not less than `left`.
    pub right: f64,
    /// Bottom edge, mm; not less than `top`.
    pub bottom: f64,
}

impl Extent {
    /// The rectangle between two opposite corners, in whatever order they are given.
    pub fn new(left: f64, top: f64, right: f64, bottom: f64) -> Self {
        Self { left: left.min(right), top: top.min(bottom), right: left.max(right), bottom: top.max(bottom) }
    }

    /// The smallest rectangle round some points; `None` without an ordinary point.
    pub fn round(points: impl IntoIterator<Item = Point>) -> Option<Self> {
        let mut all: Option<Self> = None;
        for point in points {
            if point.is_finite() {
                let one = Self { left: point.x, top: point.y, right: point.x, bottom: point.y };
                all = Some(all.map_or(one, |so_far| so_far.with(one)));
            }
        }
        all
    }

    /// Width in mm.
    pub fn width(&self) -> f64 {
        self.right - self.left
    }

    /// Height in mm.
    pub fn height(&self) -> f64 {
        self.bottom - self.top
    }

    /// The middle.
    pub fn centre(&self) -> Point {
        Point::new(f64::midpoint(self.left, self.right), f64::midpoint(self.top, self.bottom))
    }

    /// Made smaller by a margin on every side; never turned inside out.
    #[must_use]
    pub fn inset(&self, margin: f64) -> Self {
        let across = margin.min(self.width() / 2.0);
        let down = margin.min(self.height() / 2.0);
        Self {
            left: self.left + across,
            top: self.top + down,
            right: self.right - across,
            bottom: self.bottom - down,
        }
    }

    /// The rectangle round this and another.
    #[must_use]
    pub fn with(&self, other: Self) -> Self {
        Self {
            left: self.left.min(other.left),
            top: self.top.min(other.top),
            right: self.right.max(other.right),
            bottom: self.bottom.max(other.bottom),
        }
    }

    /// Moved right by `dx` and down by `dy` mm.
    #[must_use]
    pub fn moved(&self, dx: f64, dy: f64) -> Self {
        Self { left: self.left + dx, top: self.top + dy, right: self.right + dx, bottom: self.bottom + dy }
    }

    /// Whether the inner parts of two rectangles meet.
    pub fn overlaps(&self, other: &Self) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }

    /// Whether another rectangle lies inside this one, a hundredth of a millimetre allowed.
    pub fn holds(&self, other: &Self) -> bool {
        other.left >= self.left - 0.01
            && other.right <= self.right + 0.01
            && other.top >= self.top - 0.01
            && other.bottom <= self.bottom + 0.01
    }

    /// The four corners from the top left, clockwise as seen on paper.
    pub fn corners(&self) -> [Point; 4] {
        [
            Point::new(self.left, self.top),
            Point::new(self.right, self.top),
            Point::new(self.right, self.bottom),
            Point::new(self.left, self.bottom),
        ]
    }
}
