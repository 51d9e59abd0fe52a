//! The chain of heights: from the ground over the roof to the height limit, and from the floor to the new ceiling.

use paper::{
    Anchor, Dash, Extent, Group, Hatch, Ink, Path, Pen, Point, Scale, Scene, Text,
    dimension::{Chain, ChainLabels, Link, Side, chain},
    hatch,
    point::Direction,
    table::{Cell, Column as TableColumn, Table},
};
use plan::{
    Plan,
    outcome::{BuildupOutcome, DrawnAs, HeightLink, Heights},
};
use quantities::lengths::Lengths;

use super::{
    Drawing, ROOM_FOR_DRAWING_MM,
    layers::{self, Runs, WORDS_MM},
    section::{drawing_area, word_column},
};

/// The sheet of heights, if the plan has them.
pub(super) fn drawings(plan: &Plan) -> Vec<Drawing> {
    let Some(heights) = plan.heights.as_ref().filter(|heights| !heights.outside.is_empty()) else {
        return Vec::new();
    };
    let [width, height] = ROOM_FOR_DRAWING_MM;
    let area = drawing_area();
    let lengths = plan.lengths();
    let facts = Facts { lengths, heights, roof: plan.buildups.iter().find(|buildup| buildup.lies_flat) };
    let ground = facts.ground_mm();
    let whole = Levels::fitting(
        // The floor of a cellar lies below the ground.
        ground.min(0.0) - 120.0,
        facts.highest_mm() + 60.0,
        (20.0, area.bottom - 14.0),
        &[10.0, 20.0, 25.0, 50.0, 100.0],
    );
    let near = Levels::fitting(
        facts.lowest_near_mm() - 60.0,
        facts.highest_mm() + 60.0,
        (16.0, area.bottom - 6.0),
        &[2.0, 5.0, 10.0, 20.0, 50.0],
    );
    // Both drawings hang from the same line, that of the highest level.
    let near =
        Levels { floor_y: whole.y(facts.highest_mm()) + near.scale.on_paper_mm(facts.highest_mm()), ..near };
    let mut scene = Scene::new(width, height);
    scene.add(house(plan, &facts, &whole));
    scene.add(roof_and_ceiling(&facts, &near));
    let title = "Heights".to_owned();
    let subtitle = format!(
        "The building {} at its highest, the roof and ceiling {}. Figures are rounded so that each chain adds up.",
        whole.scale.words(),
        near.scale.words()
    );
    let mut column = word_column(plan);
    column.title(&title, &subtitle);
    column.heading("From the ground up");
    column.table(outside_table(heights, lengths), "", 70.0);
    column.heading("From the floor up");
    column.table(inside_table(heights, lengths), "", 40.0);
    if let Some(left) = heights.left_outside_mm {
        if left < 0.0 {
            column.warning(&format!("The roof stands {} over the limit.", lengths.with_unit(-left, 0)));
        } else {
            column.note(&format!("{} are left under the limit.", lengths.with_unit(left, 0)));
        }
    }
    if let Some(left) = heights.left_inside_mm {
        let words = format!(
            "Headroom {} ±\u{00A0}{}: {} {} the least that is accepted.",
            lengths.with_unit(heights.headroom_mm, 0),
            lengths.figure(2.0 * heights.headroom_sd_mm, 0),
            lengths.with_unit(left.abs(), 0),
            if left < 0.0 { "under" } else { "over" }
        );
        if left < 0.0 { column.warning(&words) } else { column.note(&words) }
    }
    if let Some(words) = &heights.warm_roof {
        column.note(words);
    }
    scene.add(column.finish());
    vec![Drawing { id: "heights".to_owned(), title, subtitle, scene, scale: Some(whole.scale), model: None }]
}

struct Facts<'a> {
    lengths: Lengths,
    heights: &'a Heights,
    roof: Option<&'a BuildupOutcome>,
}

