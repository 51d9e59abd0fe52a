//! Invented rooms for tests and the drawing example.
#![allow(dead_code, unreachable_pub, reason = "each test uses some of the rooms")]

use setout::as_built::BarReading;
use setout::{
    BarStock, BoardLayer, Ceiling, ClipKind, Corner, Joist, Layout, MarkFor, Point, Rules, Underside,
};

pub fn corners(points: &[(f64, f64)]) -> Vec<Corner> {
    points
        .iter()
        .enumerate()
        .map(|(i, &(x, y))| Corner {
            name: char::from(b'A' + u8::try_from(i % 26).unwrap_or(0)).to_string(),
            at: Point::new(x, y),
        })
        .collect()
}

pub fn joist(number: usize, from: (f64, f64), to: (f64, f64), heights: [f64; 3]) -> Joist {
    let (a, b) = (Point::new(from.0, from.1), Point::new(to.0, to.1));
    let at = |t: f64| Point::new(a.x_mm + t * (b.x_mm - a.x_mm), a.y_mm + t * (b.y_mm - a.y_mm));
    Joist {
        name: format!("J{number}"),
        from: a,
        to: b,
        allowed_kg: None,
        width_mm: 88.0,
        undersides: vec![
            Underside { at: at(0.1), height_mm: heights[0] },
            Underside { at: at(0.5), height_mm: heights[1] },
            Underside { at: at(0.9), height_mm: heights[2] },
        ],
    }
}

pub fn sand_filled() -> BoardLayer {
    BoardLayer {
        material: "sand-filled-board-15".into(),
        length_mm: 1200.0,
        width_mm: 600.0,
        thickness_mm: 15.0,
        mass_kg_m2: 18.0,
        tape_cut_edges: true,
    }
}

pub fn dense_plasterboard() -> BoardLayer {
    BoardLayer {
        material: "dense-plasterboard-15".into(),
        length_mm: 2400.0,
        width_mm: 1200.0,
        thickness_mm: 15.0,
        mass_kg_m2: 12.8,
        tape_cut_edges: false,
    }
}

pub fn bar() -> BarStock {
    BarStock { product: "furring-bar".into(), face_width_mm: 48.0, mass_kg_m: 0.6, stock_length_mm: 3600.0 }
}

pub fn clip() -> ClipKind {
    ClipKind { product: "resilient-clip-38".into(), drop_mm: 38.0, rated_load_kg: Some(16.0) }
}

pub fn ceiling(corners: Vec<Corner>, joists: Vec<Joist>) -> Ceiling {
    Ceiling {
        corners,
        joists,
        layers: vec![sand_filled(), dense_plasterboard()],
        bar: bar(),
        clip: clip(),
        rules: Rules::default(),
        obstructions: Vec::new(),
        gaps_mm: Vec::new(),
        shell: Vec::new(),
    }
}

/// Five walls, none square, one corner cut off by a chimney breast.
pub fn percussion_room() -> Ceiling {
    let corners = corners(&[(0., 0.), (5235., 0.), (5258.6, 3868.9), (1026.0, 3932.3), (-15.4, 3003.0)]);
    let at_top = |u: f64| {
        // On wall C-D, or on the breast D-E.
        if u >= 1026.0 {
            (u, 3868.9 + (5258.6 - u) / (5258.6 - 1026.0) * (3932.3 - 3868.9))
        } else {
            (u, 3003.0 + (u + 15.4) / (1026.0 + 15.4) * (3932.3 - 3003.0))
        }
    };
    let bottoms = [205., 658., 1101., 1563., 2008., 2472., 2921., 3379., 3816., 4281., 4726., 5086.];
    let tops = [205., 655., 1084., 1550., 1982., 2446., 2912., 3361., 3789., 4254., 4699., 5056.];
    let heights = [
        [1138., 1133., 1146.],
        [1145., 1135., 1142.],
        [1138., 1143., 1141.],
        [1145., 1143., 1148.],
        [1144., 1150., 1156.],
        [1148., 1143., 1156.],
        [1148., 1145., 1151.],
        [1146., 1137., 1158.],
        [1153., 1145., 1156.],
        [1149., 1145., 1154.],
        [1154., 1153., 1152.],
        [1156., 1155., 1153.],
    ];
    let joists = (0..12)
        .map(|i| joist(i + 1, (bottoms[i], 0.0), at_top(tops[i]), heights[i].map(|h| h + 1200.0)))
        .collect();
    ceiling(corners, joists)
}

