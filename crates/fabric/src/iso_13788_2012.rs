//! EN ISO 13788:2012, internal surface temperature to avoid critical surface humidity, and interstitial condensation.

use quantities::math;
use serde::Serialize;

/// Water-vapour permeability of still air δ₀, kg/(m s Pa).
pub const DELTA_0: f64 = 2e-10;

/// Equivalent air-layer thickness of any unventilated air layer, m, whatever its depth (5.3; from memory).
pub const AIR_LAYER_SD_M: f64 = 0.01;

/// Inner surface resistance for the surface humidity, m² K/W (4.4.1).
pub const RSI_MOULD: f64 = 0.25;

/// Critical relative humidity at a surface for mould, 0 to 1 (5.2).
pub const CRITICAL_SURFACE_HUMIDITY: f64 = 0.8;

/// Most thermal resistance of a notional layer, m² K/W (6.2).
pub const NOTIONAL_LAYER_M2K_W: f64 = 0.25;

/// Seconds of each month, January first.
pub const MONTH_S: [f64; 12] = [
    31.0 * 86_400.0,
    28.0 * 86_400.0,
    31.0 * 86_400.0,
    30.0 * 86_400.0,
    31.0 * 86_400.0,
    30.0 * 86_400.0,
    31.0 * 86_400.0,
    31.0 * 86_400.0,
    30.0 * 86_400.0,
    31.0 * 86_400.0,
    30.0 * 86_400.0,
    31.0 * 86_400.0,
];

/// Internal humidity class, Annex A.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum HumidityClass {
    /// 1: a dry store.
    One,
    /// 2: offices, dwellings with few people and ventilation.
    Two,
    /// 3: buildings of unknown use, dwellings with many people.
    Three,
    /// 4: sports halls, kitchens.
    Four,
    /// 5: a laundry, a pool. It has no upper limit in the standard; 1300 Pa is taken: measure it instead.
    Five,
}

/// Saturation pressure p_sat of water vapour, Pa, at a temperature, °C; eqs (E.7) and (E.8):
/// 610.5 exp(17.269 θ/(237.3 + θ)) from 0 °C upwards, 610.5 exp(21.875 θ/(265.5 + θ)) below.
pub fn saturation_pa(temperature_c: f64) -> f64 {
    let (a, b) = if temperature_c >= 0.0 { (17.269, 237.3) } else { (21.875, 265.5) };
    610.5 * math::exp(a * temperature_c / (b + temperature_c))
}

/// Dew point, °C, of a vapour pressure, Pa; eqs (E.9) and (E.10): 237.3 ln(p/610.5)/(17.269 − ln(p/610.5)) from 610.5 Pa
/// upwards, 265.5 ln(p/610.5)/(21.875 − ln(p/610.5)) below. Pressures below 1e-6 Pa count as that.
pub fn dew_point_c(vapour_pa: f64) -> f64 {
    let ratio = math::ln(vapour_pa.max(1e-6) / 610.5);
    if ratio >= 0.0 { 237.3 * ratio / (17.269 - ratio) } else { 265.5 * ratio / (21.875 - ratio) }
}

/// Excess of indoor vapour pressure over outdoors Δp, Pa, of a humidity class, Figure A.1: 270, 540, 810, 1080 Pa for classes
/// 1 to 4 up to 0 °C outdoors, falling straight to 0 at 20 °C: the upper limit of the class.
pub fn excess_pa(class: HumidityClass, outdoor_c: f64) -> f64 {
    let most = match class {
        HumidityClass::One => 270.0,
        HumidityClass::Two => 540.0,
        HumidityClass::Three => 810.0,
        HumidityClass::Four => 1080.0,
        HumidityClass::Five => 1300.0,
    };
    most * ((20.0 - outdoor_c) / 20.0).clamp(0.0, 1.0)
}

/// Temperature factor of the inner surface, f_Rsi = 1 − R_si U with R_si = 0.25 m² K/W.
pub fn frsi(u_w_m2k: f64) -> f64 {
    1.0 - RSI_MOULD * u_w_m2k
}

/// Temperature factor that keeps the surface at 80 % relative humidity, eq. (3):
/// f_Rsi,min = (θ_si,min − θ_e)/(θ_i − θ_e) with p_sat(θ_si,min) = p_i/0.8. 0 where it is no colder outside than inside, or
/// where even a surface as cold as outdoors stays below.
pub fn frsi_needed(outdoor_c: f64, indoor_c: f64, indoor_pa: f64) -> f64 {
    let rise = indoor_c - outdoor_c;
    if rise <= 0.0 {
        return 0.0;
    }
    ((dew_point_c(indoor_pa / CRITICAL_SURFACE_HUMIDITY) - outdoor_c) / rise).max(0.0)
}

/// A plane of the section: vapour resistance from outside to there, m, and saturation pressure there, Pa.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plane {
    /// Equivalent air-layer thickness from the outer surface, m.
    pub sd_m: f64,
    /// Saturation pressure, Pa.
    pub saturation_pa: f64,
}