impl Facts<'_> {
    /// The ground, mm above the floor inside (mostly below it).
    fn ground_mm(&self) -> f64 {
        self.heights.outside.first().map_or(0.0, |link| link.from_mm)
    }

    /// Roof top or limit, whichever is higher, mm above the floor.
    fn highest_mm(&self) -> f64 {
        self.roof_top_mm().max(self.limit_mm().unwrap_or(f64::MIN))
    }

    fn roof_top_mm(&self) -> f64 {
        self.heights.outside.last().map_or(0.0, |link| link.to_mm)
    }

    fn limit_mm(&self) -> Option<f64> {
        self.heights.limit_above_ground_mm.map(|limit| limit + self.ground_mm())
    }

    fn lowest_near_mm(&self) -> f64 {
        self.heights.headroom_mm.min(self.heights.least_headroom_mm.unwrap_or(f64::MAX))
    }

    /// The links above the underside of the joists.
    fn above(&self) -> &[HeightLink] {
        self.heights.outside.get(2..).unwrap_or_default()
    }

    fn highest_underside_mm(&self) -> f64 {
        self.above().first().map_or(self.heights.headroom_mm, |link| link.from_mm)
    }

    fn lowest_underside_mm(&self) -> f64 {
        self.heights.inside.last().map_or(self.heights.headroom_mm, |link| link.to_mm)
    }

    /// Depth of the joists: the links between their underside and the firrings or the deck.
    fn joist_depth_mm(&self) -> f64 {
        self.above().iter().take(2).map(|link| link.to_mm - link.from_mm).sum()
    }

    fn drawn(&self, link: &HeightLink) -> DrawnAs {
        self.roof
            .and_then(|roof| roof.layers.iter().find(|layer| layer.name == link.name))
            .map_or(DrawnAs::Air, |layer| layer.drawn)
    }

    fn joist_width_mm(&self) -> f64 {
        self.roof
            .and_then(|roof| roof.layers.iter().find_map(|layer| layer.timbers_mm))
            .map_or(50.0, |(width, _)| width)
    }
}

/// From levels above the floor to millimetres down the paper.
struct Levels {
    scale: Scale,
    floor_y: f64,
}

impl Levels {
    /// The largest scale at which the levels fit between two heights of the paper, laid in their middle.
    fn fitting(low_mm: f64, high_mm: f64, (top, bottom): (f64, f64), scales: &[f64]) -> Self {
        let range = (high_mm - low_mm).max(1.0);
        let denominator = scales
            .iter()
            .copied()
            .find(|n| range / n <= bottom - top)
            .or_else(|| scales.last().copied())
            .unwrap_or(100.0);
        let scale = Scale::one_to(denominator);
        let middle = f64::midpoint(top, bottom);
        Self { scale, floor_y: middle + scale.on_paper_mm(f64::midpoint(low_mm, high_mm)) }
    }

    fn y(&self, level_mm: f64) -> f64 {
        self.floor_y - self.scale.on_paper_mm(level_mm)
    }
}

/// Links between rounded levels, so that what is written adds up.
fn links(
    of: &[HeightLink],
    (scale, lengths): (Scale, Lengths),
    label: impl Fn(&HeightLink, String) -> String,
) -> Vec<Link> {
    of.iter()
        .map(|link| {
            let figure = lengths.figure(lengths.rounded(link.to_mm) - lengths.rounded(link.from_mm), 0);
            Link::new(scale.on_paper_mm(link.to_mm - link.from_mm), label(link, figure))
        })
        .collect()
}

fn limit_line(group: &mut Group, y: f64, (left, right): (f64, f64), words: &str, above: bool) {
    group.add(Path::line(
        Point::new(left, y),
        Point::new(right, y),
        Pen::BOLD.in_ink(Ink::Red).dashed(Dash::Dashed),
    ));
    let foot = if above { y - 1.6 } else { y + 1.6 + WORDS_MM * paper::font::CAP_HEIGHT };
    group.add(Text::new(Point::new(right, foot), words, WORDS_MM).anchored(Anchor::End).in_ink(Ink::Red));
}

