//! Every list as a table of comma-separated values, for a spreadsheet or another program.

use plan::{Plan, outcome::Standing};

pub use crate::list_lengths::order_detail;
use crate::list_lengths::{between, fall, fine, length};

/// One list: its file name without ending, and its rows with the head first.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct List {
    /// File name without ending.
    pub name: String,
    /// Rows, the head first; all of one length.
    pub rows: Vec<Vec<String>>,
}

impl List {
    pub(crate) fn new(name: &str, head: &[&str]) -> Self {
        Self { name: name.to_owned(), rows: vec![head.iter().map(|&word| word.to_owned()).collect()] }
    }

    pub(crate) fn row(&mut self, cells: Vec<String>) {
        self.rows.push(cells);
    }

    /// The list as comma-separated values, quoted where needed (RFC 4180, lines ended by a line feed).
    pub fn to_csv(&self) -> String {
        let mut writer = csv::WriterBuilder::new().from_writer(Vec::new());
        for row in &self.rows {
            // Writing to memory fails only on rows of unequal length, which `row` never makes.
            if writer.write_record(row).is_err() {
                break;
            }
        }
        writer.into_inner().ok().and_then(|bytes| String::from_utf8(bytes).ok()).unwrap_or_default()
    }
}

/// Every list of a plan.
pub fn lists(plan: &Plan) -> Vec<List> {
    let mut lists = vec![
        verdicts(plan),
        tapes(plan),
        corners(plan),
        openings(plan),
        bows(plan),
        spectra(plan),
        heard(plan),
    ];
    lists.extend(crate::proof_lists::lists(plan));
    if plan.ceiling.layout.is_some() {
        lists.extend([marks(plan), bars(plan), clips(plan), noggins(plan), pieces(plan), bar_cuts(plan)]);
    }
    lists.extend(changes(plan));
    lists.push(brought_true(plan));
    lists.push(linings(plan));
    lists.extend([joists(plan), order(plan), steps(plan), basis(plan)]);
    lists.retain(|list| list.rows.len() > 1);
    if plan.lengths().in_feet() {
        for list in &mut lists {
            list.show(plan);
        }
    }
    lists
}

/// A number for a table: rounded, plain digits, no thousands.
pub(crate) fn n(value: f64, decimals: u32) -> String {
    if value.is_finite() {
        format!("{:.1$}", quantities::format::round_to(value, decimals), decimals as usize)
    } else {
        String::new()
    }
}

fn verdicts(plan: &Plan) -> List {
    let mut list = List::new("verdicts", &["about", "standing", "figure", "uncertainty", "meaning"]);
    for verdict in &plan.verdicts {
        list.row(vec![
            verdict.about.clone(),
            verdict.standing.word().to_owned(),
            verdict.figure.clone(),
            verdict.uncertainty_shown(plan.lengths()).unwrap_or_default(),
            verdict.meaning.clone(),
        ]);
    }
    list
}

fn tapes(plan: &Plan) -> List {
    let mut list = List::new(
        "tapes",
        &[
            "line",
            "height",
            "read_mm",
            "adjusted_mm",
            "residual_mm",
            "sd_mm",
            "standardised_residual",
            "used",
        ],
    );
    for reading in &plan.survey.readings {
        let height = match reading.height {
            survey::Height::Floor => "floor",
            survey::Height::Ceiling => "ceiling",
        };
        list.row(vec![
            reading.name.clone(),
            height.to_owned(),
            length(plan, reading.reading_mm, 0),
            length(plan, reading.adjusted_mm, 1),
            fine(plan, reading.residual_mm, 1),
            fine(plan, reading.sd_mm, 1),
            reading.standardised_residual.map_or_else(String::new, |value| n(value, 2)),
            if reading.used { "yes" } else { "no" }.to_owned(),
        ]);
    }
    list
}