/// An L of six walls, every corner a little out.
pub fn ell_room() -> Ceiling {
    let corners =
        corners(&[(0., 0.), (6010., 30.), (5980., 2720.), (3405., 2700.), (3390., 4810.), (-20., 4790.)]);
    let joists = (0..14)
        .map(|i| {
            let u = 230.0 + 425.0 * f64::from(i);
            let top = if u < 3390.0 { 4795.0 } else { 2710.0 };
            joist(i as usize + 1, (u, 10.0), (u + 12.0, top), [2340.0, 2338.0, 2341.0])
        })
        .collect();
    ceiling(corners, joists)
}

/// Four walls, the bars askew to every one of them, and a gap to the walls so wide that bars run on past the boards.
pub fn wide_gap_room() -> Ceiling {
    let corners = corners(&[(0., 0.), (5951.458, 0.), (6047.360, 2418.275), (120.021, 2907.089)]);
    let tops = [
        (416.475, 2882.641),
        (1014.445, 2833.328),
        (1612.415, 2784.015),
        (2210.385, 2734.702),
        (2808.355, 2685.388),
        (3406.326, 2636.075),
        (4004.296, 2586.762),
        (4602.266, 2537.448),
        (5200.236, 2488.135),
        (5798.206, 2438.822),
    ];
    let joists = tops
        .iter()
        .enumerate()
        .map(|(i, &top)| {
            let mut joist = joist(i + 1, (250.0 + 600.0 * i as f64, 0.0), top, [2380.0, 2378.0, 2381.0]);
            joist.width_mm = 47.0;
            joist
        })
        .collect();
    let layer = BoardLayer { mass_kg_m2: 12.75, ..dense_plasterboard() };
    let mut room = ceiling(corners, joists);
    room.layers = vec![layer.clone(), layer];
    room.bar = BarStock { face_width_mm: 50.0, mass_kg_m: 0.55, ..bar() };
    room.clip.drop_mm = 41.0;
    room.rules.clip_gap_mm = 1000.0;
    room.rules.perimeter_gap_mm = 63.0;
    room.rules.way_in_mm = Some([2000.0, 760.0]);
    room
}

/// A repeatable stream of numbers from 0 to 1.
pub struct Stream(u64);

impl Stream {
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0xD1B5_4A32_D192_ED03)
    }

    pub fn unit(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + self.unit() * (high - low)
    }
}

/// Convex and L-shaped rooms of three to eight walls, joists at irregular spacing, turned any way on the plan.
pub fn random_room(seed: u64) -> Ceiling {
    let mut s = Stream::new(seed);
    let (w, h) = (s.between(2200., 6500.), s.between(2000., 5500.));
    let mut j = |p: (f64, f64)| (p.0 + s.between(-60., 60.), p.1 + s.between(-60., 60.));
    let kind = seed % 7;
    let points: Vec<(f64, f64)> = match kind {
        0 => vec![j((0., 0.)), j((w + 2500., 0.)), j((w * 0.4, h + 2000.))],
        1 | 2 => vec![j((0., 0.)), j((w, 0.)), j((w, h)), j((0., h))],
        3 => vec![j((0., 0.)), j((w, 0.)), j((w, h)), j((w * 0.25, h)), j((0., h * 0.7))],
        4 => {
            let (a, b) = (w * 0.55, h * 0.5);
            vec![
                j((0., 0.)),
                j((w + 1200., 0.)),
                j((w + 1200., b)),
                j((a, b)),
                j((a, h + 900.)),
                j((0., h + 900.)),
            ]
        }
        5 => vec![
            j((w * 0.2, 0.)),
            j((w * 0.85, 0.)),
            j((w, h * 0.3)),
            j((w, h)),
            j((w * 0.3, h)),
            j((0., h * 0.6)),
            j((0., h * 0.2)),
        ],
        _ => vec![
            j((0., 0.)),
            j((w + 1500., 0.)),
            j((w + 1500., h + 900.)),
            j((w * 0.8, h + 900.)),
            j((w * 0.8, h + 350.)),
            j((w * 0.5, h + 350.)),
            j((w * 0.5, h + 900.)),
            j((0., h + 900.)),
        ],
    };
    joisted(&points, &mut s)
}

