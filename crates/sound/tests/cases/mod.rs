//! Reads `reference/cases.txt`: published build-ups with what was measured.

#![allow(
    dead_code,
    missing_docs,
    unreachable_pub,
    clippy::panic,
    clippy::expect_used,
    reason = "shared by tests and the programs that fit; each uses its own part, and a wrong line must stop them"
)]

use bands::{Band, OctaveBand};
use sound::element::{
    Bond, Bridge, BridgeKind, Cavity, Element, Fill, Leaf, LeafKind, Leak, LeakKind, Mounting, Part,
    SealClass, Sheet, Spreads,
};

/// One published case.
#[derive(Clone, Debug)]
pub struct Case {
    pub family: String,
    pub name: String,
    pub source: String,
    pub element: Element,
    pub octaves: Vec<(OctaveBand, f64)>,
    pub thirds: Vec<(Band, f64)>,
    pub stc: Option<f64>,
    pub assumed: String,
}

/// Material, density (kg/m³), speed of longitudinal waves in the plate (m/s), loss factor: Hopkins (2007) Table A2 where it has the
/// material, else Bies Table C.1; "typical" ones have no source.
const MATERIALS: &[(&str, f64, f64, f64)] = &[
    ("gypsum", 690.0, 1810.0, 0.0125),
    ("glass", 2500.0, 5200.0, 0.003),
    ("steel", 7800.0, 5270.0, 0.0001),
    ("aluminium", 2700.0, 5100.0, 0.0002),
    ("lead", 11_340.0, 1200.0, 0.02),
    ("vinyl", 1800.0, 300.0, 0.1),
    ("plywood", 600.0, 3850.0, 0.016),
    ("osb", 590.0, 2570.0, 0.01),
    ("chipboard", 760.0, 2200.0, 0.01),
    ("fibreboard", 330.0, 1200.0, 0.02),
    ("hollowcore", 165.0, 1270.0, 0.02),
    ("steelsandwich", 568.0, 743.0, 0.01),
    ("core", 357.0, 300.0, 0.1),
    ("hardwood", 600.0, 2500.0, 0.01),
    ("softwood", 600.0, 2500.0, 0.01),
    ("woodwool", 600.0, 1000.0, 0.03),
    ("plaster", 1250.0, 1610.0, 0.012),
    ("stucco", 1800.0, 2450.0, 0.013),
    ("gypsumconcrete", 1900.0, 2000.0, 0.01),
    ("concrete", 2300.0, 3800.0, 0.005),
    ("hollowconcrete", 1400.0, 3000.0, 0.005),
    ("screed", 2000.0, 3250.0, 0.01),
    ("brick", 1900.0, 2700.0, 0.01),
    ("clinker", 1100.0, 2300.0, 0.01),
    ("aac", 600.0, 1900.0, 0.0125),
    ("block", 1240.0, 3200.0, 0.01),
    ("lightblock", 940.0, 2200.0, 0.01),
];

/// Bending stiffness along over across of those with a grain. Plasterboard: a judgement, from the breadth of the dip of published walls and from
/// a core of 1.8 GPa between papers of 7 and 2.5 GPa, which gives 1.4 to 1.6; the others after EN 12369-1, from memory.
const GRAINS: &[(&str, f64)] = &[("gypsum", 1.8), ("plywood", 1.4), ("osb", 2.5)];

/// Stiffness of a metre of glazing edge, N/m², where a case says GASKET.
pub const GASKET_N_M2: f64 = 1.0e7;

/// All cases of the file.
pub fn load(text: &str) -> Vec<Case> {
    text.lines()
        .filter(|line| !line.trim().is_empty() && !line.starts_with('#'))
        .map(|line| parse(line).unwrap_or_else(|what| panic!("{what} in: {line}")))
        .collect()
}

