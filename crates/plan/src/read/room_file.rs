//! The whole room file: its tables in the order of their dependence, and what makes them one project.

use toml::de::DeTable;

use crate::{
    project::{
        AsBuilt, AsProved, Beam, Buildup, Ceiling, Choosing, Climate, Fence, Gap, IndoorClimate, Joist,
        JoistCut, JoistLoad, JoistOpening, Joists, Limits, Lining, Measurement, Opening, OutsideSound,
        OwnOption, Penetration, Project, Receiver, Roof, RoomUse, Rules, Sister, Site, Source, Stock, Survey,
        Title, Vent, Wall, WallId,
    },
    read::{
        catalogue_names::GradeOrUnknown,
        checks,
        field::{Keyed, Needed, OrDefaults, Rows},
        keyed::keyed,
        reading::Reading,
        spectrum::measured,
        wording::{plain, shown},
    },
};

/// The version of the format this program writes and reads.
pub(crate) const FORMAT: u32 = 1;

keyed! {
    /// Everything the person knows and wants: one file, written by hand.
    pub(crate) struct RoomFile {
        /// Version of the format of this file.
        format: u32 [1.0, 1.0],
        /// What stands in the title block of every sheet.
        project: Needed<Title>,
        /// What must not be exceeded.
        limits: Needed<Limits>,
        /// The ring of corners and everything measured between them.
        survey: Needed<Survey>,
        /// The roof over the ceiling; left away under another storey.
        roof: Option<Roof>,
        /// What all joists have in common.
        joists: Option<JoistsKeys>,
        /// Each joist: where it runs and how its underside lies.
        joist: Vec<JoistKeys>,
        /// What walls, ceiling, windows and doors are made of.
        buildup: Vec<Buildup>,
        /// What the ceiling is built of.
        ceiling: Needed<Ceiling>,
        /// The sides of the ring, one for each.
        wall: Vec<Wall>,
        /// Windows, doors and hatches.
        opening: Vec<Opening>,
        /// Linings of walls to set out.
        lining: Vec<Lining>,
        /// Silenced ways for fresh air through walls.
        vent: Vec<Vent>,
        /// Slits and holes that stay after sealing.
        gap: Vec<Gap>,
        /// Cables, pipes, boxes, lamps, lids and louvres.
        penetration: Vec<Penetration>,
        /// What is played or said in the room.
        source: Vec<Source>,
        /// Where it must be quiet.
        receiver: Vec<Receiver>,
        /// A fence or wall outside that screens.
        fence: Option<Fence>,
        /// Ground and air outside.
        site: OrDefaults<Site>,
        /// Sounds that come in from outside.
        outside_sound: Vec<OutsideSound>,
        /// Who uses the room, and the air they get.
        room_use as "use": Option<RoomUse>,
        /// Monthly means outside.
        climate: Option<Climate>,
        /// The air inside as it was measured; used for damp in place of the humidity class.
        indoor_climate: Option<IndoorClimate>,
        /// Rules the setting-out obeys.
        rules: OrDefaults<Rules>,
        /// What can be bought, with prices.
        stock: OrDefaults<Stock>,
        /// What is already fixed, as it was really found.
        as_built: Option<AsBuilt>,
        /// What was measured, one table for each position.
        measurement: Vec<Measurement>,
        /// Faults that measuring has found; planned with until they are mended.
        as_proved: Option<AsProved>,
        /// What may be chosen, for `stillroom choose`.
        choosing as "choose": OrDefaults<Choosing>,
        /// What elements could be built as, beside what the program proposes.
        option: Vec<OwnOption>,
    }
}