/// Rooms of nine to twelve walls, convex and with piers, breasts and bays, joists at irregular spacing, turned any way on the plan.
pub fn many_walled_room(seed: u64) -> Ceiling {
    let mut s = Stream::new(seed ^ 0x5EED);
    let (w, h) = (s.between(4200., 7000.), s.between(3800., 6000.));
    let (pier, deep) = (s.between(320., 900.), s.between(200., 450.));
    let at = s.between(0.36, 0.6) * w;
    let breast = [(at + pier, h), (at + pier, h - deep), (at, h - deep), (at, h)];
    let walls = 9 + (seed / 2 % 4) as usize;
    let mut points: Vec<(f64, f64)> = if seed.is_multiple_of(2) {
        // Convex: corners on an ellipse.
        (0..walls)
            .map(|k| {
                let (sin, cos) = quantities::math::sin_cos(std::f64::consts::TAU * k as f64 / walls as f64);
                (w / 2.0 * (1.0 + cos), h / 2.0 * (1.0 + sin))
            })
            .collect()
    } else {
        let (low, top) = ([(0., 0.), (w, 0.)], [(0., h)]);
        let pier_on_the_left = [(0., h * 0.6), (deep, h * 0.6), (deep, h * 0.6 - pier), (0., h * 0.6 - pier)];
        match walls {
            9 => [&low[..], &[(w, h - 700.), (w - 900., h)], &breast, &top].concat(),
            10 => [&low[..], &[(w, h)], &breast, &[(700., h), (700., h - 900.), (0., h - 900.)]].concat(),
            11 => {
                let step = [(0., 0.), (w * 0.45, 0.), (w * 0.45, 300.), (w, 300.)];
                [&step[..], &[(w, h - 800.), (w - 700., h)], &breast, &top].concat()
            }
            _ => [&low[..], &[(w, h)], &breast, &top, &pier_on_the_left].concat(),
        }
    };
    for p in &mut points {
        *p = (p.0 + s.between(-40., 40.), p.1 + s.between(-40., 40.));
    }
    assert_eq!(points.len(), walls);
    joisted(&points, &mut s)
}

/// Whether and how many walls [`any_room`] gives for a seed: three to twelve, every other ten of them convex.
pub fn kind_of(seed: u64) -> (usize, bool) {
    let walls = 3 + (seed % 10) as usize;
    (walls, walls == 3 || (seed / 10).is_multiple_of(2))
}

/// Rooms of three to twelve walls, convex and not, every corner a little out, joists at irregular spacing, turned any way on the plan.
pub fn any_room(seed: u64) -> Ceiling {
    let (walls, convex) = kind_of(seed);
    let mut s = Stream::new(seed ^ 0xA11);
    let least = if walls > 8 { (4200., 3800.) } else { (2400., 2200.) };
    let (w, h) = (s.between(least.0, 6800.), s.between(least.1, 5800.));
    let mut points: Vec<(f64, f64)> = if convex {
        // On an ellipse, each corner somewhere in its own share of the way round.
        let start = s.between(0., std::f64::consts::TAU);
        (0..walls)
            .map(|k| {
                let at = (k as f64 + s.between(-0.25, 0.25)) / walls as f64;
                let (sin, cos) = quantities::math::sin_cos(start + std::f64::consts::TAU * at);
                (w / 2.0 * (1.0 + cos), h / 2.0 * (1.0 + sin))
            })
            .collect()
    } else {
        not_convex(walls, (w, h), &mut s)
    };
    let out = if walls > 8 { 40. } else { 60. };
    for p in &mut points {
        *p = (p.0 + s.between(-out, out), p.1 + s.between(-out, out));
    }
    assert_eq!(points.len(), walls);
    joisted(&points, &mut s)
}