fn house(plan: &Plan, facts: &Facts<'_>, levels: &Levels) -> Group {
    let lengths = facts.lengths;
    let mut group = Group::on_layer("heights");
    let heights = facts.heights;
    let paper_mm = |real: f64| levels.scale.on_paper_mm(real);
    let wall_depth = plan
        .buildups
        .iter()
        .find(|buildup| buildup.layers.iter().any(|layer| layer.drawn == DrawnAs::Masonry))
        .map_or(150.0, |buildup| buildup.depth_mm);
    let (wall_left, right) = (26.0, 90.0);
    let wall_right = wall_left + paper_mm(wall_depth).clamp(4.0, 20.0);
    let ground = levels.y(facts.ground_mm());
    let floor = levels.y(0.0);
    let roof_bottom = levels.y(facts.highest_underside_mm());
    let roof_top = levels.y(facts.roof_top_mm());

    let earth = Extent::new(1.0, ground, wall_left, ground + 5.0);
    group.extend(hatch::fill(&earth.corners(), Hatch::Earth, Ink::Grey));
    group.add(Path::line(Point::new(1.0, ground), Point::new(wall_left, ground), Pen::HEAVY));
    let slab = Extent::new(wall_right, floor, right, floor + paper_mm(120.0).clamp(3.0, 8.0));
    group.extend(hatch::fill(&slab.corners(), Hatch::Concrete, Ink::Grey));
    group.add(Path::line(Point::new(wall_right, floor), Point::new(right, floor), Pen::BOLD));
    // A wall of a cellar goes down past the ground outside to the floor inside.
    let wall = Extent::new(wall_left, roof_bottom, wall_right, (ground + 5.0).max(slab.bottom));
    group.extend(hatch::fill(&wall.corners(), Hatch::Masonry, Ink::Grey));
    for x in [wall_left, wall_right] {
        group.add(Path::line(Point::new(x, wall.top), Point::new(x, wall.bottom), Pen::HEAVY));
    }
    let joist_top = levels.y(facts.highest_underside_mm() + facts.joist_depth_mm());
    let joist = Extent::new(wall_left, joist_top, right, roof_bottom);
    group.extend(hatch::fill(&joist.corners(), Hatch::TimberAlongGrain, Ink::Grey));
    group.add(Path::rectangle(joist, Pen::MEDIUM));
    let roof = Extent::new(wall_left - 3.0, roof_top, right, roof_top + paper_mm(28.0).max(0.8));
    group.add(Path::filled(roof.corners(), Ink::Ink));
    group.add(Path::line(Point::new(wall_left, roof.bottom), Point::new(wall_left, joist.top), Pen::MEDIUM));
    let ceiling_bottom = levels.y(heights.headroom_mm);
    let boards_top = levels.y(heights.inside.last().map_or(heights.headroom_mm, |link| link.from_mm));
    let ceiling = Extent::new(wall_right + 0.8, boards_top, right, ceiling_bottom);
    group.extend(hatch::fill(&ceiling.corners(), Hatch::Tint, Ink::Ink));
    group.add(Path::rectangle(ceiling, Pen::MEDIUM));
    layers::break_line(&mut group, Point::new(right, roof.top), Point::new(right, slab.bottom));

    if let Some(limit) = facts.limit_mm() {
        let words =
            format!("limit {} above ground", lengths.figure(heights.limit_above_ground_mm.unwrap_or(0.0), 0));
        limit_line(&mut group, levels.y(limit), (1.0, right + 2.0), &words, true);
    }
    // Outside: the overall height, then ground, floor, joist, roof.
    let chain_at = |x: f64, links: Vec<Link>, side: Side, start: f64| {
        chain(&Chain {
            start: Point::new(x, start),
            along: Direction::UP,
            side,
            labels: ChainLabels::Along,
            links,
            reach_mm: 0.0,
            size_mm: WORDS_MM,
        })
    };
    let above_ground =
        lengths.figure(lengths.rounded(facts.roof_top_mm()) - lengths.rounded(facts.ground_mm()), 0);
    let whole = vec![Link::new(paper_mm(facts.roof_top_mm() - facts.ground_mm()), above_ground)];
    group.add(chain_at(6.0, whole, Side::Left, ground));
    // From the lower of ground and floor up.
    let levels_mm = {
        let (ground_mm, under_mm) = (facts.ground_mm(), facts.highest_underside_mm());
        [ground_mm.min(0.0), ground_mm.max(0.0), under_mm]
    };
    let mut parts: Vec<Link> = levels_mm
        .windows(2)
        .filter_map(|pair| {
            let [from, to] = *pair else { return None };
            let figure = lengths.figure(lengths.rounded(to) - lengths.rounded(from), 0);
            Some(Link::new(paper_mm(to - from), figure))
        })
        .collect();
    let roof_mm = lengths.rounded(facts.roof_top_mm()) - lengths.rounded(facts.highest_underside_mm());
    parts.push(Link::new(
        paper_mm(facts.roof_top_mm() - facts.highest_underside_mm()),
        lengths.figure(roof_mm, 0),
    ));
    group.add(chain_at(17.0, parts, Side::Left, levels.y(levels_mm[0])));
    // Inside: headroom, and what hangs.
    let hung = lengths.rounded(facts.lowest_underside_mm()) - lengths.rounded(heights.headroom_mm);
    let inside = vec![
        Link::new(
            paper_mm(heights.headroom_mm),
            format!("headroom {}", lengths.figure(heights.headroom_mm, 0)),
        ),
        Link::new(paper_mm(facts.lowest_underside_mm() - heights.headroom_mm), lengths.figure(hung, 0)),
    ];
    group.add(chain_at(64.0, inside, Side::Right, floor));
    group
}

