//! From the millimetres of a room to the millimetres of paper.

use crate::point::{Extent, Point};

/// A drawing scale 1 : n.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Scale(f64);

impl Scale {
    /// The scales a drawing may have, largest drawing first.
    pub const USUAL: [f64; 14] =
        [1.0, 2.0, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0, 200.0, 250.0, 500.0, 1000.0, 2000.0, 5000.0];

    /// One to `denominator`; kept between 0.001 and 1 000 000, 1 : 1 if it is not an ordinary number.
    pub fn one_to(denominator: f64) -> Self {
        Self(if denominator.is_finite() { denominator.clamp(1e-3, 1e6) } else { 1.0 })
    }

    /// The n of 1 : n.
    pub fn denominator(self) -> f64 {
        self.0
    }

    /// Millimetres of paper for a length in real millimetres.
    pub fn on_paper_mm(self, real_mm: f64) -> f64 {
        real_mm / self.0
    }

    /// Real millimetres for a length in millimetres of paper.
    pub fn real_mm(self, on_paper_mm: f64) -> f64 {
        on_paper_mm * self.0
    }

    /// How a title block writes it: `1 : 25`.
    pub fn words(self) -> String {
        let decimals = usize::from(self.0.fract().abs() > 1e-9);
        format!("1\u{202F}:\u{202F}{}", quantities::format::number(self.0, decimals))
    }
}

/// Where a room lies on the paper. The room counts x to the right and y **up**, in millimetres.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct View {
    /// The scale.
    pub scale: Scale,
    /// The point of the room, x and y in real mm, that lies at `on_paper`.
    pub room_mm: [f64; 2],
    /// Where that point lies on paper.
    pub on_paper: Point,
    /// Seen from below (or behind): left and right change sides, up stays up.
    pub mirrored: bool,
}

impl View {
    /// A view that lays one point of the room on one point of the paper.
    pub fn new(scale: Scale, room_mm: [f64; 2], on_paper: Point) -> Self {
        Self { scale, room_mm, on_paper, mirrored: false }
    }

    /// The same view seen from below.
    #[must_use]
    pub fn mirrored(mut self) -> Self {
        self.mirrored = true;
        self
    }

    /// The largest of [`Scale::USUAL`] at which a rectangle of the room (`[x, y]` of its low and high corner, real
    /// mm) fits into a rectangle of paper, laid in its middle.
    pub fn fitted(low_mm: [f64; 2], high_mm: [f64; 2], frame: Extent, mirrored: bool) -> Self {
        let [low_x, low_y] = low_mm;
        let [high_x, high_y] = high_mm;
        let (wide, high) = ((high_x - low_x).abs(), (high_y - low_y).abs());
        let needed = (wide / frame.width().max(1.0)).max(high / frame.height().max(1.0));
        let last = Scale::USUAL.last().copied().unwrap_or(1.0);
        let denominator = Scale::USUAL.into_iter().find(|&n| n >= needed - 1e-9).unwrap_or(last);
        Self {
            scale: Scale::one_to(denominator),
            room_mm: [f64::midpoint(low_x, high_x), f64::midpoint(low_y, high_y)],
            on_paper: frame.centre(),
            mirrored,
        }
    }

    /// Where a point of the room (real mm, y up) lies on paper.
    pub fn place(&self, x_mm: f64, y_mm: f64) -> Point {
        let [room_x, room_y] = self.room_mm;
        let across = self.scale.on_paper_mm(x_mm - room_x);
        let up = self.scale.on_paper_mm(y_mm - room_y);
        self.on_paper.moved(if self.mirrored { -across } else { across }, -up)
    }

    /// Where several points of the room lie on paper.
    pub fn place_all(&self, points_mm: impl IntoIterator<Item = [f64; 2]>) -> Vec<Point> {
        points_mm.into_iter().map(|[x, y]| self.place(x, y)).collect()
    }

    /// Millimetres of paper for a real length.
    pub fn length(&self, real_mm: f64) -> f64 {
        self.scale.on_paper_mm(real_mm)
    }

    /// The point of the room (real mm, y up) that lies at a point of the paper.
    pub fn room_at(&self, point: Point) -> [f64; 2] {
        let [room_x, room_y] = self.room_mm;
        let across = self.scale.real_mm(point.x - self.on_paper.x);
        let up = self.scale.real_mm(self.on_paper.y - point.y);
        [room_x + if self.mirrored { -across } else { across }, room_y + up]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn up_in_the_room_is_up_on_paper_and_back_again() {
        let view = View::new(Scale::one_to(25.0), [0.0, 0.0], Point::new(50.0, 200.0));
        assert_eq!(view.place(1000.0, 500.0), Point::new(90.0, 180.0));
        assert_eq!(view.mirrored().place(1000.0, 500.0), Point::new(10.0, 180.0));
        let [x, y] = view.mirrored().room_at(Point::new(10.0, 180.0));
        assert!((x - 1000.0).abs() < 1e-9 && (y - 500.0).abs() < 1e-9);
    }

    #[test]
    fn the_fitted_scale_is_the_largest_that_fits() {
        let frame = Extent::new(10.0, 10.0, 210.0, 160.0);
        let view = View::fitted([0.0, 0.0], [4000.0, 3100.0], frame, false);
        assert!((view.scale.denominator() - 25.0).abs() < 1e-12);
        assert_eq!(view.scale.words(), "1\u{202F}:\u{202F}25");
        assert!(view.place(0.0, 3100.0).y >= 10.0);
    }
}
