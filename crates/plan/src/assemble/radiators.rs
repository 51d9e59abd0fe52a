//! The parts of the shell as faces that send sound outdoors.

use sound::{
    outdoors::{Radiator, Shape},
    place::{Direction, Point3},
};
use survey::Survey;

use crate::{
    assemble::{
        heard::{Ground, WallLine},
        shell::{Place as PartPlace, Shell, ShellPart, is_outside},
    },
    project::{Project, WallId},
};

pub(super) fn radiators(
    project: &Project,
    survey: &Survey,
    shell: &Shell,
    ground: &Ground,
) -> Result<Vec<Radiator>, String> {
    shell
        .parts
        .iter()
        .filter(|part| is_outside(project, part.place))
        .map(|part| radiator(project, survey, part, ground))
        .collect()
}

fn radiator(
    project: &Project,
    survey: &Survey,
    part: &ShellPart,
    ground: &Ground,
) -> Result<Radiator, String> {
    let sentence = |error: sound::room_error::RoomError| error.to_string();
    let missing = || format!("The place of `{}` in the room is not known.", part.part.name());
    let (corners, outward) = match part.place {
        PartPlace::Roof => {
            let corners = survey
                .corners
                .iter()
                .map(|corner| {
                    Point3::new(corner.at.x_mm / 1000.0, corner.at.y_mm / 1000.0, ground.roof_top_m)
                })
                .collect();
            (corners, Direction::UP)
        }
        PartPlace::Wall(id) => {
            let length_m = ground.wall(survey, id).ok_or_else(missing)?.length_m;
            let height_m = project.walls.get(id.0).map_or(2.4, |wall| wall.height_mm / 1000.0);
            face(survey, ground, id, (0.0, length_m), (0.0, height_m)).ok_or_else(missing)??
        }
        PartPlace::InWall { wall, from_mm, sill_mm, width_mm, height_mm } => {
            let run = (from_mm / 1000.0, (from_mm + width_mm) / 1000.0);
            let rise = (sill_mm / 1000.0, (sill_mm + height_mm) / 1000.0);
            face(survey, ground, wall, run, rise).ok_or_else(missing)??
        }
    };
    Radiator::new(part.part.clone(), Shape::Face { corners }, outward).map_err(sentence)
}

type FaceAndOut = (Vec<Point3>, Direction);

fn face(
    survey: &Survey,
    ground: &Ground,
    wall: WallId,
    run_m: (f64, f64),
    rise_m: (f64, f64),
) -> Option<Result<FaceAndOut, String>> {
    let WallLine { start, along, out, .. } = ground.wall(survey, wall)?;
    let at = |run: f64, rise: f64| {
        Point3::new(start.0 + along.0 * run, start.1 + along.1 * run, ground.floor_m + rise)
    };
    let corners =
        vec![at(run_m.0, rise_m.0), at(run_m.1, rise_m.0), at(run_m.1, rise_m.1), at(run_m.0, rise_m.1)];
    Some(
        Direction::new(out.0, out.1, 0.0)
            .map(|outward| (corners, outward))
            .map_err(|error| error.to_string()),
    )
}
