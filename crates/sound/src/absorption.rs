//! Absorption in a room: from its surfaces or from its decay time, and the level a source makes in it.

use bands::{BAND_COUNT, Band, Spectrum};
use quantities::{format::round_to, math};
use serde::{Serialize, ser::SerializeMap};

use crate::{
    iso_9613_1_1993::{OutdoorAir, attenuation_db_per_m},
    ranged::RangedSpectrum,
    room_error::RoomError,
};

/// `24 ln 10 / c` at 20 °C, s/m: the constant of Sabine's formula (0.161, printed 0.16 in EN 12354).
const SABINE_S_M: f64 = 0.161;

/// A surface or object that absorbs.
#[derive(Clone, Debug, PartialEq)]
pub struct AbsorbingSurface {
    /// What it is.
    pub name: String,
    /// Its area, m²; for objects the number of pieces, with `coefficient` the m² each.
    pub area_m2: f64,
    /// Absorption coefficient α in each band, 0 to 1.3 (a measured one may exceed 1).
    pub coefficient: [f64; BAND_COUNT],
}

/// Equivalent absorption area A of a room in every band, m².
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Absorption([f64; BAND_COUNT]);

impl Absorption {
    /// `A = Σ Si αi + 4 m V` (EN 12354-6:2003, equation 1, without objects' volume), m the power attenuation of
    /// the air by ISO 9613-1 at the given climate.
    ///
    /// No absorption at all, a volume or an area below zero, a coefficient outside 0 to 1.3: a sentence.
    pub fn from_surfaces(
        room: &str,
        surfaces: &[AbsorbingSurface],
        volume_m3: f64,
        air: &OutdoorAir,
    ) -> Result<Self, RoomError> {
        RoomError::in_range(room, "the volume", volume_m3, "m³", VOLUME_M3)?;
        for surface in surfaces {
            RoomError::in_range(&surface.name, "the area", surface.area_m2, "m²", (0.0, 100_000.0))?;
            for (band, alpha) in Band::all().zip(surface.coefficient) {
                let quantity = format!("the absorption coefficient at {} Hz", band.nominal());
                RoomError::in_range(&surface.name, &quantity, alpha, "", (0.0, 1.3))?;
            }
        }
        Self::from_areas(
            room,
            std::array::from_fn(|at| {
                let in_air = Band::at(at).map_or(0.0, |band| {
                    4.0 * attenuation_db_per_m(band.centre_hz(), air) * math::LN_10 / 10.0 * volume_m3
                });
                let on_surfaces: f64 = surfaces
                    .iter()
                    .map(|surface| surface.area_m2 * surface.coefficient.get(at).copied().unwrap_or(0.0))
                    .sum();
                on_surfaces + in_air
            }),
        )
    }

    /// `A = 0.161 V/T` from the decay time T of each band, s (Sabine; ISO 354:2003, 8.1.2).
    ///
    /// A decay outside 0.02 to 30 s or a volume outside 1 to 100 000 m³ gives a sentence.
    pub fn from_decay(room: &str, volume_m3: f64, decay_s: [f64; BAND_COUNT]) -> Result<Self, RoomError> {
        RoomError::in_range(room, "the volume", volume_m3, "m³", VOLUME_M3)?;
        for (band, seconds) in Band::all().zip(decay_s) {
            let quantity = format!("the decay time at {} Hz", band.nominal());
            RoomError::in_range(room, &quantity, seconds, "s", (0.02, 30.0))?;
        }
        Self::from_areas(room, decay_s.map(|seconds| SABINE_S_M * volume_m3 / seconds))
    }

    /// Absorption areas given for each band, m², above 0.
    pub fn from_areas(room: &str, areas_m2: [f64; BAND_COUNT]) -> Result<Self, RoomError> {
        for (band, area) in Band::all().zip(areas_m2) {
            let quantity = format!("the absorption at {} Hz", band.nominal());
            RoomError::in_range(room, &quantity, area, "m²", (1e-3, 100_000.0))?;
        }
        Ok(Self(areas_m2))
    }

    /// Absorption area in a band, m².
    pub fn area_m2(&self, band: Band) -> f64 {
        self.0.get(band.index()).copied().unwrap_or(1.0)
    }

    /// Decay time by Sabine in a room of this volume, s: `T = 0.161 V/A`.
    pub fn decay_s(&self, band: Band, volume_m3: f64) -> f64 {
        SABINE_S_M * volume_m3 / self.area_m2(band)
    }

    /// Level of the diffuse field that a sound power makes, dB: `Lp = LW + 10 lg(4/A)` (Kuttruff, *Room
    /// Acoustics*, the diffuse part alone: the direct sound close to the source is left out).
    #[must_use]
    pub fn level_of_power(&self, power: &RangedSpectrum) -> RangedSpectrum {
        power.shifted(&Spectrum::from_fn(|band| math::db_of_energy(4.0 / self.area_m2(band))))
    }
}

/// Volumes accepted, m³.
pub(crate) const VOLUME_M3: (f64, f64) = (1.0, 100_000.0);

impl Serialize for Absorption {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(BAND_COUNT))?;
        for band in Band::all() {
            map.serialize_entry(band.nominal(), &round_to(self.area_m2(band), 2))?;
        }
        map.end()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decay_and_absorption_undo_each_other() {
        let absorption = Absorption::from_decay("room", 50.0, [0.5; BAND_COUNT]).unwrap();
        for band in Band::all() {
            assert!((absorption.decay_s(band, 50.0) - 0.5).abs() < 1e-12);
            assert!((absorption.area_m2(band) - 16.1).abs() < 1e-9);
        }
    }

    #[test]
    fn a_room_that_absorbs_nothing_is_turned_away() {
        let error = Absorption::from_areas("hall", [0.0; BAND_COUNT]).unwrap_err();
        assert!(error.to_string().starts_with("hall: the absorption at 25 Hz is"), "{error}");
        assert!(Absorption::from_decay("hall", f64::NAN, [0.5; BAND_COUNT]).is_err());
    }

    #[test]
    fn twice_the_absorption_is_three_decibels_quieter() {
        let power = RangedSpectrum::exact("drum", Spectrum::flat(100.0)).unwrap();
        let bare = Absorption::from_areas("room", [5.0; BAND_COUNT]).unwrap().level_of_power(&power);
        let lined = Absorption::from_areas("room", [10.0; BAND_COUNT]).unwrap().level_of_power(&power);
        let drop = bare.median_db().minus(lined.median_db());
        assert!(Band::all().all(|band| (drop.get(band) - 3.0103).abs() < 1e-4));
    }

    #[test]
    fn the_air_itself_absorbs_at_ten_kilohertz() {
        let air = OutdoorAir::new(20.0, 50.0).unwrap();
        let surface =
            AbsorbingSurface { name: "walls".into(), area_m2: 100.0, coefficient: [0.05; BAND_COUNT] };
        let absorption = Absorption::from_surfaces("room", &[surface], 60.0, &air).unwrap();
        let (low, high) = (Band::at(3).unwrap(), Band::at(26).unwrap());
        assert!((absorption.area_m2(low) - 5.0).abs() < 0.01);
        assert!(absorption.area_m2(high) > 11.0 && absorption.area_m2(high) < 15.0);
    }
}