fn corners(plan: &Plan) -> List {
    let mut list =
        List::new("corners", &["corner", "x_mm", "y_mm", "sd_mm", "angle_deg", "out_of_square_mm_per_m"]);
    for corner in &plan.survey.corners {
        list.row(vec![
            corner.name.clone(),
            length(plan, corner.at.x_mm, 1),
            length(plan, corner.at.y_mm, 1),
            fine(plan, corner.sd_mm, 1),
            n(corner.angle_deg, 2),
            corner.out_of_square_mm_per_m.map_or_else(String::new, |value| fall(plan, value)),
        ]);
    }
    list
}

fn openings(plan: &Plan) -> List {
    let mut list = List::new(
        "openings",
        &["opening", "kind", "wall", "from_corner_mm", "width_mm", "height_mm", "sill_mm"],
    );
    for opening in &plan.openings {
        let wall = plan.survey.walls.get(opening.wall).map_or_else(String::new, |wall| wall.name.clone());
        list.row(vec![
            opening.name.clone(),
            opening.kind.to_owned(),
            wall,
            length(plan, opening.from_corner_mm, 0),
            length(plan, opening.width_mm, 0),
            length(plan, opening.height_mm, 0),
            length(plan, opening.sill_mm, 0),
        ]);
    }
    list
}

fn bows(plan: &Plan) -> List {
    let mut list = List::new("bows", &["wall", "gap_mm"]);
    for wall in &plan.survey.walls {
        if let Some(bow_mm) = wall.bow_mm {
            list.row(vec![wall.name.clone(), length(plan, bow_mm, 0)]);
        }
    }
    list
}

fn spectra(plan: &Plan) -> List {
    let mut list = List::new(
        "sound-reduction",
        &["element", "frequency_hz", "r_db", "lower_db", "upper_db", "limited_by"],
    );
    for element in &plan.elements {
        for (band, r) in element.prediction.r_db.iter() {
            let limit = element.limited_by.iter().find(|(one, _)| *one == band).map_or("", |(_, word)| word);
            list.row(vec![
                element.name.clone(),
                band.nominal().to_owned(),
                n(r, 1),
                n(element.prediction.lower_db.get(band), 1),
                n(element.prediction.upper_db.get(band), 1),
                limit.to_owned(),
            ]);
        }
    }
    list
}

fn heard(plan: &Plan) -> List {
    let mut list = List::new(
        "heard",
        &[
            "receiver",
            "source",
            "frequency_hz",
            "level_db",
            "lower_db",
            "upper_db",
            "criterion_db",
            "largest_share",
        ],
    );
    for outcome in &plan.heard {
        let level = &outcome.heard.level;
        for (band, value) in level.median_db().iter() {
            let largest = outcome
                .heard
                .shares
                .iter()
                .max_by(|a, b| {
                    let of = |share: &sound::share::Share| share.share.get(&band).copied().unwrap_or(0.0);
                    of(a).total_cmp(&of(b))
                })
                .map_or_else(String::new, |share| {
                    plan::outcome::heard_words::part_name(&share.name).to_owned()
                });
            list.row(vec![
                outcome.receiver.clone(),
                outcome.source.clone(),
                band.nominal().to_owned(),
                n(value, 1),
                n(level.lower_db().get(band), 1),
                n(level.upper_db().get(band), 1),
                outcome.criterion_db.as_ref().map_or_else(String::new, |criterion| n(criterion.get(band), 1)),
                largest,
            ]);
        }
    }
    list
}

/// Packers and scribes that bring openings true, and battens to walls that bow.
fn brought_true(plan: &Plan) -> List {
    let mut list = List::new("brought-true", &["what_to_do"]);
    for sentence in crate::drawings::true_words(plan) {
        list.row(vec![sentence]);
    }
    list
}

