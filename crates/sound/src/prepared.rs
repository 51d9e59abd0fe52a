//! An element checked and ready for computing, and the fast path from it to transmission coefficients.

use bands::{BAND_COUNT, Band, Spectrum};
use quantities::math;

use crate::{
    bridge::{self, PreparedBridge},
    cavity::{self, CavityAt, PreparedCavity},
    check,
    davy_2009::ForcedRadiation,
    davy_2010,
    diffuse::{self, DiffuseSums, MOST_LEAVES},
    element::{BridgeKind, Element},
    error::ElementError,
    family::FamilyParameters,
    leaf::{LeafAt, PreparedLeaf},
    leak, sharp_1978,
};

/// Frequencies a third-octave band is averaged over, as multiples of its centre: the middles of five equal steps of
/// log frequency. Three differ from nine by up to 0.7 dB where a cavity resonates, five by 0.2 dB.
const STEPS: [f64; 5] =
    [0.912_010_839_355_909_7, 0.954_992_586_021_435_9, 1.0, 1.047_128_548_050_899_5, 1.096_478_196_143_185];
/// Squared cosines of the angles to the ribs over which an orthotropic leaf is averaged (five equal steps of angle).
const AZIMUTHS: [f64; 5] = [
    0.975_528_258_147_576_8,
    0.793_892_626_146_236_6,
    0.5,
    0.206_107_373_853_763_4,
    0.024_471_741_852_423_214,
];

/// The same in an order that has little to do with the frequency: where directions differ little, each of the frequencies of a band takes one.
const MIXED_AZIMUTHS: [f64; 5] = [AZIMUTHS[2], AZIMUTHS[0], AZIMUTHS[4], AZIMUTHS[1], AZIMUTHS[3]];
/// Three equal steps of angle, for a little grain where it counts: against all directions they are off by less than 0.8 dB in any band (the test below).
const FEW_AZIMUTHS: [f64; 3] = [0.933_012_701_892_219_3, 0.5, 0.066_987_298_107_780_7];
/// Ratio of stiffnesses up to which those few do.
const LITTLE_GRAIN: f64 = 2.0;
/// Ratio above which directions count in all bands: ribs.
const MOST_GRAIN: f64 = 50.0;
/// Share of the critical frequency in the stiffest direction from which the direction counts: below it leaves move like limp ones.
const DIRECTION_COUNTS: f64 = 0.5;

/// In how many directions the leaves must be followed.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Directions {
    /// They are alike in all.
    Same,
    /// From this frequency up (Hz) leaves with a grain must be followed in several directions, few or more; below it one serves for each
    /// frequency.
    Grain {
        /// From this frequency up, Hz.
        from_hz: f64,
        /// Whether a few do.
        few: bool,
    },
    /// Ribs.
    Ribs,
}

impl Directions {
    fn of(leaves: &[PreparedLeaf], element: &Element) -> Self {
        let most = leaves.iter().map(|leaf| leaf.root_ratio * leaf.root_ratio).fold(1.0, f64::max);
        let bays = element.bridges.iter().any(|bridge| closed_bay_m(&bridge.kind).is_some());
        if most > MOST_GRAIN {
            return Self::Ribs;
        }
        if most <= 1.0 && !bays {
            return Self::Same;
        }
        let from_hz = leaves
            .iter()
            .filter(|leaf| leaf.root_ratio > 1.0)
            .map(|leaf| DIRECTION_COUNTS * leaf.fc / (leaf.across * leaf.root_ratio))
            .fold(f64::INFINITY, f64::min);
        Self::Grain { from_hz, few: most <= LITTLE_GRAIN }
    }

    /// Directions to average over at a frequency, as squared cosines; `mixed` is the one that serves alone.
    fn at(self, frequency_hz: f64, mixed: &f64) -> &[f64] {
        match self {
            Self::Grain { from_hz, few: true } if frequency_hz >= from_hz => &FEW_AZIMUTHS,
            Self::Grain { from_hz, few: false } if frequency_hz >= from_hz => &AZIMUTHS,
            Self::Same | Self::Grain { .. } => std::slice::from_ref(mixed),
            Self::Ribs => &AZIMUTHS,
        }
    }
}

