//! The build in the order of what must be true first.
//!
//! Hours and people are common practice without a source; each hold point says what to measure, with what, and
//! the tolerance.

use quantities::format::{number, with_unit};

use crate::outcome::{HoldPoint, Step};

mod cautions;
mod hung;
mod linings;
pub use cautions::cautions_of;
pub use linings::LiningFacts;

/// What the steps are written from.
#[derive(Clone, Debug)]
#[expect(clippy::struct_excessive_bools, reason = "facts, each of its own; not states of one thing")]
pub struct StepFacts {
    /// Whether the roof is cold and must be vented above the fibre, with the clear gap and slot in mm.
    pub vented_roof_mm: Option<(f64, f64)>,
    /// Area of the ceiling, m².
    pub ceiling_m2: f64,
    /// Depth of fibre between the joists, mm; zero for none.
    pub fill_mm: f64,
    /// Whether a vapour control layer goes under the joists.
    pub vapour_layer: bool,
    /// Whether a ceiling is hung on clips and bars.
    pub hung: bool,
    /// The corner the running dimensions of the first wall start from.
    pub origin: String,
    /// Bars, laps among them, clips and noggins.
    pub bars: usize,
    /// Laps in the bars.
    pub laps: usize,
    /// Clips.
    pub clips: usize,
    /// Noggins to fix between joists for clips that find none.
    pub noggins: usize,
    /// What of bars, clips and noggins is still to fix where some of it hangs already; none where nothing was read.
    pub left: Option<LeftFacts>,
    /// Those that end at a wall, where no second joist is: `N1 at wall D–E`.
    pub noggins_at_walls: Vec<String>,
    /// Marks of bars on joists, where no wall marks an end.
    pub bar_ties: usize,
    /// Thickest packer, mm.
    pub thickest_packer_mm: f64,
    /// What clip and bar take between packer, or joist, and the back of the boards, mm.
    pub drop_mm: f64,
    /// Bar gap limit and clip gap limit, mm.
    pub limits_mm: (f64, f64),
    /// Edge bearing on a bar, mm, and width of the bar's face, mm.
    pub bearing_mm: (f64, f64),
    /// The gap between boards and walls, in words.
    pub gap_words: String,
    /// Length of the ceiling's edge, m.
    pub perimeter_m: f64,
    /// The layers in the order they go up.
    pub layers: Vec<LayerFacts>,
    /// Screw spacing in the field and at ends, mm.
    pub screws_mm: (f64, f64),
    /// Openings: name and kind.
    pub openings: Vec<String>,
    /// Whether there is an air path to build.
    pub air_path: bool,
    /// What goes through the elements or is let into them, and how each is closed, a sentence each.
    pub penetrations: Vec<String>,
    /// Holes and gaps the person listed.
    pub gaps: Vec<String>,
    /// Linings of walls.
    pub linings: Vec<LiningFacts>,
    /// Whether the room carries loud sources, for the hearing caution at the proof.
    pub loud: bool,
}

/// One layer of boards.
#[derive(Clone, Debug)]
pub struct LayerFacts {
    /// Name of the board.
    pub board: String,
    /// Boards to put up, pieces counted.
    pub pieces: usize,
    /// Names of those of the layer that are up already.
    pub up: Vec<String>,
    /// Gaps at walls and joints that those leave other than planned, a sentence each without a full stop.
    pub to_fill: Vec<String>,
    /// Heaviest piece, kg.
    pub heaviest_kg: f64,
    /// Screws.
    pub screws: usize,
    /// Length of cut edges to tape, m; zero where the board needs none.
    pub tape_m: f64,
    /// Thickness so far with this layer, mm.
    pub depth_mm: f64,
    /// Sheets whose rest a later layer is cut from, with its pieces: `sheet 5 (2-03, 2-04)`.
    pub kept: Vec<String>,
    /// Sheets that earlier layers began and this one is cut from, with its pieces: `sheet 5 of layer 1 (2-03, 2-04)`.
    pub begun: Vec<String>,
}

