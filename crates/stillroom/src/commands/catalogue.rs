//! `stillroom catalogue`: what the catalogue holds, each entry with where its numbers come from.

use std::{fmt::Write as _, process::ExitCode};

use anyhow::{Result, bail};
use catalogue::{
    Activity, Background, Bar, Clip, Covering, Door, Entry, Fill, Glass, Kind, Masonry, Membrane,
    OutdoorSound, Seal, Sheet, Source, Stud, Tie, TimberGrade,
};

use quantities::format::{number, with_unit};

use crate::report;

/// Lists every kind, or the entries of one.
pub(crate) fn run(kind: Option<&str>) -> Result<ExitCode> {
    let mut text = String::new();
    match kind {
        None => {
            let _ = writeln!(text, "Kinds; `stillroom catalogue KIND` lists one of them.\n");
            for kind in Kind::ALL {
                let _ = writeln!(text, "  {:<18}{} entries", name(kind), catalogue::ids(kind).len());
            }
        }
        Some(wanted) => {
            let Some(kind) = Kind::ALL.into_iter().find(|&kind| name(kind) == wanted.to_lowercase()) else {
                let names: Vec<String> = Kind::ALL.into_iter().map(name).collect();
                if matches!(
                    wanted.to_lowercase().as_str(),
                    "lamp" | "lamps" | "socket" | "sockets" | "cable" | "cables"
                ) {
                    bail!(
                        "Lamps, sockets and cables are not in the catalogue: they are kinds of [[penetration]] in the room file, \
                         explained in docs/examples-of-keys.md."
                    );
                }
                let meant = meant(wanted, &names)
                    .map_or_else(String::new, |name| format!(" Did you mean `stillroom catalogue {name}`?"));
                bail!("The catalogue has no kind `{wanted}`.{meant} It has: {}.", names.join(", "));
            };
            list(kind, &mut text);
        }
    }
    report::say(&text)?;
    Ok(ExitCode::SUCCESS)
}

/// What was meant by a kind that is not there: another word for it, its plural, or a slip of the finger.
fn meant<'n>(wanted: &str, names: &'n [String]) -> Option<&'n str> {
    let wanted = wanted.to_lowercase();
    let single = wanted.strip_suffix('s').unwrap_or(&wanted);
    let other = match single {
        "door" | "leaf" | "leave" => "door-leaf",
        "glas" | "glass" | "glazing" | "window" => "pane",
        "brick" | "block" | "stone" => "masonry",
        "plasterboard" | "sheet" | "osb" => "board",
        "fibre" | "wool" | "insulation" => "fill",
        "foil" | "film" => "membrane",
        "roof" | "tile" => "covering",
        "instrument" | "source" => "source-of-sound",
        "timber" | "grade" | "wood" => "timber-grade",
        "tie" => "wall-tie",
        other => other,
    };
    names
        .iter()
        .map(String::as_str)
        .find(|name| *name == other)
        .or_else(|| plan::read::nearest_few(other, names.iter().map(String::as_str), 1).first().copied())
}

/// The kind as it is typed: the trade word with dashes.
fn name(kind: Kind) -> String {
    kind.word().replace(' ', "-")
}

fn list(kind: Kind, text: &mut String) {
    match kind {
        Kind::Sheet => entries(text, |sheet: &Sheet| {
            let formats: Vec<String> = sheet
                .formats
                .iter()
                .map(|format| format!("{} × {}", number(format.length_mm, 0), number(format.width_mm, 0)))
                .collect();
            format!("{}; {}", slab(sheet.thickness_mm, sheet.mass_kg_m2()), formats.join(", "))
        }),
        Kind::Masonry => {
            entries(text, |masonry: &Masonry| slab(masonry.thickness_mm, masonry.mass_kg_m2()));
        }
        Kind::Fill => entries(text, |fill: &Fill| {
            format!(
                "{}, {}",
                with_unit(fill.density_kg_m3, 0, "kg/m³"),
                with_unit(fill.flow_resistivity_pa_s_m2, 0, "Pa·s/m²")
            )
        }),
        Kind::Membrane => entries(text, |membrane: &Membrane| {
            format!(
                "{}, sd {}",
                slab(membrane.thickness_mm, membrane.mass_kg_m2),
                with_unit(membrane.sd_m, 1, "m")
            )
        }),
        Kind::Glass => entries(text, |pane: &Glass| slab(pane.thickness_mm, pane.mass_kg_m2())),
        Kind::Door => entries(text, |door: &Door| slab(door.thickness_mm, door.mass_kg_m2)),
        Kind::Seal => entries(text, |seal: &Seal| {
            format!("like an open slit of {}", with_unit(seal.slit_width_mm, 2, "mm"))
        }),
        Kind::Stud => entries(text, |stud: &Stud| {
            format!("{} deep, face {}", with_unit(stud.depth_mm, 0, "mm"), with_unit(stud.width_mm, 0, "mm"))
        }),
        Kind::Clip => entries(text, |clip: &Clip| {
            format!(
                "drop {}, {}; its load is the maker's to state",
                with_unit(clip.drop_mm, 0, "mm"),
                with_unit(clip.stiffness_n_m / 1000.0, 0, "N/mm")
            )
        }),
        Kind::Bar => entries(text, |bar: &Bar| {
            format!(
                "face {}, {} deep, {}",
                with_unit(bar.width_mm, 0, "mm"),
                with_unit(bar.depth_mm, 0, "mm"),
                with_unit(bar.mass_kg_m, 2, "kg/m")
            )
        }),
        Kind::Tie => entries(text, |tie: &Tie| with_unit(tie.stiffness_n_m / 1e6, 2, "MN/m")),
        Kind::TimberGrade => entries(text, |grade: &TimberGrade| {
            format!(
                "bending {}, E {}",
                with_unit(grade.bending_strength_n_mm2, 0, "N/mm²"),
                with_unit(grade.modulus_mean_n_mm2, 0, "N/mm²")
            )
        }),
        Kind::Covering => entries(text, |covering: &Covering| with_unit(covering.load_kn_m2, 2, "kN/m²")),
        Kind::Source => entries(text, |source: &Source| with_unit(source.level_db_a, 0, "dB(A)")),
        Kind::OutdoorSound => entries(text, |sound: &OutdoorSound| with_unit(sound.level_db_a, 0, "dB(A)")),
        Kind::Background => {
            entries(text, |background: &Background| with_unit(background.level_db_a, 0, "dB(A)"));
        }
        Kind::Activity => entries(text, |activity: &Activity| format!("{} met", number(activity.met, 1))),
    }
}

fn slab(thickness_mm: f64, mass_kg_m2: f64) -> String {
    format!(
        "{}, {}",
        with_unit(thickness_mm, usize::from(thickness_mm.fract() != 0.0), "mm"),
        with_unit(mass_kg_m2, 1, "kg/m²")
    )
}

fn entries<E: Entry>(text: &mut String, facts: impl Fn(&E) -> String) {
    for entry in E::all() {
        let _ = writeln!(
            text,
            "{}\n    {}: {}\n    {}",
            entry.id(),
            entry.name(),
            facts(entry),
            entry.basis().text()
        );
    }
}