fn roof_and_ceiling(facts: &Facts<'_>, levels: &Levels) -> Group {
    let lengths = facts.lengths;
    let mut group = Group::on_layer("heights");
    let heights = facts.heights;
    let (left, right) = (160.0, 221.0);
    let joist_width = levels.scale.on_paper_mm(facts.joist_width_mm()).clamp(4.0, 24.0);
    let high_joist = (left + 18.0, left + 18.0 + joist_width);
    let broken = high_joist.1 + 3.0;
    let low_joist = (right - 5.0 - joist_width.min(right - broken - 6.0), right - 5.0);
    roof_stack(&mut group, facts, levels, (left, broken), high_joist);
    lowest_joist(&mut group, facts, levels, low_joist);
    ceiling(&mut group, facts, levels, (left, right), (high_joist, low_joist));

    let start = levels.y(facts.highest_underside_mm());
    let mut outside =
        links(facts.above(), (levels.scale, lengths), |link, figure| format!("{figure} {}", link.name));
    if let Some(left_mm) = heights.left_outside_mm.filter(|left| *left > 0.5) {
        let limit = lengths.rounded(facts.limit_mm().unwrap_or(0.0));
        let figure = limit - lengths.rounded(facts.roof_top_mm());
        outside.push(Link::new(
            levels.scale.on_paper_mm(left_mm),
            format!("{} left", lengths.figure(figure, 0)),
        ));
    }
    group.add(chain(&Chain {
        start: Point::new(left - 6.0, start),
        along: Direction::UP,
        side: Side::Left,
        labels: ChainLabels::Square,
        links: outside,
        reach_mm: 4.0,
        size_mm: WORDS_MM,
    }));
    let mut from = heights.headroom_mm;
    let mut inside = Vec::new();
    if let (Some(least), Some(left_mm)) = (heights.least_headroom_mm, heights.left_inside_mm)
        && left_mm > 0.5
    {
        from = least;
        let figure = lengths.rounded(heights.headroom_mm) - lengths.rounded(least);
        inside.push(Link::new(
            levels.scale.on_paper_mm(left_mm),
            format!("{} left", lengths.figure(figure, 0)),
        ));
    }
    inside.extend(links(
        heights.inside.get(1..).unwrap_or_default(),
        (levels.scale, lengths),
        |link, figure| format!("{figure} {}", link.name),
    ));
    group.add(chain(&Chain {
        start: Point::new(right + 6.0, levels.y(from)),
        along: Direction::UP,
        side: Side::Right,
        labels: ChainLabels::Square,
        links: inside,
        reach_mm: 4.0,
        size_mm: WORDS_MM,
    }));
    if let Some(limit) = facts.limit_mm() {
        let words = format!("limit {}", lengths.figure(heights.limit_above_ground_mm.unwrap_or(0.0), 0));
        limit_line(&mut group, levels.y(limit), (left - 3.0, right), &words, true);
    }
    if let Some(least) = heights.least_headroom_mm {
        let words = format!("least headroom {}", lengths.figure(least, 0));
        limit_line(&mut group, levels.y(least), (left - 3.0, right + 3.0), &words, false);
    }
    let top = Point::new(left - 58.0, levels.y(facts.highest_mm()) - 9.0);
    group.add(Text::new(top, format!("Roof and ceiling {}", levels.scale.words()), 3.2).semibold());
    group
}

/// Bay, highest joist and everything on it.
fn roof_stack(
    group: &mut Group,
    facts: &Facts<'_>,
    levels: &Levels,
    (left, right): (f64, f64),
    joist: (f64, f64),
) {
    let underside = facts.highest_underside_mm();
    let joist_top = underside + facts.joist_depth_mm();
    for (index, link) in facts.above().iter().enumerate() {
        let place = Extent::new(left, levels.y(link.to_mm), right, levels.y(link.from_mm));
        match (index, link.name.starts_with("firring")) {
            (0, _) => layers::cut(group, DrawnAs::Fibre, Extent { right: joist.0, ..place }, Runs::Down),
            (1, _) => {}
            (_, true) => {
                let firring = Extent::new(joist.0 + 1.0, place.top, joist.1 - 1.0, place.bottom);
                group.extend(hatch::fill(&firring.corners(), Hatch::TimberEndGrain, Ink::Grey));
                group.add(Path::rectangle(firring, Pen::MEDIUM));
            }
            _ => layers::cut(group, facts.drawn(link), place, Runs::Down),
        }
    }
    let timber = Extent::new(joist.0, levels.y(joist_top), joist.1, levels.y(underside));
    layers::end_grain(group, timber);
    let name = facts.heights.outside.get(1).and_then(|link| link.note.rsplit(' ').next()).unwrap_or_default();
    joist_name(group, timber, name);
    let top = Point::new(right, levels.y(facts.roof_top_mm()));
    layers::break_line(group, top, Point::new(right, levels.y(joist_top)));
}