/// What is still to fix of a ceiling that hangs in part.
#[derive(Clone, Debug, Default)]
pub struct LeftFacts {
    /// Bars, clips and noggins.
    pub counts: setout::as_built::LeftToDo,
    /// What to do with bars that are off their marks, a sentence each without a full stop.
    pub bars_back: Vec<String>,
    /// Boards that are up and have to come down first.
    pub take_down: Vec<String>,
}

/// Writes the steps in their order.
pub fn steps(facts: &StepFacts) -> Vec<Step> {
    let mut list = Steps::default();
    before_the_ceiling(facts, &mut list);
    linings::put(facts, true, &mut list);
    if facts.hung {
        hung::bars_and_clips(facts, &mut list);
        hung::boards(facts, &mut list);
    }
    linings::put(facts, false, &mut list);
    the_rest(facts, &mut list);
    list.0
}

#[derive(Default)]
struct Steps(Vec<Step>);

impl Steps {
    fn put(&mut self, title: &str, text: Vec<String>, people: u32, hours: f64, hold: HoldPoint) {
        let number = self.0.len() + 1;
        let hours = (hours * 2.0).ceil().max(1.0) / 2.0;
        self.0.push(Step {
            number,
            title: title.to_owned(),
            text,
            people,
            hours,
            hold_point: Some(hold),
            cautions: Vec::new(),
        });
    }

    fn caution(&mut self, matters: &[&str]) {
        if let Some(step) = self.0.last_mut() {
            step.cautions = cautions_of(matters);
        }
    }
}

fn hold(measure: &str, with: &str, tolerance: String, otherwise: &str) -> HoldPoint {
    HoldPoint {
        measure: measure.to_owned(),
        with: with.to_owned(),
        tolerance,
        otherwise: otherwise.to_owned(),
        limit: None,
    }
}

fn before_the_ceiling(facts: &StepFacts, list: &mut Steps) {
    list.put(
        "Strip and look",
        vec![
            "Take down old lights, boards and loose plaster under the roof; label and coil cables clear of the joists."
                .to_owned(),
            "Look at every joist end, at the wall plate and round the chimney for rot, worm and old notches; \
             photograph what will be hidden."
                .to_owned(),
        ],
        1,
        2.0 + facts.ceiling_m2 * 0.15,
        hold(
            "moisture of each joist, both ends",
            "pin moisture meter",
            "20 % or less before anything is boarded over".to_owned(),
            "find the water, mend it, let the timber dry; do not close it in",
        )
        .at_most("the wettest of them", (20.0, "%"), true),
    );
    list.caution(&["electrics", "old materials", "structure"]);

    let mut holes = vec![
        "Fill holes and open joints in the masonry from inside: at the wall plate, round joist ends, cable and pipe \
         entries. Mortar for holes wider than a thumb, flexible acoustic sealant for the rest."
            .to_owned(),
    ];
    holes.extend(facts.gaps.iter().map(|gap| format!("Do not forget: {gap}.")));
    list.put(
        "Seal the shell",
        holes,
        1,
        2.0 + facts.perimeter_m * 0.08,
        hold(
            "every joint of the walls and the wall plate",
            "a bright lamp outside after dark, a wet hand or smoke inside on a windy day",
            "no light, no draught except at the roof's vent slots".to_owned(),
            "seal what shows before going on: it will be out of reach",
        ),
    );
    list.caution(&["dust"]);

    if facts.hung {
        hung::noggins(facts, list);
    }
    if facts.fill_mm > 0.0 {
        let mut text = Vec::new();
        if let Some((gap_mm, slot_mm)) = facts.vented_roof_mm {
            text.push(format!(
                "Open and clear the vent slots at both ends of every bay ({} of clear opening along the roof); \
                 fit insect mesh of larger area.",
                with_unit(slot_mm, 0, "mm")
            ));
            text.push(format!(
                "Cut {} of fibre tight between the joists and stop it so that {} of air stays clear above it, end to end.",
                with_unit(facts.fill_mm, 0, "mm"),
                with_unit(gap_mm, 0, "mm")
            ));
        } else {
            text.push(format!(
                "Cut {} of fibre tight between the joists.",
                with_unit(facts.fill_mm, 0, "mm")
            ));
        }
        let check = facts.vented_roof_mm.map(|(gap_mm, _)| {
            (
                "clear air above the fibre in every bay, both ends and the middle",
                format!("{} or more, and a draught to be felt through every bay", with_unit(gap_mm, 0, "mm")),
            )
        });
        let (measure, tolerance) = check.unwrap_or((
            "every bay, along all four edges",
            "full and tight, no hollow, nothing squeezed".to_owned(),
        ));
        let hold =
            hold(measure, "a marked stick", tolerance, "cut the fibre back, or prop it lower with battens");
        list.put(
            "Fill between the joists",
            text,
            1,
            facts.ceiling_m2 * 0.12,
            match facts.vented_roof_mm {
                Some((gap_mm, _)) => hold.at_least("the least of them", (gap_mm, "mm"), false),
                None => hold,
            },
        );
        list.caution(&["mineral fibre", "ladders"]);
    }
    if facts.vapour_layer {
        list.put(
            "Vapour control layer",
            vec![
                "Staple it to the undersides of the joists, laps at least 100 mm and on timber, every lap \
                 and staple line taped; carry it down and seal it to the walls."
                    .to_owned(),
                "Clip screws will go through it: put a patch of sealing tape at each clip first.".to_owned(),
            ],
            2,
            facts.ceiling_m2 * 0.08,
            hold(
                "laps, edges and cable entries",
                "eye and hand",
                "no open lap, no loose edge, no hole without tape".to_owned(),
                "tape it now: nothing reaches it later",
            ),
        );
        list.caution(&["ladders"]);
    }
}