fn parse(line: &str) -> Result<Case, String> {
    let fields: Vec<&str> = line.split('|').map(str::trim).collect();
    let [family, name, source, size, parts, bridges, leaks, published, assumed] = fields.as_slice() else {
        return Err(format!("{} fields", fields.len()));
    };
    let (width, height) = size.split_once('x').ok_or("size")?;
    let mut case = Case {
        family: (*family).to_owned(),
        name: (*name).to_owned(),
        source: (*source).to_owned(),
        element: Element {
            name: (*name).to_owned(),
            width_m: number(width)?,
            height_m: number(height)?,
            parts: parts.split('/').map(|part| parse_part(part.trim())).collect::<Result<_, _>>()?,
            bridges: list(bridges).map(parse_bridge).collect::<Result<_, _>>()?,
            leaks: list(leaks).map(parse_leak).collect::<Result<_, _>>()?,
            mounting: Mounting::Laboratory,
            measured: None,
        },
        octaves: Vec::new(),
        thirds: Vec::new(),
        stc: None,
        assumed: (*assumed).to_owned(),
    };
    for item in list(published) {
        let words: Vec<&str> = item.split_whitespace().collect();
        match words.as_slice() {
            ["stc", value] => case.stc = Some(number(value)?),
            ["octave", from, values @ ..] => {
                let from = OctaveBand::from_nominal_hz(number(from)?).ok_or("octave")?;
                for (place, value) in values.iter().enumerate().filter(|(_, value)| **value != "-") {
                    let octave = OctaveBand::at(from.index() + place).ok_or("too many octaves")?;
                    case.octaves.push((octave, number(value)?));
                }
            }
            ["third", from, values @ ..] => {
                let from = Band::from_nominal_hz(number(from)?).ok_or("third octave")?;
                for (place, value) in values.iter().enumerate().filter(|(_, value)| **value != "-") {
                    let band = Band::at(from.index() + place).ok_or("too many bands")?;
                    case.thirds.push((band, number(value)?));
                }
            }
            _ => return Err(format!("published: {item}")),
        }
    }
    Ok(case)
}

fn list(field: &str) -> impl Iterator<Item = &str> {
    field.split(';').map(str::trim).filter(|item| !item.is_empty())
}

fn number(word: &str) -> Result<f64, String> {
    word.parse().map_err(|_| format!("{word} is no number"))
}

fn parse_part(text: &str) -> Result<Part, String> {
    let words: Vec<&str> = text.split_whitespace().collect();
    if words.first() == Some(&"air") {
        let mut cavity = Cavity::empty(number(words.get(1).ok_or("depth")?)? / 1000.0);
        for pair in words.get(2..).unwrap_or(&[]).chunks(2) {
            match pair {
                ["fibre", value] => {
                    let (thickness, resistivity) = value.split_once('@').ok_or("fibre")?;
                    let resistivity = number(resistivity)?;
                    let density = 12.0 * (resistivity / 7000.0).sqrt();
                    cavity.fills.push(Fill::fibre(
                        "fibre",
                        number(thickness)? / 1000.0,
                        resistivity,
                        density,
                    ));
                }
                ["edge", value] => cavity.edge_absorption = Some(number(value)?),
                _ => return Err(format!("cavity: {text}")),
            }
        }
        return Ok(Part::Cavity(cavity));
    }
    let (mut kind, mut bond, mut rest) = (LeafKind::Thin, Bond::Loose, text);
    loop {
        let (word, after) = rest.split_once(' ').ok_or("leaf")?;
        let (key, value) = word.split_once(':').unwrap_or((word, ""));
        match key {
            "masonry" => (kind, bond) = (LeafKind::Masonry, Bond::Glued),
            "limp" => kind = LeafKind::Limp,
            "glued" => bond = Bond::Glued,
            "damped" => bond = Bond::Damped { loss_factor: number(value)? },
            "ribbed" => kind = LeafKind::Orthotropic { stiffness_ratio: number(value)? },
            "porous" => kind = LeafKind::Porous { flow_resistance_pa_s_m: number(value)? },
            _ => break,
        }
        rest = after.trim();
    }
    let sheets = rest.split('+').map(|sheet| parse_sheet(sheet.trim())).collect::<Result<_, _>>()?;
    Ok(Part::Leaf(Leaf { name: rest.to_owned(), sheets, bond, kind }))
}

