//! The steps of the linings of walls.

use quantities::format::with_unit;

use super::{StepFacts, Steps, count, hold};

/// What the steps of one lining are written from.
#[derive(Clone, Debug)]
pub struct LiningFacts {
    /// The wall.
    pub wall: String,
    /// Whether it is built before the ceiling.
    pub before_ceiling: bool,
    /// Whether bars on clips carry it; studs otherwise.
    pub on_clips: bool,
    /// Studs or bars.
    pub supports: usize,
    /// Clips.
    pub clips: usize,
    /// Clear depth between wall and boards, mm.
    pub cavity_mm: f64,
    /// Depth from wall to face, mm.
    pub depth_mm: f64,
    /// Thickness of the fibre behind the boards, mm; 0 for none.
    pub fill_mm: f64,
    /// Whether its clips are packed, since the wall bows.
    pub packed: bool,
    /// Pieces of board.
    pub pieces: usize,
    /// Screws.
    pub screws: usize,
    /// Sheets that serve a later layer too, with its pieces: `sheet 5 of layer 1 (2-03, 2-04)`.
    pub shared: Vec<String>,
    /// Length of cut edges to tape, m; zero where the boards need none.
    pub tape_m: f64,
    /// Area, m².
    pub area_m2: f64,
}

/// The linings built before the ceiling, or those after it.
pub(super) fn put(facts: &StepFacts, before_ceiling: bool, list: &mut Steps) {
    for lining in facts.linings.iter().filter(|lining| lining.before_ceiling == before_ceiling) {
        let wall = lining.wall.replace('-', "–");
        let face = with_unit(lining.depth_mm, 0, "mm");
        let carried = if lining.on_clips {
            format!(
                "Fix {} to the wall as drawn{} and snap {} in, level; screws into the wall only through the clips.",
                count(lining.clips, "clip", "clips"),
                if lining.packed { ", each on the packer of its sheet," } else { "" },
                count(lining.supports, "bar", "bars")
            )
        } else {
            format!(
                "Fix the tracks to floor and head on sealant so that the boards' back stands {} off the wall; stand {} in them. Nothing \
                 touches the wall, mortar that sticks out is knocked off.",
                with_unit(lining.cavity_mm, 0, "mm"),
                count(lining.supports, "stud", "studs")
            )
        };
        let overhead = if lining.before_ceiling { "joists" } else { "ceiling" };
        let mut text = vec![
            format!(
                "Snap the line of the finished face on floor and {overhead}, {face} from the wall where it comes nearest."
            ),
            carried,
        ];
        if !lining.before_ceiling && !lining.on_clips {
            text.push(
                "The finished ceiling carries nothing: the head track only guides the studs. Lay it on sealant and screw it into a bar \
                 of the ceiling, never through to a joist."
                    .to_owned(),
            );
        }
        let empty_mm = lining.cavity_mm - lining.fill_mm;
        if lining.fill_mm > 0.0 && empty_mm > 0.5 {
            text.push(format!(
                "Put {} of fibre against the wall over its whole area, without gaps and held so that it cannot slump; the other {} before \
                 the boards stay empty.",
                with_unit(lining.fill_mm, 0, "mm"),
                with_unit(empty_mm, 0, "mm")
            ));
        } else if lining.fill_mm > 0.0 {
            text.push("Fill the depth with fibre, full and tight, nothing squeezed.".to_owned());
        }
        list.put(
            &format!("Lining of wall {wall}: {}", if lining.on_clips { "clips and bars" } else { "studs" }),
            text,
            if lining.on_clips { 1 } else { 2 },
            lining.supports as f64 * 0.25
                + lining.clips as f64 * 0.05
                + if lining.fill_mm > 0.0 { lining.area_m2 * 0.08 } else { 0.0 },
            hold(
                "the face of every support, head, middle and foot",
                "a long straightedge and a plumb line",
                format!(
                    "within 3 mm of one upright plane; {} from the wall at the nearest place, the boards come on top of that",
                    with_unit(lining.cavity_mm, 0, "mm")
                ),
                "pack or shift it before the first board",
            )
            .at_most("how far the worst is out of plane", (3.0, "mm"), false),
        );
        list.caution(&["metal"]);
        let mut text = vec![
                format!(
                    "Put up {} upright as drawn, {}, as far apart as each layer's sheet says; joints of one layer never over those of the other.",
                    count(lining.pieces, "piece", "pieces"),
                    count(lining.screws, "screw", "screws")
                ),
                "Keep the gap at floor, head and corners on spacers and fill it with acoustic sealant, layer by layer."
                    .to_owned(),
            ];
        if !lining.shared.is_empty() {
            text.insert(
                1,
                format!(
                    "These sheets serve a later layer too: cut from them first only what their own layer takes, and put the rest aside whole, with \
                     the names of its pieces on it: {}.",
                    lining.shared.join(", ")
                ),
            );
        }
        if lining.tape_m > 0.0 {
            text.insert(
                1,
                format!(
                    "Tape every cut edge at once, or the filling runs out: {} of tape.",
                    with_unit(lining.tape_m, 1, "m")
                ),
            );
        }
        list.put(
            &format!("Lining of wall {wall}: boards"),
            text,
            2,
            lining.pieces as f64 * 0.3 + lining.screws as f64 * 0.006,
            hold(
                "gap all round, every layer",
                "a thin blade and a lamp from the side",
                "no board touches floor, wall or ceiling; one unbroken bead".to_owned(),
                "trim what touches, fill again",
            ),
        );
        list.caution(&["heavy boards on a wall", "dust"]);
    }
}
