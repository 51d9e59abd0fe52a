//! What limits an element and what to change, in sentences a builder understands.

use bands::Band;
use quantities::format;

use crate::{
    element::{BridgeKind, Element, LeafKind, Leak, LeakKind, Mounting, Part},
    limits::{BandLimit, Limit},
    prepared::Prepared,
};

/// Bands advice is weighed over.
const FROM_TO_HZ: (f64, f64) = (50.0, 5000.0);

/// Sentences, those about the most bands first; low bands count double, because drums and traffic are there.
pub(crate) fn advice(element: &Element, prepared: Option<&Prepared>, limits: &[BandLimit]) -> Vec<String> {
    let kinds = [
        Limit::Leak,
        Limit::Resonance,
        Limit::Bridge,
        Limit::Cavity,
        Limit::Coincidence,
        Limit::Mass,
        Limit::Stiffness,
        Limit::Measured,
    ];
    let mut weighed: Vec<(f64, String)> = Vec::new();
    for kind in kinds {
        let bands: Vec<Band> = limits
            .iter()
            .filter(|limit| limit.what == kind)
            .map(|limit| limit.band)
            .filter(|band| band.nominal_hz() >= FROM_TO_HZ.0 && band.nominal_hz() <= FROM_TO_HZ.1)
            .collect();
        if bands.is_empty() {
            continue;
        }
        let weight = bands.iter().map(|band| if band.nominal_hz() < 315.0 { 2.0 } else { 1.0 }).sum();
        weighed.push((weight, format!("{}: {}", ranges(&bands), remedy(kind, element, prepared, &bands))));
    }
    weighed.sort_by(|a, b| b.0.total_cmp(&a.0));
    weighed.into_iter().map(|(_, sentence)| sentence).collect()
}

/// Neighbouring bands joined: `100 to 250 Hz and 2500 Hz`.
fn ranges(bands: &[Band]) -> String {
    let mut runs: Vec<(Band, Band)> = Vec::new();
    for &band in bands {
        match runs.last_mut() {
            Some(run) if run.1.index() + 1 == band.index() => run.1 = band,
            _ => runs.push((band, band)),
        }
    }
    let words: Vec<String> = runs
        .iter()
        .map(|(from, to)| {
            if from == to {
                from.nominal().to_owned()
            } else {
                format!("{} to {}", from.nominal(), to.nominal())
            }
        })
        .collect();
    let unit = format!("{}Hz", format::NO_BREAK_SPACE);
    match words.as_slice() {
        [] => String::new(),
        [one] => format!("{one}{unit}"),
        [rest @ .., last] => format!("{} and {last}{unit}", rest.join(", ")),
    }
}