fn parse_sheet(text: &str) -> Result<Sheet, String> {
    let (name, size) = text.split_once(' ').ok_or_else(|| format!("sheet: {text}"))?;
    let &(_, density, speed, loss_factor) =
        MATERIALS.iter().find(|material| material.0 == name).ok_or_else(|| format!("material {name}"))?;
    let (thickness, mass) = size.split_once('=').map_or((size, None), |(t, m)| (t, Some(m)));
    let thickness_m = number(thickness)? / 1000.0;
    let density = match mass {
        Some(mass) => number(mass)? / thickness_m,
        None => density,
    };
    let mut sheet = Sheet::from_wave_speed(name, thickness_m, density, speed);
    sheet.loss_factor = loss_factor;
    sheet.along_over_across = GRAINS.iter().find(|grain| grain.0 == name).map_or(1.0, |grain| grain.1);
    sheet.spreads = Spreads::default();
    Ok(sheet)
}

fn parse_bridge(text: &str) -> Result<Bridge, String> {
    let (text, leaves) = text.split_once('@').map_or((text, "0-1"), |(t, l)| (t, l));
    let (outer, inner) = leaves.split_once('-').ok_or("leaves")?;
    let place = |word: &str| word.parse::<usize>().map_err(|_| format!("leaf {word}"));
    let words: Vec<&str> = text.split_whitespace().collect();
    let kind = match words.as_slice() {
        ["timber", b] => BridgeKind::TimberStud { spacing_m: number(b)? },
        ["steel", b, t, web] => BridgeKind::SteelStud {
            spacing_m: number(b)?,
            steel_thickness_m: number(t)? / 1000.0,
            web_depth_m: number(web)? / 1000.0,
            compliance_m2_n: None,
        },
        ["line", b, c] => BridgeKind::SteelStud {
            spacing_m: number(b)?,
            steel_thickness_m: 0.0005,
            web_depth_m: 0.09,
            compliance_m2_n: Some(number(c)?),
        },
        ["staggered", b] => BridgeKind::StaggeredStud { spacing_m: number(b)? },
        ["double", b] => BridgeKind::DoubleStud { spacing_m: number(b)? },
        ["channel", b, c, rest @ ..] => BridgeKind::ResilientChannel {
            stud_spacing_m: number(b)?,
            channel_spacing_m: number(c)?,
            steel_studs: rest.first() == Some(&"steel"),
        },
        ["clip", k, n, b] => BridgeKind::Clip {
            stiffness_n_m: number(k)?,
            loss_factor: 0.1,
            per_m2: number(n)?,
            bar_spacing_m: number(b)?,
        },
        ["tie", k, n] => BridgeKind::Tie { stiffness_n_m: number(k)?, per_m2: number(n)? },
        ["frame", l, k] => BridgeKind::CommonFrame {
            length_m: number(l)?,
            stiffness_n_m2: if *k == "GASKET" { GASKET_N_M2 } else { number(k)? },
        },
        ["rigid", n] => BridgeKind::RigidPoint { count: number(n)? },
        _ => return Err(format!("bridge: {text}")),
    };
    Ok(Bridge::between(place(outer)?, place(inner)?, words.first().copied().unwrap_or(""), kind))
}

fn parse_leak(text: &str) -> Result<Leak, String> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let seal = |class: &str| match class {
        "none" => Ok(SealClass::None),
        "brush" => Ok(SealClass::Brush),
        "compression" => Ok(SealClass::Compression),
        "double" => Ok(SealClass::DoubleCompression),
        _ => Err(format!("seal: {text}")),
    };
    let kind = match words.as_slice() {
        ["seal", class, length] | ["seal", class, length, _] => {
            LeakKind::Seal { length_m: number(length)?, gap: seal(class)?.gap() }
        }
        ["slit", length, width, depth] => LeakKind::Slit {
            length_m: number(length)?,
            width_m: number(width)? / 1000.0,
            depth_m: number(depth)? / 1000.0,
            filling_pa_s_m2: None,
            at_edge: false,
        },
        _ => return Err(format!("leak: {text}")),
    };
    let leaf = match words.as_slice() {
        ["seal", _, _, leaf] => Some(leaf.parse().map_err(|_| format!("leaf {leaf}"))?),
        _ => None,
    };
    Ok(Leak { name: text.to_owned(), leaf, kind, size_spread: 0.5 })
}
