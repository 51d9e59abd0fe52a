//! The diffuse field: every leaf and every stack of leaves at one frequency, integrated over the angle of incidence.
//!
//! For a wave at angle θ the blocked pressure `2 p_i` drives the stack; both faces are loaded with the radiation
//! impedance of a panel of the element's size, `ρ0c0 σ(θ)` (Davy 2009), instead of that of an endless one. Then
//! `τ_d = 2 ∫ 4 (ρ0c0)² σ |v_n/(p + ρ0c0 σ v)|² dx` over `x = cos θ` from 0 to 1, which for an endless panel is the usual
//! `∫ τ(θ) sin 2θ dθ` (Fahy and Gardonio, *Sound and Structural Vibration*, 2nd ed., §5.6).

use num_complex::Complex64;
use quantities::{air::IMPEDANCE_PA_S_M, math};

use crate::{
    cavity::{CavityAt, Transfer},
    davy_2009::ForcedRadiation,
    leaf::{LeafAt, PreparedLeaf},
    quadrature::{NODES_12, NODES_20},
};

/// Most leaves an element may have.
pub(crate) const MOST_LEAVES: usize = 6;

/// How many half widths of a peak the dense part of the rule reaches: against 4000 equal steps, 3 to 8 agree within 0.03 dB.
const PEAK_REACH: f64 = 5.0;
/// From this share of the critical frequency on, the rule is dense towards grazing.
const NEAR_CRITICAL: f64 = 0.7;

/// Integrals at one frequency.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct DiffuseSums {
    /// Of each leaf alone.
    pub(crate) leaf: [LeafSums; MOST_LEAVES],
    /// τ of leaves g and g + 1 with the cavity between them.
    pub(crate) pair: [f64; MOST_LEAVES],
    /// τ of the whole stack.
    pub(crate) stack: f64,
}

/// Integrals of one leaf.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct LeafSums {
    /// τ of the leaf alone.
    pub(crate) tau: f64,
    /// `∫ |jωm/(Z + 2ρ0c0σ)|² dx`: mean square velocity over that of a limp leaf, and radiation of a point force over that
    /// on a limp leaf.
    pub(crate) point: f64,
    /// The same for a line force, `(2/π) ∫ |jωm/(Z + 2ρ0c0σ)|² dθ`.
    pub(crate) line: f64,
}

/// Integrates leaves and stack at one frequency; `azimuth` is the squared cosine of the angle to the ribs of
/// orthotropic leaves.
pub(crate) fn integrate(
    leaves: &[PreparedLeaf],
    cavities: &[CavityAt],
    radiation: ForcedRadiation,
    frequency_hz: f64,
    azimuth: f64,
) -> DiffuseSums {
    let mut at = [LeafAt::default(); MOST_LEAVES];
    let mut peaks = [(0.0, 0.0); MOST_LEAVES];
    let mut peak_count = 0;
    for (slot, leaf) in at.iter_mut().zip(leaves) {
        *slot = leaf.at(frequency_hz, azimuth);
        if let Some(peak) = coincidence(*slot) {
            let near = |other: &(f64, f64)| (other.0 - peak.0).abs() < 0.5 * (other.1 + peak.1);
            let known = peaks.get(..peak_count).is_some_and(|found| found.iter().any(near));
            if !known && let Some(free) = peaks.get_mut(peak_count) {
                *free = peak;
                peak_count += 1;
            }
        }
    }
    let count = leaves.len().min(MOST_LEAVES);
    let at = at.get(..count).unwrap_or(&[]);
    let peaks = peaks.get_mut(..peak_count).unwrap_or(&mut []);
    peaks.sort_by(|a, b| a.0.total_cmp(&b.0));

    let mut sums = DiffuseSums::default();
    // A line's integral over the angle, dθ = dx/sin θ, is singular at normal incidence: there every leaf is known, so only what differs
    // from it is summed.
    let mut upright = [0.0; MOST_LEAVES];
    let upright_load = IMPEDANCE_PA_S_M * radiation.at(1.0);
    for ((slot, leaf), &leaf_at) in upright.iter_mut().zip(leaves).zip(at) {
        let loaded = (leaf.impedance(leaf_at, 0.0) + 2.0 * upright_load).norm_sqr();
        *slot = leaf_at.omega_mass * leaf_at.omega_mass / loaded;
    }
    for_each_node(peaks, |x, weight| {
        let sin_squared = (1.0 - x * x).max(0.0);
        let sigma = radiation.at(x);
        let load = IMPEDANCE_PA_S_M * sigma;
        let power = 8.0 * IMPEDANCE_PA_S_M * load * weight;
        let line = weight / sin_squared.max(1e-9).sqrt();
        let mut impedance = [Complex64::new(0.0, 0.0); MOST_LEAVES];
        for ((((z, leaf), &leaf_at), &normal), sum) in
            impedance.iter_mut().zip(leaves).zip(at).zip(&upright).zip(&mut sums.leaf)
        {
            *z = leaf.impedance(leaf_at, sin_squared);
            let loaded = 1.0 / (*z + 2.0 * load).norm_sqr();
            let mobility = leaf_at.omega_mass * leaf_at.omega_mass * loaded;
            sum.tau += power * loaded;
            sum.point += weight * mobility;
            sum.line += line * (mobility - normal);
        }
        if count < 2 {
            return;
        }
        let impedance = impedance.get(..count).unwrap_or(&[]);
        // Each cavity at this angle once, for the stack and for its pair.
        let mut transfers = [Transfer::NONE; MOST_LEAVES];
        for (slot, cavity) in transfers.iter_mut().zip(cavities) {
            *slot = cavity.transfer(sin_squared);
        }
        let transfers = transfers.get(..cavities.len()).unwrap_or(&[]);
        sums.stack += power / through(impedance, transfers, load);
        if count > 2 {
            for (gap, (pair, transfer)) in sums.pair.iter_mut().zip(transfers).enumerate() {
                let leaves = impedance.get(gap..gap + 2).unwrap_or(&[]);
                *pair += power / through(leaves, std::slice::from_ref(transfer), load);
            }
        }
    });
    for (sum, normal) in sums.leaf.iter_mut().zip(upright).take(count) {
        sum.line = (normal + sum.line / (0.5 * math::PI)).max(0.0);
    }
    if count == 1 {
        sums.stack = sums.leaf.first().map_or(0.0, |leaf| leaf.tau);
    }
    if count == 2 {
        sums.pair = [sums.stack; MOST_LEAVES];
    }
    sums
}

