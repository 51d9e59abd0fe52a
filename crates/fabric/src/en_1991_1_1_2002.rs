//! EN 1991-1-1:2002, Densities, self-weight and imposed loads.

/// Weight density of softwood of a strength class in kN/m³ from its mean density, kg/m³ (Table A.3 rounds these:
/// C16 3.7, C24 4.2): ρ_mean g.
pub fn timber_weight_kn_m3(rho_mean_kg_m3: f64) -> f64 {
    rho_mean_kg_m3 * quantities::air::GRAVITY_M_S2 / 1000.0
}
