//! Tapes and levels of the project to the adjusted room.

use survey::{Bow, Height, Input, JoistReading, OnWall, Sense, Survey, SurveyError, Tape, Tie};

use crate::project::{self, Joists, Project, TieHeight, Turn};

/// Adjusts the project's readings to a room.
pub(crate) fn adjusted(project: &Project) -> Result<Survey, SurveyError> {
    survey::adjust(&input(&project.survey, project.joists.as_ref()))
}

/// What was measured, as the adjustment takes it.
pub(crate) fn input(given: &project::Survey, joists: Option<&Joists>) -> Input {
    let mut tapes = Vec::new();
    for tape in &given.tape {
        let mut put = |reading_mm: Option<f64>, height: Height| {
            if let Some(reading_mm) = reading_mm {
                tapes.push(Tape { from: tape.from.0, to: tape.to.0, reading_mm, height, sd_mm: tape.sd_mm });
            }
        };
        put(tape.ceiling_mm, Height::Ceiling);
        put(tape.floor_mm, Height::Floor);
    }
    let on_wall = |wall: usize, running_mm: f64| OnWall { wall, running_mm, from_second_corner: false };
    let joists = joists.map_or_else(Vec::new, |joists| {
        joists
            .each
            .iter()
            .map(|joist| JoistReading {
                name: joist.name.clone(),
                start: on_wall(joist.from_wall.0, joist.from_mm),
                end: on_wall(joist.to_wall.0, joist.to_mm),
                width_mm: joists.width_mm(),
                depth_mm: joists.depth_mm,
                members: joists.members,
                up_from_laser_mm: joist.up_from_laser_mm.clone(),
                other_edge_up_from_laser_mm: joist.other_edge_up_from_laser_mm.clone(),
            })
            .collect()
    });
    Input {
        corners: given.corners.clone(),
        sense: match given.round {
            Turn::Anticlockwise => Sense::Anticlockwise,
            Turn::Clockwise => Sense::Clockwise,
        },
        tapes,
        ties: given
            .tie
            .iter()
            .map(|tie| Tie {
                corner: tie.corner.0,
                from: tie.from.0,
                to: tie.to.0,
                along_mm: tie.along_mm,
                offset_mm: tie.offset_mm,
                height: match tie.height {
                    TieHeight::Ceiling => Height::Ceiling,
                    TieHeight::Floor => Height::Floor,
                },
                sd_mm: tie.sd_mm,
            })
            .collect(),
        tape_sd_mm: given.tape_sd_mm,
        tape_sd_mm_per_m: given.tape_sd_mm_per_m,
        bows: given.bow.iter().map(|bow| Bow { wall: bow.wall.0, gap_mm: bow.gap_mm }).collect(),
        joists,
        laser_above_floor_mm: given.laser_above_floor_mm.unwrap_or(0.0),
    }
}