fn joist_name(group: &mut Group, timber: Extent, name: &str) {
    let text = Text::new(timber.centre(), name, WORDS_MM).semibold().centred().on(paper::Baseline::Middle);
    group.add(text.knocked_out());
}

fn lowest_joist(group: &mut Group, facts: &Facts<'_>, levels: &Levels, joist: (f64, f64)) {
    let underside = facts.lowest_underside_mm();
    let timber =
        Extent::new(joist.0, levels.y(underside + facts.joist_depth_mm()), joist.1, levels.y(underside));
    layers::end_grain(group, timber);
    joist_name(group, timber, &facts.heights.lowest_joist);
}

/// Boards, bar, clips and the packing under the highest joist.
fn ceiling(
    group: &mut Group,
    facts: &Facts<'_>,
    levels: &Levels,
    (left, right): (f64, f64),
    (high_joist, low_joist): ((f64, f64), (f64, f64)),
) {
    let hangs = facts.roof.is_some_and(|roof| roof.on_clips);
    for link in facts.heights.inside.iter().skip(1) {
        let place = Extent::new(left, levels.y(link.to_mm), right, levels.y(link.from_mm));
        let drawn = facts.drawn(link);
        if drawn != DrawnAs::Air {
            layers::cut(group, drawn, place, Runs::Down);
            continue;
        }
        if !hangs {
            continue;
        }
        let bar_top = place.bottom - place.height() * super::clip_details::BAR_SHARE;
        let bar = Extent { top: bar_top, ..place };
        group.add(Path::filled(bar.corners(), Ink::Wash));
        group.add(Path::line(Point::new(left, bar_top), Point::new(right, bar_top), Pen::THIN));
        for joist in [high_joist, low_joist] {
            let centre = f64::midpoint(joist.0, joist.1);
            let half = ((joist.1 - joist.0) * 0.3).clamp(1.0, 5.0);
            let pad = Extent::new(centre - half, place.top, centre + half, bar_top);
            group.add(Path::rectangle(pad, Pen::MEDIUM).with_fill(Ink::Light));
        }
        let packer = Extent::new(
            high_joist.0 + 1.0,
            levels.y(facts.highest_underside_mm()),
            high_joist.1 - 1.0,
            place.top,
        );
        if packer.height() > 0.5 {
            group.extend(hatch::fill(
                &packer.corners(),
                Hatch::Lines { angle_deg: 45.0, apart_mm: 0.9 },
                Ink::Ink,
            ));
            group.add(Path::rectangle(packer, Pen::MEDIUM));
        }
    }
}

fn outside_table(heights: &Heights, lengths: Lengths) -> Table {
    let ground = lengths.rounded(heights.outside.first().map_or(0.0, |link| link.from_mm));
    let mut table = Table::new(vec![
        TableColumn::wide("what"),
        TableColumn::right("mm"),
        TableColumn::right("above ground"),
    ]);
    for link in &heights.outside {
        table.row([
            named(link),
            lengths.figure(lengths.rounded(link.to_mm) - lengths.rounded(link.from_mm), 0).into(),
            lengths.figure(lengths.rounded(link.to_mm) - ground, 0).into(),
        ]);
    }
    if let Some(limit) = heights.limit_above_ground_mm {
        let top = lengths.rounded(heights.outside.last().map_or(0.0, |link| link.to_mm)) - ground;
        let left = lengths.rounded(limit) - top;
        let words = if left < 0.0 { "over the limit" } else { "left under the limit" };
        let cell = Cell::from(lengths.figure(left.abs(), 0));
        table.total([
            Cell::from(words),
            if left < 0.0 { cell.red() } else { cell },
            lengths.figure(limit, 0).into(),
        ]);
    }
    table
}

fn inside_table(heights: &Heights, lengths: Lengths) -> Table {
    let mut table = Table::new(vec![
        TableColumn::wide("what"),
        TableColumn::right("mm"),
        TableColumn::right("above floor"),
    ]);
    for link in &heights.inside {
        table.row([
            named(link),
            lengths.figure(lengths.rounded(link.to_mm) - lengths.rounded(link.from_mm), 0).into(),
            lengths.figure(lengths.rounded(link.to_mm), 0).into(),
        ]);
    }
    table
}

/// Its name, with where the figure comes from if that is more than the build-up.
fn named(link: &HeightLink) -> Cell {
    if link.note.is_empty() || link.note == "build-up" {
        link.name.clone().into()
    } else {
        format!("{} ({})", link.name, link.note).into()
    }
}
