//! Four walls and two diagonals to a room, one tape read 30 mm wrong: `cargo run -p survey --example tapes`.
#![allow(clippy::print_stdout, reason = "an example prints")]

use survey::{Height, Input, Sense, SurveyError, Tape, adjust};

fn main() -> Result<(), SurveyError> {
    let tape = |from, to, reading_mm| Tape { from, to, reading_mm, height: Height::Ceiling, sd_mm: None };
    let right = [
        tape(0, 1, 4000.0),
        tape(1, 2, 3010.0),
        tape(2, 3, 4021.0),
        tape(3, 0, 2995.0),
        tape(0, 2, 5005.0),
        tape(1, 3, 5009.0),
    ];
    let wrong = right.map(|t| if t.from == 2 { Tape { reading_mm: t.reading_mm + 30.0, ..t } } else { t });
    for tapes in [right, wrong] {
        let room = adjust(&Input {
            corners: ["A", "B", "C", "D"].map(str::to_owned).to_vec(),
            sense: Sense::Anticlockwise,
            tapes: tapes.to_vec(),
            ties: Vec::new(),
            tape_sd_mm: 1.5,
            tape_sd_mm_per_m: 0.3,
            bows: Vec::new(),
            joists: Vec::new(),
            laser_above_floor_mm: 1000.0,
        })?;
        println!("{}", room.quality);
        for corner in &room.corners {
            let (x, y) = (corner.at.x_mm, corner.at.y_mm);
            println!(
                "  {}  {x:7.1} {y:7.1} mm  ± {:.1} mm, one standard deviation",
                corner.name, corner.sd_mm
            );
        }
    }
    Ok(())
}
