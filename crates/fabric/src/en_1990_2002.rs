//! EN 1990:2002, Basis of structural design: the combinations of actions that can govern.

use crate::{
    loads::{VariableKind, VariableLoad},
    national_annex::{LoadDuration, NationalAnnex},
};

/// One combination of actions: a factor for the permanent loads and one for each variable load as handed in.
#[derive(Clone, Debug, PartialEq)]
pub struct Combination {
    /// Expression, such as `1.35 G + 1.5 Q + 0.75 S`.
    pub name: String,
    /// Factor of the permanent loads.
    pub permanent: f64,
    /// Factor of each variable load's spread load, in the order handed in.
    pub spread: Vec<f64>,
    /// Index of the variable load whose concentrated load acts in place of its spread load, and its factor.
    pub point: Option<(usize, f64)>,
    /// Factor of the exceptional snow.
    pub exceptional: f64,
    /// Duration of the shortest load in it, which sets k_mod (EN 1995-1-1 3.1.3(2)).
    pub duration: LoadDuration,
    /// Whether it is the accidental one, with material factor 1.
    pub accidental: bool,
}

/// Ultimate combinations, eq. (6.10): γ_G G + γ_Q Q₁ + Σ γ_Q ψ₀ Q_i for every set of variable loads that can act
/// together and every leading one in it; the permanent loads alone; each concentrated load in place of its spread load;
/// and, with exceptional snow, the accidental combination G + A_d, eq. (6.11b).
///
/// Imposed load of a roof that is only mended and snow do not act together (EN 1991-1-1 3.3.2(1)) unless `imposed_with_snow`.
/// `favourable` adds each combination with γ_G,inf too, for beams that a load can lift off a support.
pub fn ultimate(
    variable: &[VariableLoad],
    annex: &NationalAnnex,
    imposed_with_snow: bool,
    exceptional_snow: bool,
    favourable: bool,
) -> Vec<Combination> {
    let mut list = vec![permanent_only(annex.gamma_g, variable.len())];
    let mut gammas = vec![annex.gamma_g];
    if favourable {
        gammas.push(annex.gamma_g_favourable);
    }
    for &gamma_g in &gammas {
        for set in sets(variable, imposed_with_snow) {
            for &leading in &set {
                let factor = |i: usize| {
                    let psi0 = variable.get(i).map_or(0.0, |v| annex.factors(v.kind).psi0);
                    if i == leading { annex.gamma_q } else { annex.gamma_q * psi0 }
                };
                list.push(combine(gamma_g, &set, variable, annex, factor));
            }
        }
        for (i, load) in variable.iter().enumerate() {
            if load.point_kn > 0.0 {
                list.push(Combination {
                    name: format!(
                        "{} G + {} Qk ({} kN)",
                        plain(gamma_g),
                        plain(annex.gamma_q),
                        plain(load.point_kn)
                    ),
                    permanent: gamma_g,
                    spread: vec![0.0; variable.len()],
                    point: Some((i, annex.gamma_q)),
                    exceptional: 0.0,
                    duration: annex.factors(load.kind).duration,
                    accidental: false,
                });
            }
        }
    }
    if exceptional_snow {
        list.push(Combination {
            name: "G + exceptional snow".to_owned(),
            permanent: 1.0,
            spread: vec![0.0; variable.len()],
            point: None,
            exceptional: 1.0,
            duration: LoadDuration::Instantaneous,
            accidental: true,
        });
    }
    list
}

/// Characteristic combinations for deflection at once, eq. (6.14b): G + Q₁ + Σ ψ₀ Q_i.
pub fn characteristic(
    variable: &[VariableLoad],
    annex: &NationalAnnex,
    imposed_with_snow: bool,
) -> Vec<Combination> {
    serviceability(variable, annex, imposed_with_snow, 0.0)
}

/// Loads that give the final deflection as an elastic one, EN 1995-1-1 2.2.3(5):
/// G (1 + k_def) + Q₁ (1 + ψ₂ k_def) + Σ Q_i (ψ₀ + ψ₂ k_def).
pub fn with_creep(
    variable: &[VariableLoad],
    annex: &NationalAnnex,
    imposed_with_snow: bool,
    kdef: f64,
) -> Vec<Combination> {
    serviceability(variable, annex, imposed_with_snow, kdef)
}

