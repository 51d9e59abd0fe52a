//! EN 338:2016, Structural timber: strength classes. Table 1, softwood, edgewise bending.
//!
//! Editions differ: older ones print other values of f_c,90,k and f_v,k for the same class name.

use serde::Serialize;

use crate::FabricError;

/// A softwood strength class of EN 338:2016 Table 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub enum StrengthClass {
    /// C14.
    C14,
    /// C16, taken for timber of unknown grade.
    C16,
    /// C18.
    C18,
    /// C20.
    C20,
    /// C22.
    C22,
    /// C24.
    C24,
    /// C27.
    C27,
    /// C30.
    C30,
    /// C35.
    C35,
    /// C40.
    C40,
    /// C45.
    C45,
    /// C50.
    C50,
}

/// Characteristic values of one strength class, EN 338:2016 Table 1.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Timber {
    /// Bending strength f_m,k, N/mm².
    pub fm_k_n_mm2: f64,
    /// Tension strength along the grain f_t,0,k, N/mm².
    pub ft0_k_n_mm2: f64,
    /// Tension strength across the grain f_t,90,k, N/mm².
    pub ft90_k_n_mm2: f64,
    /// Compression strength along the grain f_c,0,k, N/mm².
    pub fc0_k_n_mm2: f64,
    /// Compression strength across the grain f_c,90,k, N/mm².
    pub fc90_k_n_mm2: f64,
    /// Shear strength f_v,k, N/mm².
    pub fv_k_n_mm2: f64,
    /// Mean modulus of elasticity along the grain E_m,0,mean, kN/mm².
    pub e0_mean_kn_mm2: f64,
    /// Five-percentile modulus of elasticity along the grain E_m,0,k, kN/mm².
    pub e0_05_kn_mm2: f64,
    /// Mean modulus of elasticity across the grain E_m,90,mean, kN/mm².
    pub e90_mean_kn_mm2: f64,
    /// Mean shear modulus G_mean, kN/mm².
    pub g_mean_kn_mm2: f64,
    /// Characteristic density ρ_k, kg/m³.
    pub rho_k_kg_m3: f64,
    /// Mean density ρ_mean, kg/m³.
    pub rho_mean_kg_m3: f64,
}

impl StrengthClass {
    /// Every class, weakest first.
    pub const ALL: [Self; 12] = [
        Self::C14,
        Self::C16,
        Self::C18,
        Self::C20,
        Self::C22,
        Self::C24,
        Self::C27,
        Self::C30,
        Self::C35,
        Self::C40,
        Self::C45,
        Self::C50,
    ];

    /// The class's name, such as `C24`.
    pub const fn name(self) -> &'static str {
        match self {
            Self::C14 => "C14",
            Self::C16 => "C16",
            Self::C18 => "C18",
            Self::C20 => "C20",
            Self::C22 => "C22",
            Self::C24 => "C24",
            Self::C27 => "C27",
            Self::C30 => "C30",
            Self::C35 => "C35",
            Self::C40 => "C40",
            Self::C45 => "C45",
            Self::C50 => "C50",
        }
    }

    /// The class of a name (`C24`, `c 24`).
    ///
    /// An unknown name gives [`FabricError::UnknownGrade`] with the nearest class: by number where it has one
    /// (the weaker of two equally near), otherwise C16.
    pub fn from_name(name: &str) -> Result<Self, FabricError> {
        let plain: String =
            name.chars().filter(char::is_ascii_alphanumeric).map(|c| c.to_ascii_uppercase()).collect();
        if let Some(class) = Self::ALL.into_iter().find(|class| class.name() == plain) {
            return Ok(class);
        }
        let digits: String = plain.chars().filter(char::is_ascii_digit).take(4).collect();
        let nearest = digits.parse::<f64>().map_or(Self::C16, |wanted| {
            Self::ALL.into_iter().fold(Self::C14, |best, class| {
                let off = |c: Self| (c.timber().fm_k_n_mm2 - wanted).abs();
                if off(class) < off(best) { class } else { best }
            })
        });
        Err(FabricError::UnknownGrade { given: name.to_owned(), nearest: nearest.name() })
    }

    /// Characteristic values of the class, EN 338:2016 Table 1.
    pub const fn timber(self) -> Timber {
        match self {
            Self::C14 => row([14.0, 7.2, 0.4, 16.0, 2.0, 3.0, 7.0, 4.7, 0.23, 0.44, 290.0, 350.0]),
            Self::C16 => row([16.0, 8.5, 0.4, 17.0, 2.2, 3.2, 8.0, 5.4, 0.27, 0.50, 310.0, 370.0]),
            Self::C18 => row([18.0, 10.0, 0.4, 18.0, 2.2, 3.4, 9.0, 6.0, 0.30, 0.56, 320.0, 380.0]),
            Self::C20 => row([20.0, 11.5, 0.4, 19.0, 2.3, 3.6, 9.5, 6.4, 0.32, 0.59, 330.0, 400.0]),
            Self::C22 => row([22.0, 13.0, 0.4, 20.0, 2.4, 3.8, 10.0, 6.7, 0.33, 0.63, 340.0, 410.0]),
            Self::C24 => row([24.0, 14.5, 0.4, 21.0, 2.5, 4.0, 11.0, 7.4, 0.37, 0.69, 350.0, 420.0]),
            Self::C27 => row([27.0, 16.5, 0.4, 22.0, 2.5, 4.0, 11.5, 7.7, 0.38, 0.72, 360.0, 430.0]),
            Self::C30 => row([30.0, 19.0, 0.4, 24.0, 2.7, 4.0, 12.0, 8.0, 0.40, 0.75, 380.0, 460.0]),
            Self::C35 => row([35.0, 22.5, 0.4, 25.0, 2.7, 4.0, 13.0, 8.7, 0.43, 0.81, 390.0, 470.0]),
            Self::C40 => row([40.0, 26.0, 0.4, 27.0, 2.8, 4.0, 14.0, 9.4, 0.47, 0.88, 400.0, 480.0]),
            Self::C45 => row([45.0, 30.0, 0.4, 29.0, 2.9, 4.0, 15.0, 10.1, 0.50, 0.94, 410.0, 490.0]),
            Self::C50 => row([50.0, 33.5, 0.4, 30.0, 3.0, 4.0, 16.0, 10.7, 0.53, 1.00, 430.0, 520.0]),
        }
    }
}

const fn row(v: [f64; 12]) -> Timber {
    Timber {
        fm_k_n_mm2: v[0],
        ft0_k_n_mm2: v[1],
        ft90_k_n_mm2: v[2],
        fc0_k_n_mm2: v[3],
        fc90_k_n_mm2: v[4],
        fv_k_n_mm2: v[5],
        e0_mean_kn_mm2: v[6],
        e0_05_kn_mm2: v[7],
        e90_mean_kn_mm2: v[8],
        g_mean_kn_mm2: v[9],
        rho_k_kg_m3: v[10],
        rho_mean_kg_m3: v[11],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_unknown_grade_names_the_nearest() {
        assert_eq!(StrengthClass::from_name("c 24"), Ok(StrengthClass::C24));
        let nearest = |name| match StrengthClass::from_name(name) {
            Err(FabricError::UnknownGrade { nearest, .. }) => nearest,
            other => panic!("{name} gave {other:?}"),
        };
        assert_eq!(nearest("C25"), "C24");
        assert_eq!(nearest("SC3"), "C14");
        assert_eq!(nearest("pitch pine"), "C16");
        assert_eq!(nearest("C999"), "C50");
    }
}