/// How the path through two leaves and the air between them is computed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum AirModel {
    /// Fluid layers by transfer matrix, finite size by Davy (2009), waves along empty cavities losing energy at their edges.
    #[default]
    Layers,
    /// Sharp (1978).
    Sharp,
    /// Davy (2010), closed form.
    Davy,
}

/// An element checked and ready for computing.
#[derive(Clone, Debug)]
pub struct Prepared {
    pub(crate) leaves: Vec<PreparedLeaf>,
    pub(crate) cavities: Vec<PreparedCavity>,
    bridges: Vec<PreparedBridge>,
    leaks: Option<Spectrum>,
    /// What leaks through each leaf alone into the cavity behind it.
    leaf_leaks: Vec<Option<Spectrum>>,
    width: f64,
    height: f64,
    directions: Directions,
    air_model: AirModel,
    /// With less fibre in a cavity than laboratory data stand behind: the element without it, and the share of the sound that then
    /// meets no fibre.
    thin_fill: Option<(f64, Box<Prepared>)>,
}

/// Transmission coefficients of one element, per band.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Transmission {
    /// Through leaves and cavities.
    pub air: [f64; BAND_COUNT],
    /// Through studs, clips, ties and frames.
    pub bridge: [f64; BAND_COUNT],
    /// Through joints and holes.
    pub leak: [f64; BAND_COUNT],
}

impl Transmission {
    /// A measured spectrum, with the leaks of `leaks` (transmission coefficients) beside it.
    pub(crate) fn measured(r_db: &Spectrum, leaks: Option<&Spectrum>) -> Self {
        let mut out = Self { air: [0.0; BAND_COUNT], bridge: [0.0; BAND_COUNT], leak: [0.0; BAND_COUNT] };
        for (band, r) in r_db.iter() {
            out.air[band.index()] = math::energy_of_db(-r);
            out.leak[band.index()] = leaks.map_or(0.0, |leaks| leaks.get(band));
        }
        out
    }

    /// Sound reduction index of all paths together, dB.
    pub fn reduction_index(&self) -> Spectrum {
        Spectrum::from_fn(|band| {
            let i = band.index();
            let tau = self.air[i] + self.bridge[i] + self.leak[i];
            -math::db_of_energy(tau.clamp(1e-30, 1e3))
        })
    }
}

impl Prepared {
    /// Checks an element and prepares it; the error is a sentence.
    pub fn new(element: &Element) -> Result<Self, ElementError> {
        Self::with(element, &FamilyParameters::default(), AirModel::default(), &[])
    }

    /// The same with other family parameters or another model of the air path: for fitting and comparing. `leak_factors`
    /// multiplies the width or area of each leak.
    pub fn with(
        element: &Element,
        family: &FamilyParameters,
        air_model: AirModel,
        leak_factors: &[f64],
    ) -> Result<Self, ElementError> {
        check::check(element)?;
        let leaves: Vec<PreparedLeaf> =
            element.leaves().map(|leaf| PreparedLeaf::new(leaf, element, family)).collect();
        let bridges: Vec<PreparedBridge> =
            element.bridges.iter().map(|bridge| PreparedBridge::new(bridge, element, family)).collect();
        let cavities = element
            .cavities()
            .enumerate()
            .map(|(gap, cavity)| {
                let mut added = 0.0;
                let mut bay = None;
                let mut edges = Some(2.0 * (element.width_m + element.height_m) / element.area_m2());
                for (bridge, prepared) in element.bridges.iter().zip(&bridges) {
                    let across = prepared.outer == gap && prepared.inner == gap + 1;
                    let pair = leaves.get(gap).zip(leaves.get(gap + 1));
                    if across && let Some(pair) = pair {
                        added += bridge::added_stiffness(bridge, prepared, pair, family);
                        if has_studs(&bridge.kind) {
                            edges = None;
                        }
                        bay = bay.or(closed_bay_m(&bridge.kind));
                    }
                }
                PreparedCavity::new(cavity, edges, bay, added, family)
            })
            .collect();
        Ok(Self {
            directions: Directions::of(&leaves, element),
            leaves,
            cavities,
            bridges,
            leaks: leak::transmission(element, leak_factors),
            leaf_leaks: (0..element.leaves().count())
                .map(|place| leak::through_leaf(element, leak_factors, place))
                .collect(),
            width: element.width_m,
            height: element.height_m,
            air_model,
            thin_fill: match cavity::thinly_filled(element) {
                Some((bare_share, unfilled)) => {
                    Some((bare_share, Box::new(Self::with(&unfilled, family, air_model, leak_factors)?)))
                }
                None => None,
            },
        })
    }