/// Studs, bars and boards of the linings.
fn linings(plan: &Plan) -> List {
    let mut list = List::new(
        "linings",
        &[
            "wall",
            "what",
            "name",
            "at_mm",
            "from_mm",
            "to_mm",
            "foot_mm",
            "head_mm",
            "clips_mm",
            "packers_mm",
        ],
    );
    for (lining, layout) in plan.linings.iter().filter_map(|one| Some((one, one.layout.as_ref()?))) {
        for support in &layout.supports {
            let ends = [length(plan, support.from_mm, 0), length(plan, support.to_mm, 0)];
            let [from, to, foot, head] = match (layout.on_clips, ends) {
                (true, [from, to]) => [from, to, String::new(), String::new()],
                (false, [foot, head]) => [String::new(), String::new(), foot, head],
            };
            let between = between(plan);
            let clips: Vec<String> = support.clips_mm.iter().map(|clip| length(plan, *clip, 0)).collect();
            list.row(vec![
                layout.wall.clone(),
                if layout.on_clips { "bar" } else { "stud" }.to_owned(),
                support.number.to_string(),
                length(plan, support.at_mm, 0),
                from,
                to,
                foot,
                head,
                clips.join(between),
                support
                    .clips_mm
                    .iter()
                    .filter_map(|clip| Some(length(plan, lining.clip_packer_mm(*clip)?, 0)))
                    .collect::<Vec<_>>()
                    .join(between),
            ]);
        }
        for piece in layout.layers.iter().flat_map(|layer| &layer.pieces) {
            list.row(vec![
                layout.wall.clone(),
                "board".to_owned(),
                piece.name.clone(),
                String::new(),
                length(plan, piece.from_mm, 0),
                length(plan, piece.to_mm, 0),
                length(plan, piece.foot_mm, 0),
                length(plan, piece.head_mm, 0),
                String::new(),
                String::new(),
            ]);
        }
    }
    list
}

/// What changes for the parts that are fixed.
fn changes(plan: &Plan) -> Option<List> {
    let found = plan.ceiling.as_built.as_ref()?;
    let mut list = List::new("as-built", &["change"]);
    for sentence in crate::ceiling_words::changes(found) {
        list.row(vec![sentence.to_owned()]);
    }
    Some(list)
}

fn marks(plan: &Plan) -> List {
    let mut list = List::new("marks", &["wall", "from_corner", "at_mm", "what"]);
    for wall in plan.ceiling.layout.iter().flat_map(|layout| &layout.marks) {
        for mark in &wall.marks {
            list.row(vec![
                wall.wall.clone(),
                crate::ceiling_words::origin(plan, wall),
                length(plan, mark.at_mm, 0),
                crate::ceiling_words::mark_words(plan, mark),
            ]);
        }
    }
    for tie in &plan.ceiling.bar_ties {
        list.row(vec![
            format!("joist {}", crate::ceiling_words::joist_name(plan, tie.joist)),
            format!("wall {}", tie.from_wall),
            length(plan, tie.along_mm, 0),
            format!("bar {}", tie.bar),
        ]);
    }
    list
}

/// Noggins: what holds each end, and where it comes along it.
fn noggins(plan: &Plan) -> List {
    let mut list = List::new(
        "noggins",
        &[
            "noggin",
            "length_mm",
            "end",
            "held_by",
            "measured_from_wall",
            "middle_along_joist_mm",
            "end_from_clip_mm",
            "why",
        ],
    );
    let layout = plan.ceiling.layout.iter().flat_map(|layout| &layout.noggins);
    for (noggin, hold) in layout.zip(&plan.ceiling.noggin_holds) {
        // Rounded at its clip and at its end, so that the two parts add up to the length beside them.
        let [left_mm, whole_mm] =
            [hold.ends[0].from_clip_mm, noggin.length_mm].map(|mm| plan.lengths().rounded(mm));
        let parts = [("left", left_mm), ("right", whole_mm - left_mm)];
        for (end, (side, from_clip_mm)) in hold.ends.iter().zip(parts) {
            let held_by = match (end.joist, &end.at_wall) {
                (Some(joist), _) => crate::ceiling_words::joist_name(plan, joist),
                (None, Some(wall)) => format!("wall {wall}"),
                (None, None) => String::new(),
            };
            list.row(vec![
                noggin.number.to_string(),
                length(plan, noggin.length_mm, 0),
                side.to_owned(),
                held_by,
                end.from_wall.clone().unwrap_or_default(),
                end.along_mm.map_or_else(String::new, |along| length(plan, along, 0)),
                length(plan, from_clip_mm, 0),
                noggin.why.clone(),
            ]);
        }
    }
    list
}