keyed! {
    /// What all joists have in common.
    pub(crate) struct JoistsKeys {
        /// Timbers bolted side by side in one joist.
        members: u32 [1.0, 4.0] = 1,
        /// Width of one timber.
        member_width_mm: f64 [20.0, 300.0],
        /// Depth of the joist.
        depth_mm: f64 [50.0, 600.0],
        /// Strength class; "unknown" takes a cautious one.
        grade: GradeOrUnknown,
        /// The wall the joists start from; a [[joist]] may name another.
        from_wall: Option<WallId>,
        /// The wall they reach; a [[joist]] may name another.
        to_wall: Option<WallId>,
        /// Length of bearing on the wall at each end.
        bearing_mm: f64 [20.0, 400.0] = 50.0,
        /// Middles of supports between the two walls, such as a beam below: from the inner face of the wall the joists start from; a
        /// [[joist]] may have others.
        support_mm: Vec<f64> [0.0, 20_000.0] = Vec::new(),
        /// How far they run on past the bearing on the wall they start from, such as an eaves; a [[joist]] may differ.
        overhang_from_mm: f64 [0.0, 5000.0] = 0.0,
        /// How far they run on past the bearing on the wall they reach; a [[joist]] may differ.
        overhang_to_mm: f64 [0.0, 5000.0] = 0.0,
        /// Distance between noggings of the joists' full depth, which keep them from tipping where no deck lies on them.
        blocking_mm: Option<f64> [100.0, 10_000.0],
        /// What one should know of how they bear.
        span_note: Option<String>,
        /// Hatches and rooflights through them.
        opening: Vec<JoistOpening>,
        /// Timber beams under them, from wall to wall.
        beam: Vec<BeamKeys>,
    }
}

keyed! {
    /// A timber beam under the joists: every joist without a `support_mm` of its own lies on it.
    pub(crate) struct BeamKeys {
        /// What it is called.
        name: String,
        /// Its middle, from the inner face of the wall the joists start from.
        at_mm: f64 [100.0, 20_000.0],
        /// Timbers bolted side by side in it.
        members: u32 [1.0, 6.0] = 1,
        /// Width of one timber.
        member_width_mm: f64 [20.0, 500.0],
        /// Its depth.
        depth_mm: f64 [50.0, 1000.0],
        /// Strength class; "unknown" takes a cautious one.
        grade: GradeOrUnknown,
        /// Length of bearing at each end.
        bearing_mm: f64 [20.0, 400.0] = 100.0,
        /// Middles of the posts under it, from the inner face of the wall at its start: the one the first [[joist]] is nearest to.
        post_mm: Vec<f64> [0.0, 50_000.0] = Vec::new(),
    }
}

keyed! {
    /// One joist, where it runs and how its underside lies.
    pub(crate) struct JoistKeys {
        /// Its name, unique.
        name: String,
        /// The wall it starts from, where it is not the one of [joists].
        from_wall: Option<WallId>,
        /// Running dimension to its middle, from the first corner of the wall it starts from.
        from_mm: f64 [0.0, 50_000.0],
        /// The wall it reaches, where it is not the one of [joists].
        to_wall: Option<WallId>,
        /// Running dimension to its middle, from the first corner of the wall it reaches.
        to_mm: f64 [0.0, 50_000.0],
        /// Heights of its underside above the laser line at even distances, from its start to its end.
        up_from_laser_mm: Vec<f64> [-500.0, 4000.0] = Vec::new(),
        /// The same along its other edge, to the right of the first seen from its start: shows twist.
        other_edge_up_from_laser_mm: Vec<f64> [-500.0, 4000.0] = Vec::new(),
        /// Notches and holes in it.
        cut: Vec<JoistCut>,
        /// What stands on it besides roof and ceiling.
        load: Vec<JoistLoad>,
        /// Middles of the supports between its two walls, where they are not those of [joists].
        support_mm: Vec<f64> [0.0, 20_000.0] = Vec::new(),
        /// How far it runs on past the bearing at its start, where it is not as in [joists].
        overhang_from_mm: Option<f64> [0.0, 5000.0],
        /// How far it runs on past the bearing at its end, where it is not as in [joists].
        overhang_to_mm: Option<f64> [0.0, 5000.0],
        /// A member bolted to its side along its whole length: its width.
        sister_width_mm: Option<f64> [20.0, 300.0],
        /// Depth of that member.
        sister_depth_mm: Option<f64> [50.0, 600.0],
        /// Strength class of that member; without it or with "unknown" the cautious one.
        sister_grade: Option<GradeOrUnknown>,
    }
}