/// Vapour pressure at every plane and condensation at each, for one state of the climates.
#[derive(Clone, Debug, PartialEq)]
pub struct VapourLine {
    /// Vapour pressure, Pa.
    pub vapour_pa: Vec<f64>,
    /// Condensing (or, minus, evaporating) rate, kg/(m² s).
    pub rate_kg_m2_s: Vec<f64>,
}

/// The vapour line from outdoors to indoors, 6.4: straight in s_d where that stays below saturation, otherwise the lines that
/// touch saturation from below (the lower convex envelope), each touching plane condensing what arrives less what leaves,
/// g = δ₀ (slope inside − slope outside). A plane that is `wet` stays at saturation (6.5) and may evaporate.
///
/// The first and last planes are the surfaces, at the outdoor and indoor pressure. Planes closer than a nanometre in s_d count
/// as one, the outermost of them, at the lowest saturation pressure.
pub fn vapour_line(planes: &[Plane], outdoor_pa: f64, indoor_pa: f64, wet: &[bool]) -> VapourLine {
    const SAME_PLACE_M: f64 = 1e-9;
    let count = planes.len();
    let mut vapour_pa = vec![outdoor_pa; count];
    let mut rate_kg_m2_s = vec![0.0; count];
    let total = planes.last().map_or(0.0, |plane| plane.sd_m);
    // Knots of the envelope: (plane, s_d, pressure, whether it must lie on the line).
    let mut knots: Vec<(usize, f64, f64, bool)> = vec![(0, 0.0, outdoor_pa, true)];
    for (i, plane) in planes.iter().enumerate().take(count.saturating_sub(1)).skip(1) {
        if plane.sd_m <= SAME_PLACE_M || plane.sd_m >= total - SAME_PLACE_M {
            continue;
        }
        let is_wet = wet.get(i).copied().unwrap_or(false);
        if let Some(last) = knots.last_mut()
            && plane.sd_m - last.1 <= SAME_PLACE_M
        {
            *last = (last.0, last.1, last.2.min(plane.saturation_pa), last.3 || is_wet);
            continue;
        }
        knots.push((i, plane.sd_m, plane.saturation_pa, is_wet));
    }
    if count > 1 {
        knots.push((count - 1, total.max(SAME_PLACE_M), indoor_pa, true));
    }
    let line = envelope(&knots);
    for (i, plane) in planes.iter().enumerate() {
        if let Some(slot) = vapour_pa.get_mut(i) {
            *slot = on_line(&line, plane.sd_m, total).min(if i == 0 || i + 1 == count {
                f64::INFINITY
            } else {
                plane.saturation_pa
            });
        }
    }
    for triple in line.windows(3) {
        let &[before, here, after] = triple else { continue };
        let slope = |a: (usize, f64, f64, bool), b: (usize, f64, f64, bool)| (b.2 - a.2) / (b.1 - a.1);
        if let Some(slot) = rate_kg_m2_s.get_mut(here.0) {
            *slot = DELTA_0 * (slope(here, after) - slope(before, here));
        }
    }
    VapourLine { vapour_pa, rate_kg_m2_s }
}

/// Lower convex envelope between each two knots that must lie on the line.
fn envelope(knots: &[(usize, f64, f64, bool)]) -> Vec<(usize, f64, f64, bool)> {
    let mut line: Vec<(usize, f64, f64, bool)> = Vec::with_capacity(knots.len());
    for &knot in knots {
        while let [.., a, b] = line.as_slice() {
            // b lies on or above the chord from a to the new knot: the line passes below it.
            let above = (b.2 - a.2) * (knot.1 - a.1) >= (knot.2 - a.2) * (b.1 - a.1);
            if b.3 || !above {
                break;
            }
            line.pop();
        }
        line.push(knot);
    }
    line
}

fn on_line(line: &[(usize, f64, f64, bool)], sd_m: f64, total: f64) -> f64 {
    let at = sd_m.clamp(0.0, total);
    for pair in line.windows(2) {
        let &[a, b] = pair else { continue };
        if at <= b.1 {
            return a.2 + (b.2 - a.2) * (at - a.1) / (b.1 - a.1);
        }
    }
    line.last().map_or(0.0, |knot| knot.2)
}

/// One month of a year: the planes with that month's saturation pressures, and the pressures outside and inside.
#[derive(Clone, Debug, PartialEq)]
pub struct MonthState {
    /// Planes, outer surface first.
    pub planes: Vec<Plane>,
    /// Vapour pressure outdoors, Pa.
    pub outdoor_pa: f64,
    /// Vapour pressure indoors, Pa.
    pub indoor_pa: f64,
}

/// A year of condensation and drying.
#[derive(Clone, Debug, PartialEq)]
pub struct Year {
    /// Per month, January first: the vapour line.
    pub lines: Vec<VapourLine>,
    /// Per month: condensed at each plane, kg/m²; minus: evaporated, no more than there was.
    pub condensed_kg_m2: Vec<Vec<f64>>,
    /// Per month: gathered at each plane at its end, kg/m².
    pub gathered_kg_m2: Vec<Vec<f64>>,
    /// Whether any month condenses.
    pub condenses: bool,
    /// Whether something is left after twelve months.
    pub stays_wet: bool,
}