fn bars(plan: &Plan) -> List {
    let mut list = List::new(
        "bars",
        &["bar", "reason", "from_x_mm", "from_y_mm", "to_x_mm", "to_y_mm", "length_mm", "laps_at_mm"],
    );
    for bar in plan.ceiling.layout.iter().flat_map(|layout| &layout.bars) {
        let reason = match bar.reason {
            setout::BarReason::Perimeter => "perimeter",
            setout::BarReason::Joint => "joint",
            setout::BarReason::Field => "field",
        };
        let between = between(plan);
        let laps: Vec<String> =
            bar.laps.iter().map(|lap| length(plan, f64::midpoint(lap.from_mm, lap.to_mm), 0)).collect();
        list.row(vec![
            bar.number.to_string(),
            reason.to_owned(),
            length(plan, bar.from.x_mm, 0),
            length(plan, bar.from.y_mm, 0),
            length(plan, bar.to.x_mm, 0),
            length(plan, bar.to.y_mm, 0),
            length(plan, bar.length_mm, 0),
            laps.join(between),
        ]);
    }
    list
}

fn clips(plan: &Plan) -> List {
    let mut list = List::new(
        "clips",
        &[
            "clip",
            "bar",
            "along_bar_mm",
            "fixed_to",
            "x_mm",
            "y_mm",
            "load_kg",
            "packer_mm",
            "packer_at_low_edge_mm",
            "packer_at_high_edge_mm",
        ],
    );
    let Some(layout) = &plan.ceiling.layout else { return list };
    for clip in &layout.clips {
        let fixed_to = match clip.on {
            setout::Support::Joist(index) => plan
                .ceiling
                .given
                .as_ref()
                .and_then(|given| given.joists.get(index))
                .map_or_else(String::new, |joist| joist.name.clone()),
            setout::Support::Noggin(index) => layout
                .noggins
                .get(index)
                .map_or_else(String::new, |noggin| format!("noggin {}", noggin.number)),
        };
        let edges = plan.ceiling.given.as_ref().and_then(|given| clip.packer_edges_mm(given));
        let edge = |at: usize| {
            edges.and_then(|edges| edges.get(at).map(|mm| length(plan, *mm, 0))).unwrap_or_default()
        };
        list.row(vec![
            clip.number.to_string(),
            layout.bars.get(clip.bar).map_or_else(String::new, |bar| bar.number.to_string()),
            length(plan, clip.along_mm, 0),
            fixed_to,
            length(plan, clip.at.x_mm, 0),
            length(plan, clip.at.y_mm, 0),
            n(clip.load_kg, 1),
            clip.packer_mm.map_or_else(String::new, |packer| length(plan, packer, 0)),
            edge(0),
            edge(1),
        ]);
    }
    list
}