    /// Mass–air–mass resonance of a gap with all that stiffens it, Hz: `(1/2π) √(s (m1 + m2)/(m1 m2))`.
    pub(crate) fn resonance_hz(&self, gap: usize) -> Option<f64> {
        let (outer, inner, cavity) =
            (self.leaves.get(gap)?, self.leaves.get(gap + 1)?, self.cavities.get(gap)?);
        let inverse = 1.0 / outer.mass + 1.0 / inner.mass;
        Some((cavity.stiffness() * inverse).sqrt() / math::TAU)
    }

    /// Transmission coefficients in all bands. Allocates nothing.
    pub fn transmission(&self) -> Transmission {
        let mut out = self.transmission_as_filled();
        if let Some((bare_share, unfilled)) = &self.thin_fill {
            let bare = unfilled.transmission();
            let sides = out.air.iter_mut().zip(bare.air).chain(out.bridge.iter_mut().zip(bare.bridge));
            for (with_fibre, without) in sides {
                *with_fibre += bare_share * (without - *with_fibre);
            }
        }
        out
    }

    fn transmission_as_filled(&self) -> Transmission {
        let mut resonances = [0.0; MOST_LEAVES];
        for (gap, slot) in resonances.iter_mut().enumerate() {
            *slot = self.resonance_hz(gap).unwrap_or(0.0);
        }
        let mut out =
            Transmission { air: [0.0; BAND_COUNT], bridge: [0.0; BAND_COUNT], leak: [0.0; BAND_COUNT] };
        for band in Band::all() {
            let i = band.index();
            let mut leaf_tau = [0.0; MOST_LEAVES];
            for (step, azimuth) in STEPS.into_iter().zip(MIXED_AZIMUTHS) {
                let paths = self.paths_at(band, (step, azimuth), &resonances);
                out.air[i] += paths.air / STEPS.len() as f64;
                out.bridge[i] += paths.bridge / STEPS.len() as f64;
                for (sum, tau) in leaf_tau.iter_mut().zip(paths.leaf) {
                    *sum += tau / STEPS.len() as f64;
                }
            }
            // In a building heavy leaves follow Annex B, which knows their real edges; the rest keeps the ratio the layers give
            // it to the same leaf alone.
            for (leaf, tau) in self.leaves.iter().zip(leaf_tau) {
                if let Some(annex_b) = leaf.masonry.and_then(|masonry| masonry.annex_b_db(band.nominal_hz()))
                {
                    let correction = math::energy_of_db(-annex_b) / tau.max(1e-30);
                    out.air[i] *= correction;
                    out.bridge[i] *= correction;
                }
            }
            for (leaf, tau) in self.leaves.iter().zip(leaf_tau).filter(|(leaf, _)| !leaf.by_annex_b()) {
                let resonant = leaf.resonant(self.width, self.height, band.centre_hz());
                let correction = 1.0 + resonant / tau.max(1e-30);
                out.air[i] *= correction;
                out.bridge[i] *= correction;
            }
            out.air[i] = out.air[i].min(1.0);
            out.bridge[i] = out.bridge[i].min(1.0);
            if let Some(leaks) = &self.leaks {
                out.leak[i] = leaks.get(band);
            }
        }
        out
    }

    fn paths_at(&self, band: Band, (step, azimuth): (f64, f64), resonances: &[f64; MOST_LEAVES]) -> PathsAt {
        let frequency_hz = band.centre_hz() * step;
        let radiation = ForcedRadiation::new(self.width, self.height, frequency_hz);
        let directions = self.directions.at(frequency_hz, &azimuth);
        // What does not hang on the direction is worked out once for all.
        let mut leaves = [LeafAt::default(); MOST_LEAVES];
        for (slot, leaf) in leaves.iter_mut().zip(&self.leaves) {
            *slot = leaf.at(frequency_hz);
        }
        let mut cavities = [CavityAt::NONE; MOST_LEAVES];
        for (slot, cavity) in cavities.iter_mut().zip(&self.cavities) {
            *slot = cavity.at(frequency_hz);
        }
        let mut mean = PathsAt::default();
        for &azimuth in directions {
            let mut facing = leaves;
            for (slot, leaf) in facing.iter_mut().zip(&self.leaves) {
                *slot = leaf.facing(*slot, azimuth);
            }
            let cavities = cavities.map(|cavity| cavity.facing(azimuth));
            let cavities = cavities.get(..self.cavities.len()).unwrap_or(&[]);
            let sums = diffuse::integrate(&self.leaves, &facing, cavities, radiation);
            let paths = self.combine(&sums, band, frequency_hz, resonances);
            mean.add(&paths, 1.0 / directions.len() as f64);
        }
        mean
    }