/// Twelve months of condensation and drying, 6.5 and 6.6: it starts dry in the first month that condenses after one that
/// does not (January if all do), and goes round the year once. A plane that dries within a month is counted as wet to that
/// month's end, as the standard does.
pub fn year(months: &[MonthState; 12]) -> Year {
    let dry: Vec<VapourLine> =
        months.iter().map(|m| vapour_line(&m.planes, m.outdoor_pa, m.indoor_pa, &[])).collect();
    let condenses: Vec<bool> =
        dry.iter().map(|line| line.rate_kg_m2_s.iter().any(|&rate| rate > 0.0)).collect();
    let planes = months[0].planes.len();
    let mut result = Year {
        lines: dry,
        condensed_kg_m2: vec![vec![0.0; planes]; 12],
        gathered_kg_m2: vec![vec![0.0; planes]; 12],
        condenses: condenses.contains(&true),
        stays_wet: false,
    };
    if !result.condenses {
        return result;
    }
    let is = |month: usize| condenses.get(month % 12).copied().unwrap_or(false);
    let start = (0..12).find(|&month| is(month) && !is(month + 11)).unwrap_or(0);
    let mut gathered = vec![0.0_f64; planes];
    for month in (start..start + 12).map(|month| month % 12) {
        let (Some(state), Some(seconds)) = (months.get(month), MONTH_S.get(month)) else { continue };
        let wet: Vec<bool> = gathered.iter().map(|&amount| amount > 0.0).collect();
        let line = vapour_line(&state.planes, state.outdoor_pa, state.indoor_pa, &wet);
        let change: Vec<f64> =
            gathered.iter().zip(&line.rate_kg_m2_s).map(|(&had, rate)| (rate * seconds).max(-had)).collect();
        for (amount, change) in gathered.iter_mut().zip(&change) {
            *amount += change;
        }
        for (list, value) in
            [(&mut result.condensed_kg_m2, change), (&mut result.gathered_kg_m2, gathered.clone())]
        {
            if let Some(slot) = list.get_mut(month) {
                *slot = value;
            }
        }
        if let Some(slot) = result.lines.get_mut(month) {
            *slot = line;
        }
    }
    result.stays_wet = gathered.iter().any(|&amount| amount > 0.0);
    result
}

#[cfg(test)]
#[allow(clippy::float_cmp, reason = "these values must come out exactly")]
mod tests {
    use super::*;

    #[test]
    fn dew_point_undoes_saturation() {
        for temperature in [-20.0, -3.0, 0.0, 4.5, 21.0] {
            assert!((dew_point_c(saturation_pa(temperature)) - temperature).abs() < 1e-9);
        }
        assert!(dew_point_c(0.0).is_finite());
    }

    #[test]
    fn a_dry_section_has_a_straight_line() {
        let planes = [
            Plane { sd_m: 0.0, saturation_pa: 900.0 },
            Plane { sd_m: 1.0, saturation_pa: 1500.0 },
            Plane { sd_m: 4.0, saturation_pa: 2200.0 },
        ];
        let line = vapour_line(&planes, 800.0, 1200.0, &[]);
        assert_eq!(line.vapour_pa, [800.0, 900.0, 1200.0]);
        assert!(line.rate_kg_m2_s.iter().all(|&rate| rate == 0.0));
    }

    #[test]
    fn a_wet_plane_dries_to_both_sides() {
        let planes = [
            Plane { sd_m: 0.0, saturation_pa: 1900.0 },
            Plane { sd_m: 1.0, saturation_pa: 2000.0 },
            Plane { sd_m: 2.0, saturation_pa: 2200.0 },
        ];
        let line = vapour_line(&planes, 1000.0, 1200.0, &[false, true, false]);
        assert_eq!(line.vapour_pa[1], 2000.0);
        assert!((line.rate_kg_m2_s[1] + DELTA_0 * 1800.0).abs() < 1e-20);
    }

    #[test]
    fn planes_without_resistance_between_them_count_as_one() {
        let planes = [
            Plane { sd_m: 0.0, saturation_pa: 700.0 },
            Plane { sd_m: 0.0, saturation_pa: 710.0 },
            Plane { sd_m: 1.0, saturation_pa: 800.0 },
            Plane { sd_m: 1.0, saturation_pa: 790.0 },
            Plane { sd_m: 2.0, saturation_pa: 2300.0 },
            Plane { sd_m: 2.0, saturation_pa: 2400.0 },
        ];
        let line = vapour_line(&planes, 690.0, 1500.0, &[]);
        assert!(line.vapour_pa.iter().all(|p| p.is_finite()));
        assert!(line.rate_kg_m2_s[2] > 0.0 && line.rate_kg_m2_s[3] == 0.0);
    }
}