fn pieces(plan: &Plan) -> List {
    let mut list = List::new(
        "pieces",
        &[
            "piece",
            "layer",
            "strip",
            "sheet",
            "width_mm",
            "length_mm",
            "whole",
            "area_m2",
            "mass_kg",
            "tape_m",
            "screws",
        ],
    );
    for layer in plan.ceiling.layout.iter().flat_map(|layout| &layout.layers) {
        for piece in &layer.pieces {
            // A sheet that an earlier layer began is named with it: 3 of layer 1.
            let sheet = layer.sheet_of(piece).map_or_else(String::new, |from| {
                if from.layer == layer.number {
                    from.sheet.to_string()
                } else {
                    format!("{} of layer {}", from.sheet, from.layer)
                }
            });
            list.row(vec![
                piece.name.clone(),
                piece.layer.to_string(),
                piece.strip.to_string(),
                sheet,
                length(plan, piece.width_mm, 0),
                length(plan, piece.length_mm, 0),
                if piece.whole { "yes" } else { "no" }.to_owned(),
                n(piece.area_m2, 3),
                n(piece.mass_kg, 1),
                n(piece.tape_mm / 1000.0, 2),
                piece.screws.to_string(),
            ]);
        }
    }
    list
}

fn bar_cuts(plan: &Plan) -> List {
    let mut list = List::new("bar-cutting", &["stock_bar", "for_bar", "cut_mm", "left_over_mm"]);
    for stock in plan.ceiling.layout.iter().flat_map(|layout| &layout.bar_cutting) {
        for cut in &stock.cuts {
            list.row(vec![
                stock.number.to_string(),
                cut.bar.to_string(),
                length(plan, cut.length_mm, 0),
                length(plan, stock.left_over_mm, 0),
            ]);
        }
    }
    list
}

fn joists(plan: &Plan) -> List {
    let mut list = List::new(
        "joists",
        &[
            "joist",
            "bending",
            "shear",
            "bearing",
            "deflection_at_once",
            "final_deflection",
            "governs",
            "to_spare_kg_m2",
        ],
    );
    for joist in &plan.fabric.joists {
        list.row(vec![
            joist.name.clone(),
            n(joist.bending.utilisation, 3),
            n(joist.shear.utilisation, 3),
            n(joist.bearing.utilisation, 3),
            n(joist.deflection_at_once.utilisation, 3),
            n(joist.final_deflection.utilisation, 3),
            format!("{}, {}", joist.governing.question.name(), joist.governing.under),
            n(joist.to_spare.mass_kg_m2, 1),
        ]);
    }
    list
}

fn order(plan: &Plan) -> List {
    let mut list = List::new(
        "order",
        &["what", "detail", "needed", "unit", "buy", "sold_as", "mass_kg", "price_each", "price", "note"],
    );
    for line in &plan.order.lines {
        list.row(vec![
            line.what.clone(),
            order_detail(plan, line),
            n(line.needed, 2),
            line.unit.to_owned(),
            line.buy.to_string(),
            line.sold_as.clone(),
            n(line.mass_kg, 1),
            line.price_each.map_or_else(String::new, |price| n(price, 2)),
            line.price.map_or_else(String::new, |price| n(price, 2)),
            line.note.clone(),
        ]);
    }
    list
}

fn steps(plan: &Plan) -> List {
    let mut list = List::new(
        "steps",
        &["step", "title", "people", "hours", "measure", "with", "tolerance", "otherwise"],
    );
    for step in &plan.steps {
        let hold = step.hold_point.as_ref();
        list.row(vec![
            step.number.to_string(),
            step.title.clone(),
            step.people.to_string(),
            n(step.hours, 1),
            hold.map_or_else(String::new, |hold| hold.measure.clone()),
            hold.map_or_else(String::new, |hold| hold.with.clone()),
            hold.map_or_else(String::new, |hold| hold.tolerance.clone()),
            hold.map_or_else(String::new, |hold| hold.otherwise.clone()),
        ]);
    }
    list
}

fn basis(plan: &Plan) -> List {
    let mut list = List::new("sources", &["what", "source"]);
    for basis in &plan.basis {
        list.row(vec![basis.what.clone(), basis.source.clone()]);
    }
    let open = plan.findings.iter().filter(|finding| finding.standing == Standing::Open);
    for finding in open {
        list.row(vec!["not checked".to_owned(), finding.sentence.clone()]);
    }
    list
}