/// Corners of a room with at least one that points into it: a wall bent inwards, an L, a T, breasts, piers and bays.
fn not_convex(walls: usize, (w, h): (f64, f64), s: &mut Stream) -> Vec<(f64, f64)> {
    let (a, b) = (s.between(0.35, 0.65) * w, s.between(0.4, 0.65) * h);
    let (pier, deep) = (s.between(320., 900.), s.between(200., 450.));
    let floor = [(0., 0.), (w, 0.)];
    let at = s.between(0.36, 0.6) * w;
    let breast = [(at + pier, h), (at + pier, h - deep), (at, h - deep), (at, h)];
    let on_the_left = [(0., h * 0.6), (deep, h * 0.6), (deep, h * 0.6 - pier), (0., h * 0.6 - pier)];
    match walls {
        4 => [&floor[..], &[(a, b), (0., h)]].concat(),
        5 => [&floor[..], &[(w, h), (a, h - deep), (0., h)]].concat(),
        6 => [&floor[..], &[(w, b), (a, b), (a, h), (0., h)]].concat(),
        7 => [&floor[..], &[(w, b), (a, b), (a, h), (a * 0.4, h), (0., h * 0.8)]].concat(),
        8 => [&floor[..], &[(w, h)], &breast, &[(0., h)]].concat(),
        9 => [&floor[..], &[(w, h - 700.), (w - 900., h)], &breast, &[(0., h)]].concat(),
        10 => [&floor[..], &[(w, h)], &breast, &[(700., h), (700., h - 900.), (0., h - 900.)]].concat(),
        11 => {
            let step = [(0., 0.), (w * 0.45, 0.), (w * 0.45, 300.), (w, 300.)];
            [&step[..], &[(w, h - 800.), (w - 700., h)], &breast, &[(0., h)]].concat()
        }
        _ => [&floor[..], &[(w, h)], &breast, &[(0., h)], &on_the_left].concat(),
    }
}

/// A room with joists over it, turned any way on the plan.
fn joisted(points: &[(f64, f64)], s: &mut Stream) -> Ceiling {
    let (low, high) = points.iter().fold((f64::MAX, f64::MIN), |(l, h), p| (l.min(p.0), h.max(p.0)));
    let top = points.iter().map(|p| p.1).fold(f64::MIN, f64::max);
    let bottom = points.iter().map(|p| p.1).fold(f64::MAX, f64::min);
    let mut joists = Vec::new();
    let mut u = low + s.between(120., 400.);
    while u < high - 80.0 {
        let lean = s.between(-15., 15.);
        let heights = [0; 3].map(|_| s.between(2330., 2350.));
        joists.push(joist(joists.len() + 1, (u, bottom - 50.0), (u + lean, top + 50.0), heights));
        u += s.between(380., 480.);
    }
    joists.retain(|j: &Joist| {
        (0..=40).any(|k| {
            let t = f64::from(k) / 40.0;
            let (x, y) =
                (j.from.x_mm + t * (j.to.x_mm - j.from.x_mm), j.from.y_mm + t * (j.to.y_mm - j.from.y_mm));
            inside(points, x, y)
        })
    });
    let turn = s.between(-3.1, 3.1);
    let mut c = ceiling(corners(points), joists);
    turn_ceiling(&mut c, turn);
    c
}

/// Turns everything about the origin.
pub fn turn_ceiling(c: &mut Ceiling, angle_rad: f64) {
    let (sin, cos) = quantities::math::sin_cos(angle_rad);
    move_points(c, |p| Point::new(p.x_mm * cos - p.y_mm * sin, p.x_mm * sin + p.y_mm * cos));
}

/// Moves every point of a ceiling.
pub fn move_points(c: &mut Ceiling, by: impl Fn(Point) -> Point) {
    for corner in &mut c.corners {
        corner.at = by(corner.at);
    }
    for joist in &mut c.joists {
        joist.from = by(joist.from);
        joist.to = by(joist.to);
        for u in &mut joist.undersides {
            u.at = by(u.at);
        }
    }
    for ring in &mut c.obstructions {
        for p in ring {
            *p = by(*p);
        }
    }
}

fn inside(points: &[(f64, f64)], x: f64, y: f64) -> bool {
    let mut inside = false;
    for (i, a) in points.iter().enumerate() {
        let b = points[(i + 1) % points.len()];
        if (a.1 > y) != (b.1 > y) && x < a.0 + (y - a.1) / (b.1 - a.1) * (b.0 - a.0) {
            inside = !inside;
        }
    }
    inside
}