fn serviceability(
    variable: &[VariableLoad],
    annex: &NationalAnnex,
    imposed_with_snow: bool,
    kdef: f64,
) -> Vec<Combination> {
    let mut list = vec![permanent_only(1.0 + kdef, variable.len())];
    for set in sets(variable, imposed_with_snow) {
        for &leading in &set {
            let factor = |i: usize| {
                let factors = variable.get(i).map(|v| annex.factors(v.kind));
                let (psi0, psi2) = factors.map_or((0.0, 0.0), |f| (f.psi0, f.psi2));
                (if i == leading { 1.0 } else { psi0 }) + psi2 * kdef
            };
            list.push(combine(1.0 + kdef, &set, variable, annex, factor));
        }
    }
    list
}

fn permanent_only(gamma_g: f64, variables: usize) -> Combination {
    Combination {
        name: format!("{} G alone", plain(gamma_g)),
        permanent: gamma_g,
        spread: vec![0.0; variables],
        point: None,
        exceptional: 0.0,
        duration: LoadDuration::Permanent,
        accidental: false,
    }
}

fn combine(
    gamma_g: f64,
    set: &[usize],
    variable: &[VariableLoad],
    annex: &NationalAnnex,
    factor: impl Fn(usize) -> f64,
) -> Combination {
    let mut spread = vec![0.0; variable.len()];
    let mut name = format!("{} G", plain(gamma_g));
    let mut duration = LoadDuration::Permanent;
    for &i in set {
        if let (Some(slot), Some(load)) = (spread.get_mut(i), variable.get(i)) {
            *slot = factor(i);
            name = format!("{name} + {} {}", plain(*slot), symbol(load.kind));
            duration = duration.max(annex.factors(load.kind).duration);
        }
    }
    Combination {
        name,
        permanent: gamma_g,
        spread,
        point: None,
        exceptional: 0.0,
        duration,
        accidental: false,
    }
}

/// Every set of variable loads that can act together, by index, smaller bit patterns first.
fn sets(variable: &[VariableLoad], imposed_with_snow: bool) -> Vec<Vec<usize>> {
    let count = variable.len().min(MOST_VARIABLES);
    let has = |set: &[usize], kind: VariableKind| {
        set.iter().any(|&i| variable.get(i).is_some_and(|load| load.kind == kind))
    };
    (1..1_usize << count)
        .map(|pattern| (0..count).filter(|&i| pattern >> i & 1 == 1).collect::<Vec<_>>())
        .filter(|set| {
            imposed_with_snow || !(has(set, VariableKind::RoofImposed) && has(set, VariableKind::Snow))
        })
        .filter(|set| set.iter().all(|&i| variable.get(i).is_some_and(|load| load.spread_kn_m2 > 0.0)))
        .collect()
}

/// Variable loads that are combined; there are four kinds.
pub(crate) const MOST_VARIABLES: usize = 4;

/// Letter of a variable load in an expression.
pub const fn symbol(kind: VariableKind) -> &'static str {
    match kind {
        VariableKind::RoofImposed | VariableKind::Floor => "Q",
        VariableKind::Snow => "S",
        VariableKind::Store => "Q store",
    }
}

/// A factor with no more decimals than it needs.
fn plain(value: f64) -> String {
    let text = format!("{value:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn loads() -> Vec<VariableLoad> {
        vec![
            VariableLoad { kind: VariableKind::RoofImposed, spread_kn_m2: 0.6, point_kn: 0.9 },
            VariableLoad { kind: VariableKind::Snow, spread_kn_m2: 0.3, point_kn: 0.0 },
        ]
    }

    fn names(together: bool) -> Vec<String> {
        ultimate(&loads(), &NationalAnnex::UNITED_KINGDOM, together, false, false)
            .into_iter()
            .map(|c| c.name)
            .collect()
    }

    #[test]
    fn the_permanent_loads_alone_are_always_tried() {
        assert_eq!(
            names(false),
            ["1.35 G alone", "1.35 G + 1.5 Q", "1.35 G + 1.5 S", "1.35 G + 1.5 Qk (0.9 kN)"]
        );
        assert!(names(true).contains(&"1.35 G + 1.5 Q + 0.75 S".to_owned()));
        assert!(names(true).contains(&"1.35 G + 1.05 Q + 1.5 S".to_owned()));
    }

    #[test]
    fn the_shortest_load_sets_the_duration() {
        let list = ultimate(&loads(), &NationalAnnex::UNITED_KINGDOM, false, true, false);
        assert_eq!(list.first().map(|c| c.duration), Some(LoadDuration::Permanent));
        assert_eq!(list.get(1).map(|c| c.duration), Some(LoadDuration::Short));
        assert_eq!(
            list.last().map(|c| (c.duration, c.accidental)),
            Some((LoadDuration::Instantaneous, true))
        );
    }
}
