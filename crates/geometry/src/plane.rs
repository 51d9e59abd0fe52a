//! A plane over the plan: a height at every point.

use serde::Serialize;

use crate::Point;

/// A plane over the plan, z = z₀ + sₓ x + s_y y: heights in mm, slopes in mm per mm.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Plane {
    /// Height over the origin of the plan, mm.
    pub height_at_origin_mm: f64,
    /// Rise per step to the right (mm per mm).
    pub slope_x: f64,
    /// Rise per step up the sheet (mm per mm).
    pub slope_y: f64,
}

/// A plane fitted to heights, and how well it fits.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FittedPlane {
    /// The plane.
    pub plane: Plane,
    /// Root mean square of the heights above or below it, mm.
    pub rms_mm: f64,
    /// Largest height above it, mm (0 or more).
    pub most_above_mm: f64,
    /// Largest depth below it, mm (0 or more).
    pub most_below_mm: f64,
}

/// Why no plane can be laid through the heights.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PlaneError {
    /// Fewer than three points, or all on one line.
    #[error(
        "a plane needs heights at three places that are not on one line; take a level reading off to the side"
    )]
    OnOneLine,
    /// A coordinate or a height that is no number.
    #[error("a level reading or its place is not a number; check the readings")]
    NotANumber,
}

impl Plane {
    /// The level plane at a height, mm.
    pub fn level(height_mm: f64) -> Self {
        Self { height_at_origin_mm: height_mm, slope_x: 0.0, slope_y: 0.0 }
    }

    /// Height over a point of the plan, mm.
    pub fn height_mm(self, point: Point) -> f64 {
        self.height_at_origin_mm + self.slope_x * point.x_mm + self.slope_y * point.y_mm
    }

    /// Steepest fall, mm per metre.
    pub fn fall_mm_per_m(self) -> f64 {
        Point::new(self.slope_x, self.slope_y).length_mm() * 1000.0
    }

    /// The plane of least squares through heights at points of the plan.
    pub fn fit(heights: &[(Point, f64)]) -> Result<FittedPlane, PlaneError> {
        if heights.iter().any(|(point, height)| !point.is_finite() || !height.is_finite()) {
            return Err(PlaneError::NotANumber);
        }
        if heights.len() < 3 {
            return Err(PlaneError::OnOneLine);
        }
        let n = heights.len() as f64;
        let mean = heights.iter().fold(Point::default(), |sum, (p, _)| sum + *p) * (1.0 / n);
        let mean_mm = heights.iter().map(|(_, z)| z).sum::<f64>() / n;
        let (mut xx, mut xy, mut yy, mut xz, mut yz) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for (point, height) in heights {
            let d = *point - mean;
            let z = height - mean_mm;
            xx += d.x_mm * d.x_mm;
            xy += d.x_mm * d.y_mm;
            yy += d.y_mm * d.y_mm;
            xz += d.x_mm * z;
            yz += d.y_mm * z;
        }
        let determinant = xx * yy - xy * xy;
        let spread = f64::midpoint(xx, yy);
        if spread <= 0.0 || determinant <= 1e-9 * spread * spread {
            return Err(PlaneError::OnOneLine);
        }
        let slope_x = (xz * yy - yz * xy) / determinant;
        let slope_y = (yz * xx - xz * xy) / determinant;
        let plane = Self {
            height_at_origin_mm: mean_mm - slope_x * mean.x_mm - slope_y * mean.y_mm,
            slope_x,
            slope_y,
        };
        let above = heights.iter().map(|(point, height)| height - plane.height_mm(*point));
        let mut fitted = FittedPlane { plane, rms_mm: 0.0, most_above_mm: 0.0, most_below_mm: 0.0 };
        let mut squares = 0.0;
        for d in above {
            squares += d * d;
            fitted.most_above_mm = fitted.most_above_mm.max(d);
            fitted.most_below_mm = fitted.most_below_mm.max(-d);
        }
        fitted.rms_mm = (squares / n).sqrt();
        Ok(fitted)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plane_goes_through_its_own_heights() {
        let plane = Plane { height_at_origin_mm: 2340.0, slope_x: 0.002, slope_y: -0.004 };
        let at =
            [(0.0, 0.0), (5000.0, 100.0), (4000.0, 3500.0), (-20.0, 3600.0)].map(|(x, y)| Point::new(x, y));
        let fitted = Plane::fit(&at.map(|p| (p, plane.height_mm(p)))).unwrap();
        assert!((fitted.plane.height_at_origin_mm - 2340.0).abs() < 1e-9);
        assert!((fitted.plane.slope_x - 0.002).abs() < 1e-12);
        assert!((fitted.plane.fall_mm_per_m() - 20f64.sqrt()).abs() < 1e-9);
        assert!(fitted.rms_mm < 1e-9);
    }

    #[test]
    fn heights_on_one_line_fix_no_plane() {
        let line: Vec<(Point, f64)> =
            (0..5).map(|i| (Point::new(f64::from(i), 2.0 * f64::from(i)), 1.0)).collect();
        assert_eq!(Plane::fit(&line), Err(PlaneError::OnOneLine));
        assert_eq!(Plane::fit(&[(Point::default(), f64::NAN)]), Err(PlaneError::NotANumber));
    }
}
