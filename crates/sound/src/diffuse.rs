//! The diffuse field: every leaf and every stack of leaves at one frequency, integrated over the angle of incidence.
//!
//! For a wave at angle θ the blocked pressure `2 p_i` drives the stack; both faces are loaded with the radiation
//! impedance of a panel of the element's size, `ρ0c0 σ(θ)` (Davy 2009), instead of that of an endless one. Then
//! `τ_d = 2 ∫ 4 (ρ0c0)² σ |v_n/(p + ρ0c0 σ v)|² dx` over `x = cos θ` from 0 to 1, which for an endless panel is the usual
//! `∫ τ(θ) sin 2θ dθ` (Fahy and Gardonio, *Sound and Structural Vibration*, 2nd ed., §5.6).

use quantities::{air::IMPEDANCE_PA_S_M, math};

use crate::{
    cavity::{CavityAt, Transfers},
    davy_2009::ForcedRadiation,
    lanes::{Complexes, LANES, Reals},
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

/// Integrates leaves and stack at one frequency and in one direction, which leaves and cavities face.
pub(crate) fn integrate(
    leaves: &[PreparedLeaf],
    at: &[LeafAt; MOST_LEAVES],
    cavities: &[CavityAt],
    radiation: ForcedRadiation,
) -> DiffuseSums {
    let mut peaks = [(0.0, 0.0); MOST_LEAVES];
    let mut peak_count = 0;
    for leaf_at in at.iter().take(leaves.len()) {
        if let Some(peak) = coincidence(*leaf_at) {
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
        let loaded = leaf.impedances(leaf_at, Reals::all(0.0)) + Reals::all(2.0 * upright_load);
        *slot = leaf_at.omega_mass * leaf_at.omega_mass / (loaded.norm_sqr().sum() / LANES as f64);
    }
    let mut of_leaf = [LeafLanes::NONE; MOST_LEAVES];
    let mut of_pair = [Reals::all(0.0); MOST_LEAVES];
    let mut of_stack = Reals::all(0.0);
    let mut impedance = [Complexes::ZERO; MOST_LEAVES];
    let mut transfers = [Transfers::NONE; MOST_LEAVES];
    for (slot, cavity) in transfers.iter_mut().zip(cavities) {
        *slot = cavity.transfers(Reals::all(0.0));
    }
    for_each_node(peaks, |x, weight| {
        let sin_squared = x.map(|x| (1.0 - x * x).max(0.0));
        let load = radiation.at_each(x) * IMPEDANCE_PA_S_M;
        let power = load * weight * (8.0 * IMPEDANCE_PA_S_M);
        let line = weight * sin_squared.map(|squared| squared.max(1e-9)).sqrt().inverse();
        for ((((z, leaf), &leaf_at), &normal), sum) in
            impedance.iter_mut().zip(leaves).zip(at).zip(&upright).zip(&mut of_leaf)
        {
            *z = leaf.impedances(leaf_at, sin_squared);
            let loaded = (*z + load * 2.0).norm_sqr().inverse();
            let mobility = loaded * (leaf_at.omega_mass * leaf_at.omega_mass);
            sum.tau += power * loaded;
            sum.point += weight * mobility;
            sum.line += line * (mobility - Reals::all(normal));
        }
        if count < 2 {
            return;
        }
        let impedance = impedance.get(..count).unwrap_or(&[]);
        // Each cavity at these angles once, for the stack and for its pair.
        for (slot, cavity) in transfers.iter_mut().zip(cavities) {
            if cavity.is_oblique() {
                *slot = cavity.transfers(sin_squared);
            }
        }
        let transfers = transfers.get(..cavities.len()).unwrap_or(&[]);
        let (stack, innermost) = through(impedance, transfers, load);
        of_stack += power * stack.inverse();
        if count > 2 {
            // The pair innermost in the stack is met on the way through it.
            let last = transfers.len().saturating_sub(1);
            for (gap, (pair, transfer)) in of_pair.iter_mut().zip(transfers).enumerate() {
                let through = if gap == last {
                    innermost
                } else {
                    let leaves = impedance.get(gap..gap + 2).unwrap_or(&[]);
                    through(leaves, std::slice::from_ref(transfer), load).0
                };
                *pair += power * through.inverse();
            }
        }
    });
    for (sum, lanes) in sums.leaf.iter_mut().zip(&of_leaf) {
        *sum = LeafSums { tau: lanes.tau.sum(), point: lanes.point.sum(), line: lanes.line.sum() };
    }
    sums.pair = of_pair.map(Reals::sum);
    sums.stack = of_stack.sum();
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

/// `|p + Z_r v|²` for unit velocity of the innermost leaf: at the outer face of all, and at that of the two innermost leaves alone.
#[inline(always)]
fn through(impedance: &[Complexes], cavities: &[Transfers], load: Reals) -> (Reals, Reals) {
    let squared = |pressure: Complexes, velocity: Complexes| {
        (pressure + velocity * load).norm_sqr().map(|squared| squared.max(1e-300))
    };
    let mut innermost = Reals::all(1.0);
    let mut pressure = Complexes { re: load, im: Reals::all(0.0) };
    let mut velocity = Complexes { re: Reals::all(1.0), im: Reals::all(0.0) };
    let mut gaps = cavities.iter().rev();
    for (place, &z) in impedance.iter().rev().enumerate() {
        if place > 0
            && let Some(transfer) = gaps.next()
        {
            let outer = transfer.a * pressure + transfer.b * velocity;
            velocity = transfer.c * pressure + transfer.d * velocity;
            pressure = outer;
        }
        pressure = pressure + z * velocity;
        if place == 1 {
            innermost = squared(pressure, velocity);
        }
    }
    (squared(pressure, velocity), innermost)
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

/// Calls `visit(x, weight)` for the nodes of a rule on 0..1 that is dense where the integrand peaks, so many at a time: within a few
/// widths of a peak `x = x_p + w tan φ` with Gauss–Legendre nodes in φ, which makes a Lorentz curve flat, and plain nodes between.
fn for_each_node(peaks: &[(f64, f64)], mut visit: impl FnMut(Reals, Reals)) {
    if peaks.is_empty() {
        for &(x, weight) in &TWENTY {
            visit(x, weight);
        }
        return;
    }
    let plain = |from: f64, to: f64, visit: &mut dyn FnMut(Reals, Reals)| {
        if to > from {
            for &(node, weight) in &TWELVE {
                visit(node * (to - from) + Reals::all(from), weight * (to - from));
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
        for &(node, weight) in &TWENTY {
            let (tan, slope) = tangent(node * sweep + Reals::all(start));
            let x = (tan * width + Reals::all(centre)).map(|x| x.clamp(0.0, 1.0));
            visit(x, weight * slope * (sweep * width));
        }
        plain(high, to, &mut visit);
        from = to;
    }
}

/// Tangents of angles up to `atan 5` either way, and their slopes: the continued fraction of the tangent to its seventh term
/// (off by less than 1e-7), and the slope of that fraction itself, so that a rule laid along it stays exact.
#[inline(always)]
fn tangent(angle: Reals) -> (Reals, Reals) {
    let of = |x: f64| {
        let square = x * x;
        let above = x * (135_135.0 + square * (-17_325.0 + square * (378.0 - square)));
        let below = 135_135.0 + square * (-62_370.0 + square * (3_150.0 - 28.0 * square));
        let above_slope = 135_135.0 + square * (-51_975.0 + square * (1_890.0 - 7.0 * square));
        let below_slope = x * (-124_740.0 + square * (12_600.0 - 168.0 * square));
        let over = 1.0 / below;
        (above * over, (above_slope - above * over * below_slope) * over)
    };
    (angle.map(|x| of(x).0), angle.map(|x| of(x).1))
}

/// The rules, so many nodes at a time.
const TWENTY: [(Reals, Reals); 5] = in_lanes(&NODES_20);
const TWELVE: [(Reals, Reals); 3] = in_lanes(&NODES_12);

const fn in_lanes<const GROUPS: usize>(rule: &[(f64, f64)]) -> [(Reals, Reals); GROUPS] {
    assert!(rule.len() == GROUPS * LANES);
    let mut out = [(Reals::all(0.0), Reals::all(0.0)); GROUPS];
    let mut at = 0;
    while at < rule.len() {
        let (node, weight) = rule[at];
        out[at / LANES].0.0[at % LANES] = node;
        out[at / LANES].1.0[at % LANES] = weight;
        at += 1;
    }
    out
}

/// Integrals of one leaf, so many angles at a time.
#[derive(Clone, Copy)]
struct LeafLanes {
    tau: Reals,
    point: Reals,
    line: Reals,
}

impl LeafLanes {
    const NONE: Self = Self { tau: Reals::all(0.0), point: Reals::all(0.0), line: Reals::all(0.0) };
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_fraction_is_the_tangent() {
        let most = math::atan(PEAK_REACH);
        for step in -200_i32..=200 {
            let angle = most * f64::from(step) / 200.0;
            let (tan, slope) = tangent(Reals::all(angle));
            let exact = math::tan(angle);
            assert!((tan.sum() / 4.0 - exact).abs() < 1e-7, "{angle}: {tan:?} {exact}");
            assert!((slope.sum() / 4.0 - 1.0 - exact * exact).abs() < 3e-6, "{angle}: {slope:?}");
        }
    }
}