/// `|p + Z_r v|²` at the outer face for unit velocity of the innermost leaf.
#[inline]
fn through(impedance: &[Complex64], cavities: &[Transfer], load: f64) -> f64 {
    let mut pressure = Complex64::new(load, 0.0);
    let mut velocity = Complex64::new(1.0, 0.0);
    let mut gaps = cavities.iter().rev();
    for (place, z) in impedance.iter().rev().enumerate() {
        if place > 0
            && let Some(transfer) = gaps.next()
        {
            let outer = transfer.a * pressure + transfer.b * velocity;
            velocity = transfer.c * pressure + transfer.d * velocity;
            pressure = outer;
        }
        pressure += z * velocity;
    }
    (pressure + load * velocity).norm_sqr().max(1e-300)
}

/// Where a leaf lets most through, as cosine of the angle and its half width: at coincidence above the critical frequency, and towards
/// grazing just below it; none further below.
fn coincidence(at: LeafAt) -> Option<(f64, f64)> {
    let ratio = at.ratio_squared.sqrt();
    if !ratio.is_finite() || ratio < NEAR_CRITICAL {
        return None;
    }
    if ratio <= 1.0 {
        // |Z| grows from grazing as 1 − (f/fc)² + 2 (f/fc)² x².
        return Some((0.0, (0.5 * (1.0 - at.ratio_squared + at.eta)).sqrt().max(1e-3)));
    }
    let sin_squared = 1.0 / ratio;
    let cosine = (1.0 - sin_squared).sqrt();
    let damping = at.eta + 2.0 * IMPEDANCE_PA_S_M / (at.omega_mass * cosine.max(0.1));
    let width = 0.5 * damping * sin_squared;
    Some((cosine, (width / (2.0 * cosine.max(1e-6))).min(width.sqrt()).max(1e-5)))
}

/// Calls `visit(x, weight)` for the nodes of a rule on 0..1 that is dense where the integrand peaks: within a few widths of a peak
/// `x = x_p + w tan φ` with Gauss–Legendre nodes in φ, which makes a Lorentz curve flat, and plain nodes between.
fn for_each_node(peaks: &[(f64, f64)], mut visit: impl FnMut(f64, f64)) {
    if peaks.is_empty() {
        for &(x, weight) in &NODES_20 {
            visit(x, weight);
        }
        return;
    }
    let plain = |from: f64, to: f64, visit: &mut dyn FnMut(f64, f64)| {
        if to > from {
            for &(node, weight) in &NODES_12 {
                visit(from + node * (to - from), weight * (to - from));
            }
        }
    };
    let mut from = 0.0;
    for (place, &(centre, width)) in peaks.iter().enumerate() {
        let to = peaks.get(place + 1).map_or(1.0, |next| 0.5 * (centre + next.0));
        let (low, high) = ((centre - PEAK_REACH * width).max(from), (centre + PEAK_REACH * width).min(to));
        plain(from, low, &mut visit);
        let start = math::atan((low - centre) / width);
        let sweep = math::atan((high - centre) / width) - start;
        for &(node, weight) in &NODES_20 {
            let tan = math::tan(start + node * sweep);
            let x = (centre + width * tan).clamp(0.0, 1.0);
            visit(x, weight * sweep * width * (1.0 + tan * tan));
        }
        plain(high, to, &mut visit);
        from = to;
    }
}
