//! Strength classes of structural softwood.

use serde::Serialize;

use crate::{
    Basis::{self, Published},
    entry::entries,
};

/// A softwood strength class for edgewise bending, EN 338:2016 Table 1.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct TimberGrade {
    /// Id, the class in lower case.
    pub id: &'static str,
    /// The class as the standard writes it.
    pub name: &'static str,
    /// Bending strength f_m,k, N/mm².
    pub bending_strength_n_mm2: f64,
    /// Tension strength along the grain f_t,0,k, N/mm².
    pub tension_strength_n_mm2: f64,
    /// Tension strength across the grain f_t,90,k, N/mm².
    pub cross_tension_strength_n_mm2: f64,
    /// Compression strength along the grain f_c,0,k, N/mm².
    pub compression_strength_n_mm2: f64,
    /// Compression strength across the grain f_c,90,k, N/mm².
    pub cross_compression_strength_n_mm2: f64,
    /// Shear strength f_v,k, N/mm².
    pub shear_strength_n_mm2: f64,
    /// Mean modulus of elasticity along the grain E_0,mean, N/mm².
    pub modulus_mean_n_mm2: f64,
    /// 5 percent modulus of elasticity along the grain E_0,05, N/mm².
    pub modulus_low_n_mm2: f64,
    /// Mean modulus of elasticity across the grain E_90,mean, N/mm².
    pub cross_modulus_mean_n_mm2: f64,
    /// Mean shear modulus G_mean, N/mm².
    pub shear_modulus_mean_n_mm2: f64,
    /// Characteristic density ρ_k, kg/m³.
    pub density_low_kg_m3: f64,
    /// Mean density ρ_mean, kg/m³.
    pub density_mean_kg_m3: f64,
    /// Where the numbers come from.
    pub basis: Basis,
}

entries!(GRADES: TimberGrade);

/// One row as the standard prints it: strengths in N/mm², moduli in kN/mm², densities in kg/m³, in its order
/// f_m f_t,0 f_t,90 f_c,0 f_c,90 f_v | E_0,mean E_0,05 E_90 G | ρ_k ρ_mean.
const fn row(
    id: &'static str,
    name: &'static str,
    strengths: [f64; 6],
    moduli: [f64; 4],
    densities: [f64; 2],
) -> TimberGrade {
    let [bending, tension, cross_tension, compression, cross_compression, shear] = strengths;
    let [mean, low, cross, shear_modulus] = moduli;
    let [density_low, density_mean] = densities;
    TimberGrade {
        id,
        name,
        bending_strength_n_mm2: bending,
        tension_strength_n_mm2: tension,
        cross_tension_strength_n_mm2: cross_tension,
        compression_strength_n_mm2: compression,
        cross_compression_strength_n_mm2: cross_compression,
        shear_strength_n_mm2: shear,
        modulus_mean_n_mm2: mean * 1000.0,
        modulus_low_n_mm2: low * 1000.0,
        cross_modulus_mean_n_mm2: cross * 1000.0,
        shear_modulus_mean_n_mm2: shear_modulus * 1000.0,
        density_low_kg_m3: density_low,
        density_mean_kg_m3: density_mean,
        basis: Published("EN 338:2016 Table 1"),
    }
}

static GRADES: &[TimberGrade] = &[
    row("c14", "C14", [14.0, 7.2, 0.4, 16.0, 2.0, 3.0], [7.0, 4.7, 0.23, 0.44], [290.0, 350.0]),
    row("c16", "C16", [16.0, 8.5, 0.4, 17.0, 2.2, 3.2], [8.0, 5.4, 0.27, 0.50], [310.0, 370.0]),
    row("c18", "C18", [18.0, 10.0, 0.4, 18.0, 2.2, 3.4], [9.0, 6.0, 0.30, 0.56], [320.0, 380.0]),
    row("c20", "C20", [20.0, 11.5, 0.4, 19.0, 2.3, 3.6], [9.5, 6.4, 0.32, 0.59], [330.0, 400.0]),
    row("c22", "C22", [22.0, 13.0, 0.4, 20.0, 2.4, 3.8], [10.0, 6.7, 0.33, 0.63], [340.0, 410.0]),
    row("c24", "C24", [24.0, 14.5, 0.4, 21.0, 2.5, 4.0], [11.0, 7.4, 0.37, 0.69], [350.0, 420.0]),
    row("c27", "C27", [27.0, 16.5, 0.4, 22.0, 2.5, 4.0], [11.5, 7.7, 0.38, 0.72], [360.0, 430.0]),
    row("c30", "C30", [30.0, 19.0, 0.4, 24.0, 2.7, 4.0], [12.0, 8.0, 0.40, 0.75], [380.0, 460.0]),
    row("c35", "C35", [35.0, 22.5, 0.4, 25.0, 2.7, 4.0], [13.0, 8.7, 0.43, 0.81], [390.0, 470.0]),
    row("c40", "C40", [40.0, 26.0, 0.4, 27.0, 2.8, 4.0], [14.0, 9.4, 0.47, 0.88], [400.0, 480.0]),
    row("c45", "C45", [45.0, 30.0, 0.4, 29.0, 2.9, 4.0], [15.0, 10.1, 0.50, 0.94], [410.0, 490.0]),
    row("c50", "C50", [50.0, 33.5, 0.4, 30.0, 3.0, 4.0], [16.0, 10.7, 0.53, 1.00], [430.0, 520.0]),
];
