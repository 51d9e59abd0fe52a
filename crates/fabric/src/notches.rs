//! Notches and holes in a joist: what they leave, and where they need no calculation.

use serde::Serialize;

use crate::en_1995_1_1_2004::notch_factor;

/// What was cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum CutKind {
    /// From the upper edge.
    TopNotch,
    /// From the lower edge.
    BottomNotch,
    /// Through the middle.
    Hole,
}

impl CutKind {
    /// As it is printed.
    pub const fn name(self) -> &'static str {
        match self {
            Self::TopNotch => "notch in the top edge",
            Self::BottomNotch => "notch in the bottom edge",
            Self::Hole => "hole",
        }
    }
}

/// A notch or a hole.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cut {
    /// What was cut.
    pub kind: CutKind,
    /// Its middle, m from the left end of the joist.
    pub at_m: f64,
    /// Depth of the notch or diameter of the hole, mm.
    pub size_mm: f64,
    /// For a hole: its middle above the middle of the depth, mm.
    pub off_centre_mm: f64,
}

/// A notch or hole judged.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CutResult {
    /// What and where.
    pub name: String,
    /// Whether it lies in the zone and within the size that need no calculation (common practice: notches to an eighth
    /// of the depth between 0.07 and 0.25 of the span, holes to a quarter of it on the centre line between
    /// 0.25 and 0.40).
    pub permitted: bool,
    /// Bending or shear utilisation of what is left, whichever is worse.
    pub utilisation: f64,
    /// Under which combination.
    pub under: String,
    /// What to do, if anything.
    pub note: String,
}

/// Where a cut lies in its bay.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Place {
    /// Distance from the nearest support over the span of the bay.
    share: f64,
    /// Distance from the nearest support, mm.
    from_support_mm: f64,
    /// Clear of any overhang.
    in_span: bool,
}

/// What is left at a cut.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Net {
    pub(crate) depth_mm: f64,
    pub(crate) modulus_mm3: f64,
    pub(crate) kv: f64,
}

impl Place {
    pub(crate) fn of(cut: &Cut, supports_m: &[f64], bays: &[(f64, f64)]) -> Self {
        let nearest = supports_m.iter().map(|s| (s - cut.at_m).abs()).fold(f64::INFINITY, f64::min);
        let bay = bays.iter().find(|(from, to)| *from <= cut.at_m && cut.at_m <= *to);
        let supported = |at: f64| supports_m.iter().any(|s| (s - at).abs() < 1e-9);
        Self {
            share: bay.map_or(0.0, |(from, to)| nearest / (to - from)),
            from_support_mm: nearest * 1000.0,
            in_span: bay.is_some_and(|&(from, to)| supported(from) && supported(to)),
        }
    }
}

impl Net {
    /// A notch leaves a shallower rectangle; a hole leaves the modulus less its own; near a support a notch in the bottom
    /// edge also splits the timber (k_v).
    pub(crate) fn of(cut: &Cut, width_mm: f64, depth_mm: f64, place: &Place) -> Self {
        let left_mm = depth_mm - cut.size_mm;
        match cut.kind {
            CutKind::TopNotch | CutKind::BottomNotch => {
                let splits = cut.kind == CutKind::BottomNotch;
                let kv = if splits {
                    notch_factor(depth_mm, left_mm, place.from_support_mm.min(depth_mm))
                } else {
                    1.0
                };
                Self { depth_mm: left_mm, modulus_mm3: width_mm * left_mm * left_mm / 6.0, kv }
            }
            CutKind::Hole => {
                let own = cut.size_mm * cut.size_mm * cut.size_mm / 12.0
                    + cut.size_mm * cut.off_centre_mm * cut.off_centre_mm;
                let inertia = width_mm * (depth_mm * depth_mm * depth_mm / 12.0 - own);
                Self { depth_mm: left_mm, modulus_mm3: inertia.max(1e-9) / (depth_mm / 2.0), kv: 1.0 }
            }
        }
    }
}

pub(crate) fn untested(cut: &Cut) -> CutResult {
    CutResult {
        name: label(cut),
        permitted: false,
        utilisation: 0.0,
        under: String::new(),
        note: "not checked".to_owned(),
    }
}

pub(crate) fn result(cut: &Cut, place: &Place, depth_mm: f64, utilisation: f64, under: &str) -> CutResult {
    let permitted = place.in_span
        && match cut.kind {
            CutKind::TopNotch | CutKind::BottomNotch => {
                cut.size_mm <= 0.125 * depth_mm && (0.07..=0.25).contains(&place.share)
            }
            CutKind::Hole => {
                cut.size_mm <= 0.25 * depth_mm
                    && (0.25..=0.40).contains(&place.share)
                    && cut.off_centre_mm.abs() <= 0.05 * depth_mm
            }
        };
    let note = if utilisation > 1.0 {
        "what is left is too weak: fit a sister member past it on both sides, and ask a structural engineer"
    } else if permitted {
        "in the permitted zone"
    } else {
        "outside the zone or size that needs no calculation: it holds by this sum, have it looked at"
    };
    CutResult { name: label(cut), permitted, utilisation, under: under.to_owned(), note: note.to_owned() }
}

/// Judges every cut and keeps the worst result of each.
pub(crate) fn judge_all(cuts: &[Cut], kept: &mut Vec<CutResult>, judge: impl Fn(&Cut) -> CutResult) {
    for (i, cut) in cuts.iter().enumerate() {
        let result = judge(cut);
        match kept.get_mut(i) {
            Some(old) if old.utilisation < result.utilisation => *old = result,
            Some(_) => {}
            None => kept.push(result),
        }
    }
}

fn label(cut: &Cut) -> String {
    format!("{} at {:.0} mm, {:.0} mm", cut.kind.name(), cut.at_m * 1000.0, cut.size_mm)
}
