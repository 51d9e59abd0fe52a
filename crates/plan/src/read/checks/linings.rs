//! Linings against their walls and the openings in them.

use crate::{
    project::WallId,
    read::{checks::Draft, reading::Reading, room_file::mm, wording::shown},
};

/// Least width of board between an opening and the end of its wall that a stud on either side still leaves room for, mm (common practice: two
/// studs of 50 mm).
const LEAST_BESIDE_MM: f64 = 100.0;

pub(super) fn check(draft: &Draft<'_>, reading: &mut Reading<'_>) {
    let file = draft.file;
    let mut seen: Vec<WallId> = Vec::new();
    for (index, lining) in file.lining.iter().enumerate() {
        let entry = reading.entry("lining", index);
        let wall = draft.wall_name(lining.wall);
        if seen.contains(&lining.wall) {
            reading
                .error("repeated", &format!("{entry}.wall"), format!("The wall {wall} has two linings."))
                .help("Write all its layers into one [[lining]].");
            continue;
        }
        seen.push(lining.wall);
        let given = file.wall.iter().find(|given| given.between == lining.wall);
        if let (Some(height_mm), Some(given)) = (lining.height_mm, given)
            && height_mm > given.height_mm
        {
            reading
                .error(
                    "higher-than-its-wall",
                    &format!("{entry}.height_mm"),
                    format!(
                        "The lining is {} high, its wall {wall} only {}.",
                        mm(height_mm),
                        mm(given.height_mm)
                    ),
                )
                .help("A lining ends under the ceiling: give its real height, or leave `height_mm` away.");
        }
        if lining.fill.is_none() && lining.fill_mm.is_some() {
            reading
                .error(
                    "fill-without-name",
                    &format!("{entry}.fill_mm"),
                    format!("The lining of wall {wall} has a thickness of fibre, but not which."),
                )
                .help("Name the fibre as `fill`, or take `fill_mm` away.");
        }
        if let (Some(fill_mm), Some(cavity_mm)) = (lining.fill_mm, lining.cavity_mm)
            && fill_mm > cavity_mm
        {
            reading
                .error(
                    "fill-thicker-than-cavity",
                    &format!("{entry}.fill_mm"),
                    format!("{} of fibre do not go into {} behind the lining of wall {wall}.", mm(fill_mm), mm(cavity_mm)),
                )
                .help("Fibre that is squeezed joins wall and boards: give it less thickness, or the lining more depth.");
        }
        let Some(length_mm) = draft.wall_length_mm(lining.wall) else { continue };
        for opening in file.opening.iter().filter(|opening| opening.wall == lining.wall) {
            let beside = [opening.from_corner_mm, length_mm - opening.from_corner_mm - opening.width_mm];
            if let Some(narrow) = beside.into_iter().find(|width| *width >= 0.0 && *width < LEAST_BESIDE_MM) {
                reading
                    .error(
                        "opening-at-the-end-of-a-lining",
                        &format!("{entry}.wall"),
                        format!(
                            "Beside \"{}\" only {} of the wall {wall} is left: no stud or bar stands there, and no board holds.",
                            shown(&opening.name),
                            mm(narrow)
                        ),
                    )
                    .help("Line that wall by hand as far as the reveal, or leave the lining of this wall away.");
            }
        }
    }
}
