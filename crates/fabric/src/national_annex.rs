//! What a country chooses within the Eurocodes, as one table of data.

use serde::Serialize;

use crate::loads::VariableKind;

/// How long a load stays, EN 1995-1-1:2004 Table 2.1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum LoadDuration {
    /// More than ten years: self-weight.
    Permanent,
    /// Six months to ten years: storage.
    Long,
    /// One week to six months: people on a floor.
    Medium,
    /// Less than a week: snow, someone on the roof.
    Short,
    /// An accident.
    Instantaneous,
}

/// Factors of one kind of variable load.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct VariableFactors {
    /// Combination factor ψ0.
    pub psi0: f64,
    /// Frequent factor ψ1.
    pub psi1: f64,
    /// Quasi-permanent factor ψ2.
    pub psi2: f64,
    /// Load-duration class for timber.
    pub duration: LoadDuration,
}

/// A national annex: the nationally determined parameters that the joist check uses.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NationalAnnex {
    /// Which country's.
    pub name: &'static str,
    /// Partial factor of unfavourable permanent actions γG,sup (EN 1990 Table A1.2(B)).
    pub gamma_g: f64,
    /// Partial factor of favourable permanent actions γG,inf.
    pub gamma_g_favourable: f64,
    /// Partial factor of variable actions γQ.
    pub gamma_q: f64,
    /// Partial factor of solid timber γM.
    pub gamma_m_solid_timber: f64,
    /// Imposed roof load of category H, ψ and duration.
    pub roof_imposed: VariableFactors,
    /// Snow at sites up to 1000 m, ψ and duration.
    pub snow: VariableFactors,
    /// Imposed floor load of category A, ψ and duration.
    pub floor: VariableFactors,
    /// Imposed load of stores, category E, ψ and duration.
    pub store: VariableFactors,
    /// Default imposed load on a roof that is only mended, kN/m².
    pub roof_imposed_kn_m2: f64,
    /// Default concentrated load on such a roof, kN.
    pub roof_point_kn: f64,
    /// Default imposed load of a floor, kN/m².
    pub floor_imposed_kn_m2: f64,
    /// Default concentrated load of a floor, kN.
    pub floor_point_kn: f64,
    /// Widest joist spacing at which the load-sharing factor may be used, mm.
    pub load_sharing_up_to_mm: f64,
    /// Span over final deflection with a plasterboard ceiling below.
    pub final_ratio_brittle: f64,
    /// Span over final deflection without one.
    pub final_ratio_plain: f64,
    /// Span over instantaneous deflection.
    pub instantaneous_ratio: f64,
    /// Line of the table, as printed under a calculation.
    pub source: &'static str,
}

impl NationalAnnex {
    /// The United Kingdom.
    ///
    /// γ from UK NA to BS EN 1990 Table NA.A1.2(B); γM from UK NA to BS EN 1995-1-1 Table NA.3; durations from
    /// its Table NA.1, ψ from Table NA.A1.1 and roof loads from UK NA to BS EN 1991-1-1 Table NA.7 (those three from memory);
    /// deflection limits as an IStructE guidance note prints them; instantaneous limit EN 1995-1-1 Table 7.2.
    pub const UNITED_KINGDOM: Self = Self {
        name: "United Kingdom",
        gamma_g: 1.35,
        gamma_g_favourable: 1.0,
        gamma_q: 1.5,
        gamma_m_solid_timber: 1.3,
        roof_imposed: VariableFactors { psi0: 0.7, psi1: 0.0, psi2: 0.0, duration: LoadDuration::Short },
        snow: VariableFactors { psi0: 0.5, psi1: 0.2, psi2: 0.0, duration: LoadDuration::Short },
        floor: VariableFactors { psi0: 0.7, psi1: 0.5, psi2: 0.3, duration: LoadDuration::Medium },
        store: VariableFactors { psi0: 1.0, psi1: 0.9, psi2: 0.8, duration: LoadDuration::Long },
        roof_imposed_kn_m2: 0.6,
        roof_point_kn: 0.9,
        floor_imposed_kn_m2: 1.5,
        floor_point_kn: 2.0,
        load_sharing_up_to_mm: 610.0,
        final_ratio_brittle: 250.0,
        final_ratio_plain: 150.0,
        instantaneous_ratio: 300.0,
        source: "UK national annexes to EN 1990, EN 1991-1-1 and EN 1995-1-1 (ψ, load durations and roof loads from memory: confirm)",
    };

    /// The values the Eurocodes recommend where a country chooses nothing else: EN 1990:2002 Tables A1.1 and A1.2(B), EN 1991-1-1:2002
    /// Tables 6.2 and 6.10, EN 1995-1-1:2004 Tables 2.2, 2.3 and 7.2 (from memory: confirm; loads of roofs are medium-term there).
    /// No widest spacing is recommended for load sharing; the United Kingdom's is kept.
    pub const RECOMMENDED: Self = Self {
        name: "recommended values",
        roof_imposed: VariableFactors { psi0: 0.0, psi1: 0.0, psi2: 0.0, duration: LoadDuration::Medium },
        snow: VariableFactors { psi0: 0.5, psi1: 0.2, psi2: 0.0, duration: LoadDuration::Short },
        roof_imposed_kn_m2: 0.4,
        roof_point_kn: 1.0,
        floor_imposed_kn_m2: 2.0,
        floor_point_kn: 2.0,
        source: "values recommended in EN 1990, EN 1991-1-1 and EN 1995-1-1 (from memory: confirm)",
        ..Self::UNITED_KINGDOM
    };

    /// Factors of a kind of variable load.
    pub const fn factors(&self, kind: VariableKind) -> VariableFactors {
        match kind {
            VariableKind::RoofImposed => self.roof_imposed,
            VariableKind::Snow => self.snow,
            VariableKind::Floor => self.floor,
            VariableKind::Store => self.store,
        }
    }
}