fn the_rest(facts: &StepFacts, list: &mut Steps) {
    if !facts.penetrations.is_empty() {
        list.put(
            "Cables, boxes and lamps",
            facts.penetrations.iter().map(|sentence| capital(sentence)).collect(),
            1,
            facts.penetrations.len() as f64 * 0.5,
            hold(
                "each of them, from the room, before its cover goes on",
                "a lamp behind or a wet hand",
                "no light, no draught; no two boxes back to back in one wall".to_owned(),
                "seal, pad or hood it now; move a box that stands back to back with another",
            ),
        );
        list.caution(&["electrics"]);
    }
    if !facts.openings.is_empty() {
        list.put(
            "Window and door",
            vec![
                format!(
                    "Fit and seal: {}. Pack frames solid to the masonry, fill the joint and seal both faces.",
                    facts.openings.join(", ")
                ),
                "Set the seals so that a strip of paper is held all round.".to_owned(),
            ],
            2,
            facts.openings.len() as f64 * 4.0,
            hold(
                "the seal of every leaf, each 200 mm round",
                "a strip of paper",
                "held everywhere, with the same pull".to_owned(),
                "adjust hinges and keeps, then the seal",
            ),
        );
        list.caution(&["escape"]);
    }
    if facts.air_path {
        list.put(
            "Air path",
            vec![
                "Fix the lined duct on rubber, joints taped and sealed, the sleeve through the wall sealed on both faces."
                    .to_owned(),
                "Leave a way in for cleaning.".to_owned(),
            ],
            1,
            6.0,
            hold(
                "air flow at the planned setting, and the noise of the fan in the room",
                "a bag and a watch or a vane meter; the ear with the room silent",
                "the planned litres per second; fan no louder than the room's own quiet".to_owned(),
                "a larger duct, not a faster fan",
            ),
        );
        list.caution(&["air"]);
    }
    list.put(
        "Prove it",
        vec![
            "Play a steady loud noise inside and measure inside and at each receiver, at the same settings as before \
             the work; measure the background too."
                .to_owned(),
            "Where it is louder than planned, listen along the edges, the door and the window before opening anything up."
                .to_owned(),
        ],
        2,
        3.0,
        hold(
            "level difference at each receiver, by third octaves",
            "sound level meter or recorder",
            "within the plan's band of uncertainty".to_owned(),
            "look first at what the plan says lets most through",
        ),
    );
    if facts.loud {
        list.caution(&["hearing", "neighbours"]);
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn count(n: usize, one: &str, many: &str) -> String {
    format!("{}\u{00A0}{}", number(n as f64, 0), if n == 1 { one } else { many })
}