    /// Joins gaps and leaves: through each gap by the air, an open vent or a bridge; what is left of a leaf between two gaps is
    /// counted once.
    fn combine(
        &self,
        sums: &DiffuseSums,
        band: Band,
        frequency_hz: f64,
        resonances: &[f64; MOST_LEAVES],
    ) -> PathsAt {
        let mut out = PathsAt::default();
        for (slot, leaf) in out.leaf.iter_mut().zip(&sums.leaf) {
            *slot = leaf.tau;
        }
        if self.cavities.is_empty() {
            out.air = sums.stack;
            return out;
        }
        let (mut closed, mut open) = (1.0, 1.0);
        let mut gap_air = [0.0; MOST_LEAVES];
        for (gap, slot) in gap_air.iter_mut().enumerate().take(self.cavities.len()) {
            let f0 = resonances.get(gap).copied().unwrap_or(0.0);
            let direct = self.gap(gap, sums, frequency_hz, f0);
            let vented = self.leaking(gap, sums, band);
            let between =
                if gap > 0 { sums.leaf.get(gap).map_or(1.0, |leaf| leaf.tau.max(1e-30)) } else { 1.0 };
            closed *= direct / between;
            open *= (direct + vented) / between;
            *slot = direct + vented;
        }
        let by_layers =
            self.air_model == AirModel::Layers && !(0..self.cavities.len()).any(|gap| self.is_heavy(gap));
        let direct = if by_layers { sums.stack } else { closed };
        out.air = direct + (open - closed).max(0.0);
        out.bridge = self.bridged(sums, &gap_air, frequency_hz, resonances);
        out
    }

    /// Whether both leaves of a gap are masonry. Two equal walls coincide at the same angle, and layers of endless
    /// extent let that angle straight through; walls of real size do not, so Sharp's sum of the two stands in.
    fn is_heavy(&self, gap: usize) -> bool {
        let masonry = |place: usize| self.leaves.get(place).is_some_and(|leaf| leaf.masonry.is_some());
        masonry(gap) && masonry(gap + 1)
    }

    /// τ through one gap alone, its two leaves included.
    fn gap(&self, gap: usize, sums: &DiffuseSums, frequency_hz: f64, f0: f64) -> f64 {
        let (Some(outer), Some(inner)) = (sums.leaf.get(gap), sums.leaf.get(gap + 1)) else { return 0.0 };
        let (Some(first), Some(second)) = (self.leaves.get(gap), self.leaves.get(gap + 1)) else {
            return 0.0;
        };
        let Some(cavity) = self.cavities.get(gap) else { return 0.0 };
        let absorption = cavity.absorption();
        let air_model = if self.is_heavy(gap) { AirModel::Sharp } else { self.air_model };
        match air_model {
            AirModel::Layers => sums.pair.get(gap).copied().unwrap_or(0.0),
            AirModel::Sharp => {
                let total = 1.0 + second.mass / first.mass;
                let together = outer.tau / (total * total);
                let leaves = (outer.tau, inner.tau);
                sharp_1978::air_transmission(leaves, together, cavity.depth(), absorption, frequency_hz)
            }
            AirModel::Davy => {
                let path = davy_2010::AirPath {
                    masses: (first.mass, second.mass),
                    drives: (outer.point, inner.point),
                    resonance_hz: f0,
                    absorption,
                    half_side_m: self.width * self.height / (self.width + self.height),
                };
                davy_2010::air_transmission(path, frequency_hz)
            }
        }
    }