fn remedy(kind: Limit, element: &Element, prepared: Option<&Prepared>, bands: &[Band]) -> String {
    let hz = |value: f64| format::with_unit(value, 0, "Hz");
    match kind {
        Limit::Leak => {
            let pores = |leak: &Leak| matches!(leak.kind, LeakKind::Pores { .. });
            if element.leaks.iter().all(pores) {
                return String::from(
                    "air goes through the pores of the bare face. A coat of plaster or two of paint closes them: nothing else helps before.",
                );
            }
            let names: Vec<&str> = element.leaks.iter().map(|leak| leak.name.as_str()).collect();
            format!(
                "air goes straight through ({}). Close it before adding any mass: nothing else helps while it is open.",
                names.join(", ")
            )
        }
        Limit::Resonance => {
            let felt = |f0: &f64| bands.iter().any(|band| (0.6..1.7).contains(&(band.nominal_hz() / f0)));
            let found: Vec<String> = prepared
                .map(|p| {
                    (0..p.cavities.len()).filter_map(|gap| p.resonance_hz(gap)).filter(felt).map(hz).collect()
                })
                .unwrap_or_default();
            let at = if found.is_empty() { String::new() } else { format!(" near {}", found.join(" and ")) };
            let empty = element.cavities().any(|cavity| cavity.fills.is_empty() && !cavity.vented);
            let fill = if empty { " Fill the cavity with soft fibre." } else { "" };
            format!(
                "the leaves swing against each other on the air between them{at}. A deeper cavity or heavier boards move it lower.{fill}"
            )
        }
        Limit::Bridge => {
            let softest = element.bridges.iter().map(|bridge| &bridge.kind).collect::<Vec<_>>();
            let rigid = softest.iter().any(|kind| {
                matches!(
                    kind,
                    BridgeKind::TimberStud { .. } | BridgeKind::RigidPoint { .. } | BridgeKind::Dab { .. }
                )
            });
            if rigid {
                String::from(
                    "sound goes through what ties the leaves together. Separate frames or resilient clips help most; fewer, wider spaced ties help a little.",
                )
            } else {
                String::from(
                    "sound goes through what ties the leaves together. Softer or fewer clips, channels or ties help; check that none is bridged by a screw.",
                )
            }
        }
        Limit::Cavity => String::from(
            "sound runs about in the cavity. Soft fibre in it, or absorbent edges where it must stay clear, takes it out.",
        ),
        Limit::Coincidence => {
            let lowest = prepared.and_then(|p| {
                p.leaves
                    .iter()
                    .map(|leaf| leaf.critical_range_hz().0)
                    .filter(|fc| fc.is_finite())
                    .reduce(f64::min)
            });
            let at = lowest.map_or(String::new(), |fc| format!(" (from {})", hz(fc)));
            let heavy = element.leaves().any(|leaf| matches!(leaf.kind, LeafKind::Masonry));
            if heavy && element.leaves().count() == 1 {
                return format!(
                    "bending waves in the wall run as fast as sound{at}, as in every heavy wall. A separate lining in front of it covers this."
                );
            }
            if heavy {
                return format!(
                    "bending waves in a leaf run as fast as sound{at}. In the heavy leaf that stays; two thin boards instead of one thick one weaken it in the lining."
                );
            }
            let glass_like = element.leaves().any(|leaf| leaf.sheets.len() == 1);
            let damp = if glass_like { " or a damped (laminated) sheet" } else { "" };
            format!(
                "bending waves in a leaf run as fast as sound{at}. Two thin sheets instead of one thick one{damp} weaken it; leaves of different thickness do not share it."
            )
        }
        Limit::Mass => {
            let single = element.leaves().count() == 1;
            let heavy = element.leaves().any(|leaf| matches!(leaf.kind, LeafKind::Masonry));
            if single && !heavy {
                String::from(
                    "only mass stops it. Twice the mass gains 5 to 6 dB; a second leaf apart from it gains far more.",
                )
            } else if single {
                String::from(
                    "only mass stops it. Twice the mass gains about 6 dB; a separate lining with fibre behind it gains far more above its resonance.",
                )
            } else {
                String::from("only mass stops it. More board on the lighter leaf gains most.")
            }
        }
        Limit::Stiffness => String::from(
            "the element is below its first bending mode, where stiffness and size count; the prediction is rough there.",
        ),
        Limit::Measured => String::from("a measured spectrum was given and is used as it stands."),
    }
}

/// Models and sources used, a sentence each.
pub(crate) fn method(element: &Element) -> Vec<String> {
    let mut lines = Vec::new();
    if element.measured.is_some() {
        lines.push(String::from(
            "Measured sound reduction index, with the reproducibility of laboratories (ISO 12999-1:2020) unless stated.",
        ));
    }
    if element.parts.is_empty() {
        return lines;
    }
    let leaves: Vec<_> = element.leaves().collect();
    if leaves.iter().any(|leaf| matches!(leaf.kind, LeafKind::Masonry)) {
        lines.push(String::from(
            match element.mounting {
            Mounting::InSitu => "Heavy leaves: ISO 12354-1:2017, Annex B, with the total loss factor of Annex C.",
            Mounting::Laboratory => "Heavy leaves: as thin ones, with the thick-plate correction of ISO 12354-1:2017 and the loss factor of walls in test openings.",
        },
        ));
    }
    if leaves.iter().any(|leaf| !matches!(leaf.kind, LeafKind::Masonry)) {
        lines.push(String::from(
            "Thin leaves: bending-wave impedance with losses (Cremer 1942), finite size by the forced radiation efficiency of Davy (JASA 126, 2009), diffuse field by Gauss-Legendre quadrature over angle, five frequencies a band; free waves below the critical frequency by ISO 12354-1:2017, Annex B.",
        ));
    }
    if leaves.len() > 1 {
        lines.push(String::from(
            "Cavities: fluid layers by transfer matrix (Allard and Atalla, 2nd ed., ch. 11); waves along an empty cavity lose energy at studs or reveals.",
        ));
    }
    let fibre = |part: &Part| matches!(part, Part::Cavity(cavity) if !cavity.fills.is_empty());
    if element.parts.iter().any(fibre) {
        lines.push(String::from(
            "Fibre: Miki (JASJ(E) 11, 1990) from flow resistivity, with a limp frame (Panneton, JASA 122, 2007).",
        ));
    }
    if !element.bridges.is_empty() {
        lines.push(String::from("Bridges: line and point connections after Davy (JASA 127, 2010)."));
    }
    if !element.leaks.is_empty() {
        lines.push(String::from(
            "Leaks: slits and seals by Gomperts and Kihlman (Acustica 18, 1967), round holes by Wilson and Soroka (JASA 37, 1965), covers by their mass, pores and packed joints by Miki (1990).",
        ));
    }
    lines
}
