//! The shell of a room as a sum of parts: walls, openings, small elements and leaks.

use bands::{Band, Spectrum};
use quantities::math;
use serde::Serialize;

use crate::{ranged::RangedSpectrum, room_error::RoomError};

/// Reference absorption area A0 of a normalised level difference, m² (ISO 10140-2:2021, 3.4).
pub const REFERENCE_ABSORPTION_M2: f64 = 10.0;

/// Areas accepted, m²: from a pinhole to a hall.
const ACCEPTED_AREA_M2: (f64, f64) = (1e-9, 100_000.0);

/// One element or leak of a room's shell, with what it insulates.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Part {
    name: String,
    group: String,
    insulation: Insulation,
}

/// How the insulation of a part is stated.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Insulation {
    /// A sound reduction index R over an area.
    Area {
        /// Sound reduction index, dB.
        r: RangedSpectrum,
        /// Area S it holds for, m².
        area_m2: f64,
    },
    /// An element-normalised level difference Dn,e of a small element: a vent, a duct, a joint as a whole.
    Small {
        /// Element-normalised level difference, dB, for A0 = 10 m².
        dn_e: RangedSpectrum,
    },
}

impl Part {
    /// A part with a sound reduction index R over an area in m².
    ///
    /// `group` names what its uncertainty comes from, usually the build-up: parts of one group err together.
    /// An area that is no number or not above zero gives a sentence.
    pub fn with_area(name: &str, group: &str, r: RangedSpectrum, area_m2: f64) -> Result<Self, RoomError> {
        RoomError::in_range(name, "the area", area_m2, "m²", ACCEPTED_AREA_M2)?;
        Ok(Self::of(name, group, Insulation::Area { r, area_m2 }))
    }

    /// A small element with an element-normalised level difference Dn,e.
    pub fn small(name: &str, group: &str, dn_e: RangedSpectrum) -> Self {
        Self::of(name, group, Insulation::Small { dn_e })
    }

    fn of(name: &str, group: &str, insulation: Insulation) -> Self {
        Self { name: name.to_owned(), group: group.to_owned(), insulation }
    }

    /// Its name, by which its share is reported.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// What its uncertainty comes from; parts of one group err together.
    pub fn group(&self) -> &str {
        &self.group
    }

    /// What it insulates.
    pub fn insulation(&self) -> &Insulation {
        &self.insulation
    }

    /// R or Dn,e with its range, dB.
    pub fn ranged(&self) -> &RangedSpectrum {
        match &self.insulation {
            Insulation::Area { r, .. } => r,
            Insulation::Small { dn_e } => dn_e,
        }
    }

    /// The area its insulation is referred to, m²: S of an area, A0 = 10 m² of a small element.
    pub fn reference_area_m2(&self) -> f64 {
        match self.insulation {
            Insulation::Area { area_m2, .. } => area_m2,
            Insulation::Small { .. } => REFERENCE_ABSORPTION_M2,
        }
    }

    /// Area that an open hole letting through as much sound would have, m²: `S·10^(−R/10)`, or
    /// `A0·10^(−Dn,e/10)` (EN 12354-3:2000, equations 14 and 15, multiplied by S).
    pub fn open_area_m2(&self, band: Band) -> f64 {
        self.reference_area_m2() * math::energy_of_db(-self.ranged().median_db().get(band))
    }
}

/// Sound reduction index of all parts together, referred to `area_m2`, dB:
/// `R′ = −10 lg( Σ Si 10^(−Ri/10)/S + Σ A0 10^(−Dn,e,i/10)/S )` (EN 12354-3:2000, equations 10, 14 and 15; each
/// part at its median).
///
/// No part, or an area that is no number or not above zero, gives a sentence.
///
/// ```
/// use bands::{Band, Spectrum};
/// use sound::{composite::{Part, composite_reduction}, ranged::RangedSpectrum};
///
/// let exact = |r_db| RangedSpectrum::exact("part", Spectrum::flat(r_db)).unwrap();
/// let brick = Part::with_area("brick", "brick", exact(59.0), 9.5).unwrap();
/// let glass = Part::with_area("glass", "glass", exact(35.0), 1.08).unwrap();
/// let r = composite_reduction("wall", &[brick, glass], 10.58).unwrap();
/// assert!((r.get(Band::at(0).unwrap()) - 44.8).abs() < 0.05);
/// ```
pub fn composite_reduction(what: &str, parts: &[Part], area_m2: f64) -> Result<Spectrum, RoomError> {
    check_parts(what, parts)?;
    RoomError::in_range(what, "the area", area_m2, "m²", ACCEPTED_AREA_M2)?;
    Ok(Spectrum::from_fn(|band| {
        let open: f64 = parts.iter().map(|part| part.open_area_m2(band)).sum();
        -math::db_of_energy(open / area_m2)
    }))
}

/// Sum of the areas of all parts that have one, m².
pub fn total_area_m2(parts: &[Part]) -> f64 {
    parts
        .iter()
        .map(|part| match part.insulation {
            Insulation::Area { area_m2, .. } => area_m2,
            Insulation::Small { .. } => 0.0,
        })
        .sum()
}

/// At least one part, and no name twice: shares are told apart by name.
pub(crate) fn check_parts<'a>(
    what: &str,
    parts: impl IntoIterator<Item = &'a Part>,
) -> Result<(), RoomError> {
    let mut names = std::collections::BTreeSet::new();
    for part in parts {
        if !names.insert(part.name()) {
            return Err(RoomError::NameTwice { name: part.name().to_owned() });
        }
    }
    if names.is_empty() {
        return Err(RoomError::NothingLetsThrough { what: what.to_owned() });
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn exact(r_db: f64) -> RangedSpectrum {
        RangedSpectrum::exact("part", Spectrum::flat(r_db)).unwrap()
    }

    #[test]
    fn a_small_element_counts_by_its_ten_square_metres() {
        let vent = Part::small("vent", "vent", exact(40.0));
        let as_area = Part::with_area("vent", "vent", exact(40.0), 10.0).unwrap();
        for band in Band::all() {
            assert!((vent.open_area_m2(band) - as_area.open_area_m2(band)).abs() < 1e-15);
        }
    }

    #[test]
    fn impossible_sums_get_a_sentence() {
        let none = composite_reduction("west wall", &[], 10.0).unwrap_err();
        assert_eq!(
            none.to_string(),
            "west wall: nothing lets sound through, because no element was given; give at least one"
        );
        assert!(Part::with_area("door", "door", exact(30.0), 0.0).is_err());
        assert!(Part::with_area("door", "door", exact(30.0), f64::NAN).is_err());
        let door = Part::with_area("door", "door", exact(30.0), 1.7).unwrap();
        let twice = composite_reduction("wall", &[door.clone(), door], 3.4).unwrap_err();
        assert!(matches!(twice, RoomError::NameTwice { .. }));
    }
}