    /// τ through a gap where sound enters or leaves its cavity by seals and vents: it spreads in the cavity and loses
    /// `10 lg α` there.
    fn leaking(&self, gap: usize, sums: &DiffuseSums, band: Band) -> f64 {
        let Some(cavity) = self.cavities.get(gap) else { return 0.0 };
        let leak = |place: usize| {
            self.leaf_leaks.get(place).and_then(Option::as_ref).map_or(0.0, |leaks| leaks.get(band))
        };
        let (outer_leak, inner_leak) = (leak(gap) + cavity.vent_share(), leak(gap + 1));
        if outer_leak + inner_leak <= 0.0 {
            return 0.0;
        }
        let tau = |place: usize| sums.leaf.get(place).map_or(0.0, |leaf| leaf.tau);
        let (outer, inner) = (tau(gap), tau(gap + 1));
        ((outer + outer_leak) * (inner + inner_leak) - outer * inner) / cavity.absorption()
    }

    /// Sum over all paths with at least one bridge.
    fn bridged(
        &self,
        sums: &DiffuseSums,
        gap_air: &[f64; MOST_LEAVES],
        frequency_hz: f64,
        resonances: &[f64; MOST_LEAVES],
    ) -> f64 {
        if self.bridges.is_empty() {
            return 0.0;
        }
        let gaps = self.cavities.len();
        let leaf_tau = |place: usize| sums.leaf.get(place).map_or(1.0, |leaf| leaf.tau.max(1e-30));
        // Over each gap: air alone, and air with the bridges of just that gap.
        let mut gap_bridge = [0.0; MOST_LEAVES];
        let mut spanning = 0.0;
        for bridge in &self.bridges {
            let (Some(outer), Some(inner)) = (self.leaves.get(bridge.outer), self.leaves.get(bridge.inner))
            else {
                continue;
            };
            let (Some(driven), Some(radiating)) = (sums.leaf.get(bridge.outer), sums.leaf.get(bridge.inner))
            else {
                continue;
            };
            let tau = bridge.transmission(
                (outer, inner),
                driven.point,
                (radiating.point, radiating.line),
                frequency_hz,
            ) * apart(frequency_hz, resonances.get(bridge.outer..bridge.inner).unwrap_or(&[]));
            if bridge.inner == bridge.outer + 1 {
                if let Some(slot) = gap_bridge.get_mut(bridge.outer) {
                    *slot += tau;
                    if self.is_heavy(bridge.outer) {
                        // However stiff the ties, two walls are never worse than moving as one: their impedances add.
                        let together =
                            1.0 / leaf_tau(bridge.outer).sqrt() + 1.0 / leaf_tau(bridge.inner).sqrt();
                        *slot = slot.min(1.0 / (together * together));
                    }
                }
            } else {
                let mut path = tau;
                for gap in 0..bridge.outer {
                    path *= gap_air.get(gap).copied().unwrap_or(0.0) / leaf_tau(gap + 1);
                }
                for gap in bridge.inner..gaps {
                    path *= gap_air.get(gap).copied().unwrap_or(0.0) / leaf_tau(gap);
                }
                spanning += path;
            }
        }
        let (mut with, mut without) = (1.0, 1.0);
        for gap in 0..gaps {
            let between = if gap > 0 { leaf_tau(gap) } else { 1.0 };
            let air = gap_air.get(gap).copied().unwrap_or(0.0);
            with *= (air + gap_bridge.get(gap).copied().unwrap_or(0.0)) / between;
            without *= air / between;
        }
        (with - without).max(0.0) + spanning
    }
}

/// How far two leaves move apart, 0 to 1: well below the resonance of the air between them they move as one, the path through the air
/// holds that already, and what ties them together has nothing to carry (Davy 2010 adds the studs above the resonance only).
/// `r⁴/(1 + r⁴)` with r the frequency over the lowest of the resonances between the two.
fn apart(frequency_hz: f64, resonances: &[f64]) -> f64 {
    let lowest = resonances.iter().copied().fold(f64::INFINITY, f64::min);
    let ratio = frequency_hz / lowest.max(1e-9);
    let fourth = ratio * ratio * ratio * ratio;
    fourth / (1.0 + fourth)
}

/// Paths at one frequency.
#[derive(Clone, Copy, Debug, Default)]
struct PathsAt {
    air: f64,
    bridge: f64,
    leaf: [f64; MOST_LEAVES],
}