/// Reads the tables, checks them against each other, and makes the project if nothing is wrong.
pub(crate) fn room(document: &DeTable<'_>, reading: &mut Reading<'_>) -> Option<Project> {
    let rows = Rows { path: String::new(), table: document, span: 0..0 };
    if !format_is_known(&rows, reading) {
        return None;
    }
    gather_names(document, reading);
    let mut file = RoomFile::decode_rows(&rows, reading)?;
    for (index, source) in file.source.iter_mut().enumerate() {
        let path = reading.entry("source", index);
        source.measured = measured(source.measured.take(), source.measured_csv.as_deref(), &path, reading);
    }
    let joists = file.joists.take().map(|common| joists(common, &file.joist, reading));
    if joists.is_none() && !file.joist.is_empty() && !reading.has("joists") {
        let entry = reading.entry("joist", 0);
        reading
            .error(
                "missing-joists",
                &entry,
                "There are [[joist]] tables, but no [joists] that says what they are.",
            )
            .help("Write [joists] with `member_width_mm`, `depth_mm`, `grade`, `from_wall` and `to_wall`.");
    }
    let draft = checks::Draft { file: &file, joists: joists.as_ref() };
    checks::run(&draft, reading);
    if reading.has_errors() {
        return None;
    }
    Some(Project {
        format: file.format,
        title: file.project.0?,
        limits: file.limits.0?,
        survey: file.survey.0?,
        roof: file.roof,
        joists,
        buildups: file.buildup,
        ceiling: file.ceiling.0?,
        walls: in_ring_order(file.wall),
        openings: file.opening,
        linings: file.lining,
        vents: file.vent,
        gaps: file.gap,
        penetrations: file.penetration,
        sources: file.source,
        receivers: file.receiver,
        fence: file.fence,
        site: file.site.0,
        outside_sounds: file.outside_sound,
        room_use: file.room_use,
        climate: file.climate,
        indoor_climate: file.indoor_climate,
        rules: file.rules.0,
        stock: file.stock.0,
        as_built: file.as_built,
        measurements: file.measurement,
        recorded: Vec::new(),
        recorded_decays: Vec::new(),
        leak_shape: crate::project::LeakShape::default(),
        as_proved: file.as_proved,
        choosing: file.choosing.0,
        options: file.option,
    })
}

fn in_ring_order(mut walls: Vec<Wall>) -> Vec<Wall> {
    walls.sort_by_key(|wall| wall.between);
    walls
}

/// A file of a newer format is not read any further: its keys may mean other things.
fn format_is_known(rows: &Rows<'_, '_>, reading: &mut Reading<'_>) -> bool {
    let Some((name, value)) = rows.table.get_key_value("format") else { return true };
    reading.note_standing("format", name.span(), value.span());
    let number = value.get_ref().as_integer().and_then(|n| i64::from_str_radix(n.as_str(), n.radix()).ok());
    let Some(number) = number.filter(|number| *number != i64::from(FORMAT)) else { return true };
    let newer = number > i64::from(FORMAT);
    reading
        .error(
            "unknown-format",
            "format",
            format!("This file has format {number}; this program reads format {FORMAT}."),
        )
        .here(if newer { "newer than this program" } else { "no such format" })
        .help(if newer {
            "Use a newer program. Nothing else in the file was looked at.".to_owned()
        } else {
            format!("Write `format = {FORMAT}`.")
        });
    false
}

/// Names that other tables refer to, before any table is read in full.
fn gather_names(document: &DeTable<'_>, reading: &mut Reading<'_>) {
    let texts = |table: &DeTable<'_>, key: &str| -> Vec<String> {
        let list = table.get(key).and_then(|value| value.get_ref().as_array());
        list.map(|list| list.iter().filter_map(|v| v.get_ref().as_str().map(str::to_owned)).collect())
            .unwrap_or_default()
    };
    let named = |list: &str, key: &str| -> Vec<String> {
        let entries = document.get(list).and_then(|value| value.get_ref().as_array());
        entries
            .map(|entries| {
                entries
                    .iter()
                    .filter_map(|entry| entry.get_ref().as_table())
                    .map(|entry| {
                        entry.get(key).and_then(|v| v.get_ref().as_str()).unwrap_or_default().to_owned()
                    })
                    .collect()
            })
            .unwrap_or_default()
    };
    let survey = document.get("survey").and_then(|value| value.get_ref().as_table());
    reading.names.written_corners = survey.map(|survey| texts(survey, "corners")).unwrap_or_default();
    if checks::ring_is_sound(&reading.names.written_corners) {
        reading.names.corners = reading.names.written_corners.clone();
    }
    reading.names.buildups = named("buildup", "id");
    reading.names.openings = named("opening", "name");
}