/// Twelve walls: a chimney breast, a pier and two bays, every corner a little out.
pub fn twelve_walls() -> Ceiling {
    let corners = corners(&[
        (0., 0.),
        (6410., 25.),
        (6420., 1510.),
        (5790., 1500.),
        (5800., 2690.),
        (6400., 2700.),
        (6390., 4620.),
        (3910., 4640.),
        (3900., 4200.),
        (2480., 4190.),
        (2490., 4650.),
        (-15., 4630.),
    ]);
    let joists = (0..15)
        .map(|i| {
            let u = 240.0 + 425.0 * f64::from(i);
            let top = if (2480.0..3910.0).contains(&u) { 4185.0 } else { 4620.0 };
            joist(i as usize + 1, (u, 30.0), (u + 9.0, top), [2340.0, 2338.0, 2341.0])
        })
        .collect();
    ceiling(corners, joists)
}

/// Forty walls: nine piers along one side of a long room; joists 600 mm apart end at their faces, so that a bay between two piers may have
/// none.
pub fn forty_walls() -> Ceiling {
    let (wide, deep, pier) = (9000.0, 5000.0, 300.0);
    let step = wide / 19.0;
    let mut points = vec![(0., 0.), (wide, 0.), (wide, deep)];
    for index in 0..9 {
        let (right, left) = (wide - step * f64::from(2 * index + 1), wide - step * f64::from(2 * index + 2));
        points.extend([(right, deep), (right, deep - pier), (left, deep - pier), (left, deep)]);
    }
    points.push((0., deep));
    let joists = (0..15)
        .map(|i| {
            let u = 200.0 + 600.0 * f64::from(i);
            let in_a_bay = ((u / step) as usize).is_multiple_of(2);
            let top = if in_a_bay { deep } else { deep - pier };
            joist(i as usize + 1, (u, 0.0), (u, top), [2340.0, 2338.0, 2341.0])
        })
        .collect();
    let mut corners = corners(&points);
    for (at, corner) in corners.iter_mut().enumerate().skip(26) {
        corner.name = format!("{}{}", corner.name, at / 26);
    }
    ceiling(corners, joists)
}

/// Joists eight degrees askew, a hatch along them.
pub fn skewed_with_hatch() -> Ceiling {
    let ring = corners(&[(0.0, 0.0), (3900.2, 0.0), (3975.0, 2961.2), (-17.2, 3050.1)]);
    let feet = [70.0, 479.0, 898.0, 953.0, 1397.0, 1786.0, 2196.0, 2605.0, 2660.0, 3094.0, 3553.0];
    let tops = [447.9, 855.8, 1273.7, 1328.7, 1771.6, 2159.5, 2567.4, 2976.3, 3030.2, 3463.1, 3921.0];
    let mut joists = vec![joist(1, (-14.3, 2535.1), (50.0, 3048.6), [2340.0; 3])];
    joists.extend(
        feet.iter()
            .zip(tops)
            .enumerate()
            .map(|(i, (foot, top))| joist(i + 2, (*foot, 0.0), (top, 3045.0 - 0.024 * top), [2340.0; 3])),
    );
    let mut ceiling = ceiling(ring, joists);
    let hatch = [(2301.9, 1044.0), (1124.9, 1191.3), (1211.3, 1886.0), (2388.1, 1738.7)];
    ceiling.obstructions = vec![hatch.map(|(x, y)| Point::new(x, y)).to_vec()];
    ceiling.bar.face_width_mm = 34.0;
    boarded_for_hatch(ceiling)
}

/// Two layers of plain boards that bear on 15 mm.
pub fn boarded_for_hatch(mut ceiling: Ceiling) -> Ceiling {
    ceiling.layers = vec![dense_plasterboard(), dense_plasterboard()];
    ceiling.rules.edge_bearing_mm = 15.0;
    ceiling
}

/// Every mark of a bar on the walls, read so far off.
pub fn off_marks(plan: &Layout, bar: usize, off_mm: f64) -> Vec<BarReading> {
    let marks = plan.marks.iter().flat_map(|wall| wall.marks.iter().map(move |mark| (wall, mark)));
    marks
        .filter(|(_, mark)| mark.of == MarkFor::Bar(bar))
        .map(|(wall, mark)| BarReading { bar, wall: wall.wall.clone(), at_mm: mark.at_mm + off_mm })
        .collect()
}