impl PathsAt {
    fn add(&mut self, other: &Self, share: f64) {
        self.air += other.air * share;
        self.bridge += other.bridge * share;
        for (sum, tau) in self.leaf.iter_mut().zip(other.leaf) {
            *sum += tau * share;
        }
    }
}

/// Width of the bays that studs close, m.
fn closed_bay_m(kind: &BridgeKind) -> Option<f64> {
    match *kind {
        BridgeKind::TimberStud { spacing_m } | BridgeKind::SteelStud { spacing_m, .. } => Some(spacing_m),
        BridgeKind::ResilientChannel { stud_spacing_m, .. } => Some(stud_spacing_m),
        _ => None,
    }
}

/// Whether studs stand in the cavity.
fn has_studs(kind: &BridgeKind) -> bool {
    matches!(
        kind,
        BridgeKind::TimberStud { .. }
            | BridgeKind::SteelStud { .. }
            | BridgeKind::StaggeredStud { .. }
            | BridgeKind::DoubleStud { .. }
            | BridgeKind::ResilientChannel { .. }
    )
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test")]
mod tests {
    use super::*;
    use crate::element::{Cavity, Fill, Leaf, Part, Sheet};

    fn wall(ratio: f64, fill: bool) -> Element {
        let board =
            || Sheet { along_over_across: ratio, ..Sheet::from_wave_speed("board", 0.0125, 700.0, 1810.0) };
        let cavity = if fill {
            Cavity::filled(0.1, Fill::fibre("wool", 0.1, 7000.0, 14.0))
        } else {
            Cavity::empty(0.1)
        };
        Element {
            parts: vec![
                Part::Leaf(Leaf::thin("outer", vec![board(), board()])),
                Part::Cavity(cavity),
                Part::Leaf(Leaf::thin("inner", vec![board(), board()])),
            ],
            ..Element::default()
        }
    }

    /// The directions that are left out where they do not count cost less than a decibel in any band.
    #[test]
    fn few_directions_do_for_a_little_grain() {
        for (ratio, allowed_db) in [(1.4, 0.8), (1.8, 0.8), (2.5, 0.3)] {
            for fill in [false, true] {
                let mut prepared = Prepared::new(&wall(ratio, fill)).unwrap();
                let few = prepared.transmission().reduction_index();
                prepared.directions = Directions::Ribs;
                let all = prepared.transmission().reduction_index();
                for band in Band::range(50.0, 5000.0) {
                    let off = few.get(band) - all.get(band);
                    assert!(off.abs() < allowed_db, "{ratio} {fill} {} Hz: {off:+.2} dB", band.nominal());
                }
            }
        }
    }

    /// A film of fibre does next to nothing, and each millimetre more never less.
    #[test]
    fn less_fibre_than_was_ever_measured_counts_in_proportion() {
        let with_fibre = |thickness_m: f64| {
            let mut element = wall(1.0, false);
            let fill = Fill::fibre("wool", thickness_m, 7000.0, 14.0);
            element.parts[1] = Part::Cavity(Cavity { fills: vec![fill], ..Cavity::empty(0.1) });
            Prepared::new(&element).unwrap().transmission().reduction_index()
        };
        let bare = Prepared::new(&wall(1.0, false)).unwrap().transmission().reduction_index();
        let film = with_fibre(0.001);
        let mut thinner = film;
        for thickness_m in [0.005, 0.010, 0.015, 0.020, 0.024] {
            let thicker = with_fibre(thickness_m);
            let band = Band::from_nominal_hz(1000.0).unwrap();
            assert!(thicker.get(band) > thinner.get(band), "{thickness_m}");
            thinner = thicker;
        }
        let mut most_db: f64 = 0.0;
        for band in Band::range(50.0, 5000.0) {
            let off_db = film.get(band) - bare.get(band);
            // Near the resonance a cavity with fibre answers at all angles at once, and even 1 mm of it shows.
            let allowed_db = if band.nominal_hz() < 100.0 { 1.0 } else { 0.3 };
            assert!(off_db.abs() < allowed_db, "{} Hz: {off_db:.2} dB", band.nominal());
            most_db = most_db.max(with_fibre(0.025).get(band) - bare.get(band));
        }
        assert!(most_db > 6.0, "{most_db}");
    }
}