fn joists(common: JoistsKeys, each: &[JoistKeys], reading: &mut Reading<'_>) -> Joists {
    let mut shared_mm = common.support_mm.clone();
    if !common.beam.is_empty() {
        shared_mm.extend(common.beam.iter().map(|beam| beam.at_mm));
        shared_mm.sort_by(f64::total_cmp);
    }
    let mut list = Vec::new();
    for (index, keys) in each.iter().enumerate() {
        let path = reading.entry("joist", index);
        let mut wall = |own: Option<WallId>, shared: Option<WallId>, key: &str| {
            let found = own.or(shared);
            let common = format!("joists.{key}");
            let said = reading.has(&format!("{path}.{key}")) || reading.has(&common);
            if found.is_none() && !said && !reading.complained_about(&common) {
                reading
                    .error(
                        "missing-key",
                        &common,
                        format!("The joist \"{}\" has no `{key}`.", shown(&keys.name)),
                    )
                    .here(format!("`{key}` is missing"))
                    .help(format!("Write `{key}` in [joists] for all, or in each [[joist]]."));
            }
            found
        };
        let from = wall(keys.from_wall, common.from_wall, "from_wall");
        let to = wall(keys.to_wall, common.to_wall, "to_wall");
        let (Some(from_wall), Some(to_wall)) = (from, to) else { continue };
        list.push(Joist {
            name: keys.name.clone(),
            from_wall,
            from_mm: keys.from_mm,
            to_wall,
            to_mm: keys.to_mm,
            up_from_laser_mm: keys.up_from_laser_mm.clone(),
            other_edge_up_from_laser_mm: keys.other_edge_up_from_laser_mm.clone(),
            cuts: keys.cut.clone(),
            loads: keys.load.clone(),
            sister: sister(keys, &path, reading),
            supports_mm: if reading.has(&format!("{path}.support_mm")) {
                keys.support_mm.clone()
            } else {
                shared_mm.clone()
            },
            overhangs_mm: [
                keys.overhang_from_mm.unwrap_or(common.overhang_from_mm),
                keys.overhang_to_mm.unwrap_or(common.overhang_to_mm),
            ],
        });
    }
    Joists {
        members: common.members,
        member_width_mm: common.member_width_mm,
        depth_mm: common.depth_mm,
        grade: common.grade.0,
        bearing_mm: common.bearing_mm,
        blocking_mm: common.blocking_mm,
        span_note: common.span_note,
        each: list,
        openings: common.opening,
        beams: common
            .beam
            .into_iter()
            .map(|beam| Beam {
                name: beam.name,
                at_mm: beam.at_mm,
                members: beam.members,
                member_width_mm: beam.member_width_mm,
                depth_mm: beam.depth_mm,
                grade: beam.grade.0,
                bearing_mm: beam.bearing_mm,
                posts_mm: beam.post_mm,
            })
            .collect(),
    }
}

/// The member at a joist's side, where both its sizes are given.
fn sister(keys: &JoistKeys, path: &str, reading: &mut Reading<'_>) -> Option<Sister> {
    let grade = keys.sister_grade.as_ref().and_then(|grade| grade.0.clone());
    if let (Some(width_mm), Some(depth_mm)) = (keys.sister_width_mm, keys.sister_depth_mm) {
        return Some(Sister { width_mm, depth_mm, grade });
    }
    let all = ["sister_width_mm", "sister_depth_mm"];
    let has = |key: &str| reading.has(&format!("{path}.{key}"));
    let missing: Vec<&str> = all.into_iter().filter(|key| !has(key)).collect();
    let started = missing.len() < all.len() || has("sister_grade");
    if let (true, [first, ..]) = (started, missing.as_slice()) {
        reading
            .error(
                "missing-key",
                path,
                format!("The joist \"{}\" has a sister member without its `{first}`.", shown(&keys.name)),
            )
            .help(
                "Write both `sister_width_mm` and `sister_depth_mm`: measure the timber that was bolted on.",
            );
    }
    None
}

/// A length in the words of a sentence: `5233 mm`.
pub(crate) fn mm(length_mm: f64) -> String {
    let decimals = u32::from(length_mm.abs() < 1000.0);
    format!("{} mm", plain(quantities::format::round_to(length_mm, decimals)))
}
