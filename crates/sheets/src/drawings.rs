//! Every drawing of a plan, in the order of the job.
//!
//! Each module draws one kind. A drawing is a scene that fits above the title block of an A3 sheet lying
//! ([`ROOM_FOR_DRAWING_MM`]); plans of the room are seen from above, like the survey, so that left on paper is left on
//! the floor.

use paper::{Scale, Scene, dxf::ModelSpace};
use plan::{Plan, project::Paper};

pub(crate) use openings::true_words;
pub(crate) use room_plan::capital;

mod as_built;
mod bars;
mod boards;
mod clip_details;
mod column;
mod cuts;
mod damp_and_air;
mod element_spectra;
mod hatches;
mod heights;
mod labels;
mod layers;
mod lining;
mod moisture;
mod openings;
mod proof;
mod room_plan;
mod runs;
pub mod screen;
mod section;
mod spectrum;
mod survey;

/// Width and height of the free room above the title block of an A3 sheet lying, mm; no drawing is larger.
pub const ROOM_FOR_DRAWING_MM: [f64; 2] = [388.0, 218.0];

/// The room on a sheet of a paper for what can be laid out anew on it, mm: a large sheet lying, or a small one standing. What hangs together over
/// more than that, such as a plan of the room, is drawn as for the large one and goes on two small ones.
fn room_on(paper: Paper) -> [f64; 2] {
    match paper {
        Paper::A3 | Paper::Tabloid => ROOM_FOR_DRAWING_MM,
        Paper::A4 => [190.0, 244.0],
        Paper::Letter => [196.0, 226.0],
    }
}

/// Whether the paper is a small one.
fn is_small(paper: Paper) -> bool {
    matches!(paper, Paper::A4 | Paper::Letter)
}

/// One drawing, without frame and title block.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// File name without ending, unique: `survey`, `boards-layer-1`.
    pub id: String,
    /// What it shows.
    pub title: String,
    /// How it is to be read: seen from where, how much of what.
    pub subtitle: String,
    /// The drawing with its margins, no larger than [`ROOM_FOR_DRAWING_MM`]; on small paper what stands on one sheet may be higher.
    pub scene: Scene,
    /// Its scale, if it has one.
    pub scale: Option<Scale>,
    /// Where it lies in real millimetres, if it is worth opening in a drawing program.
    pub model: Option<ModelSpace>,
}

/// Every drawing there is something to draw for.
pub fn drawings(plan: &Plan) -> Vec<Drawing> {
    let mut all = vec![survey::drawing(plan)];
    all.extend(heights::drawings(plan));
    all.extend(section::drawings(plan));
    all.extend(spectrum::drawings(plan));
    all.extend(proof::drawings(plan));
    all.extend(as_built::drawings(plan));
    all.extend(bars::drawing(plan));
    all.extend(boards::drawings(plan));
    all.extend(cuts::drawings(plan));
    all.extend(lining::drawings(plan));
    all.extend(cuts::lining_drawings(plan));
    all.extend(moisture::drawings(plan));
    if let Some(mut put) = crate::shown::numbers(plan) {
        for drawing in &mut all {
            drawing.scene.put_words(&mut put);
            put(&mut drawing.subtitle);
        }
    }
    all
}

#[cfg(test)]
mod tests;

/// How the year of damp ends, in a sentence.
pub(crate) fn damp_in_words(moisture: &fabric::moisture::MoistureResult) -> String {
    moisture::verdict_words(moisture)
}
