//! EN 12354-3:2000, Building acoustics: estimation of acoustic performance of buildings from the performance
//! of elements, Part 3: airborne sound insulation against outdoor sound.

use quantities::math;
use serde::Serialize;

/// Reference decay time T0 of a dwelling, s.
pub const REFERENCE_DECAY_S: f64 = 0.5;
/// Allowance for sound along the structure of the façade, dB, when not computed otherwise: R′ ≤ R45 by 2 dB where
/// heavy elements are rigidly connected (clause 4.4, value from memory).
pub const STRUCTURE_ALLOWANCE_DB: f64 = 2.0;

/// Where an outdoor level holds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum LevelPlace {
    /// As if the building were not there.
    #[default]
    FreeField,
    /// 2 m in front of the façade, its reflection included: 3 dB above the free field.
    TwoMetresInFront,
    /// On the surface of the façade: 6 dB above the free field.
    OnFacade,
}

impl LevelPlace {
    /// What to add for the level 2 m in front of the façade L1,2m, dB.
    pub fn to_two_metres_db(self) -> f64 {
        match self {
            Self::FreeField => 3.0,
            Self::TwoMetresInFront => 0.0,
            Self::OnFacade => -3.0,
        }
    }
}

/// Shape of the façade in front of the elements (Annex C; the cells known, others lie between −1 and 7 dB).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FacadeShape {
    /// Plane: ΔLfs = 0 dB.
    #[default]
    Plane,
    /// A gallery or balcony with little absorption, sound from far below or level: −1 dB.
    HardBalcony,
    /// A terrace with a closed parapet, sound from low down, absorption 0.3: 3 dB.
    ClosedTerrace,
}

impl FacadeShape {
    /// Level difference due to façade shape ΔLfs, dB.
    pub fn level_difference_db(self) -> f64 {
        match self {
            Self::Plane => 0.0,
            Self::HardBalcony => -1.0,
            Self::ClosedTerrace => 3.0,
        }
    }
}

/// Standardised level difference of a façade, dB: `D2m,nT = R′ + ΔLfs + 10 lg[V/(6 T0 S)]` (equation 11).
pub fn standardised_difference_db(
    apparent_reduction_db: f64,
    shape_db: f64,
    volume_m3: f64,
    facade_area_m2: f64,
) -> f64 {
    apparent_reduction_db
        + shape_db
        + math::db_of_energy(volume_m3 / (6.0 * REFERENCE_DECAY_S * facade_area_m2))
}

/// Level in the room, dB, from the level 2 m in front of the façade:
/// `L2 = L1,2m − R′ − ΔLfs + 10 lg(S/A)`.
///
/// This is the definition D2m = L1,2m − L2 with `D2m,nT = D2m + 10 lg(T/T0)` and `A = V/(6 T)` put into
/// equation 11.
pub fn indoor_level_db(
    two_metres_db: f64,
    apparent_reduction_db: f64,
    shape_db: f64,
    facade_area_m2: f64,
    absorption_m2: f64,
) -> f64 {
    two_metres_db - apparent_reduction_db - shape_db + math::db_of_energy(facade_area_m2 / absorption_m2)
}
