//! Two-dimensional benchmark instances of the OR-Library with known optima.

#![expect(clippy::unwrap_used, reason = "an instance that cannot be cut fails the test")]

use cutting::sheets::{
    Placement, SheetOrder, SheetPiece, SheetStock, Sides, ValueOrder, ValuePlan, ValuedPiece, cut_sheets,
    most_value_of_sheet, verify_sheets,
};

/// Length, width, most, value.
type Row = (u16, u16, Option<usize>, u32);

fn order(length: u16, width: u16, rows: &[Row], may_turn: bool) -> ValueOrder {
    let pieces = rows
        .iter()
        .enumerate()
        .map(|(at, &(l, w, most, value))| ValuedPiece {
            label: format!("{}", at + 1),
            length_mm: f64::from(l),
            width_mm: f64::from(w),
            value: f64::from(value),
            most,
            may_turn,
        })
        .collect();
    ValueOrder { length_mm: f64::from(length), width_mm: f64::from(width), pieces, kerf_mm: 0.0 }
}

/// The plan's own claims recomputed: inside, apart, within limits, worth what it says.
#[track_caller]
fn checked(order: &ValueOrder) -> ValuePlan {
    let plan = most_value_of_sheet(order).unwrap();
    let worth: f64 = plan.placements.iter().map(|p| order.pieces[p.piece].value).sum();
    assert!((worth - plan.value).abs() < 1e-9);
    for (at, piece) in order.pieces.iter().enumerate() {
        let count = plan.placements.iter().filter(|p| p.piece == at).count();
        assert!(piece.most.is_none_or(|most| count <= most));
    }
    for (at, a) in plan.placements.iter().enumerate() {
        assert!(a.x_mm >= 0.0 && a.x_mm + a.length_mm <= order.length_mm + 1e-9);
        assert!(a.y_mm >= 0.0 && a.y_mm + a.width_mm <= order.width_mm + 1e-9);
        assert!(plan.placements.iter().skip(at + 1).all(|b| apart(a, b)));
    }
    plan
}

fn apart(a: &Placement, b: &Placement) -> bool {
    a.x_mm + a.length_mm <= b.x_mm + 1e-9
        || b.x_mm + b.length_mm <= a.x_mm + 1e-9
        || a.y_mm + a.width_mm <= b.y_mm + 1e-9
        || b.y_mm + b.width_mm <= a.y_mm + 1e-9
}

#[track_caller]
fn worth(order: &ValueOrder, optimum: f64) {
    let plan = checked(order);
    assert!(plan.proved_optimal);
    assert!((plan.value - optimum).abs() < 1e-9, "{} here, {optimum} published", plan.value);
}

const GCUT1: [Row; 10] = [
    (167, 184, None, 30728),
    (114, 118, None, 13452),
    (167, 152, None, 25384),
    (83, 140, None, 11620),
    (70, 86, None, 6020),
    (143, 166, None, 23738),
    (120, 160, None, 19200),
    (66, 148, None, 9768),
    (87, 141, None, 12267),
    (69, 165, None, 11385),
];

/// Beasley 1985, gcut1: 56460 (58136 when pieces may be turned, by dynamic programming elsewhere).
#[test]
fn gcut1() {
    worth(&order(250, 250, &GCUT1, false), 56460.0);
    worth(&order(250, 250, &GCUT1, true), 58136.0);
}

/// Beasley 1985, gcut2 to gcut8, without turning as published and with turning.
#[test]
fn gcut_2_to_8() {
    let text = include_str!("reference/gcut.csv");
    for line in text.lines().filter(|line| !line.starts_with('#')).skip(1) {
        let fields: Vec<&str> = line.split(';').collect();
        let rows: Vec<Row> = fields[4]
            .split(',')
            .map(|sides| sides.split_once(' ').unwrap())
            .map(|(l, w)| (l.parse::<u16>().unwrap(), w.parse::<u16>().unwrap()))
            .map(|(l, w)| (l, w, None, u32::from(l) * u32::from(w)))
            .collect();
        let side: u16 = fields[1].parse().unwrap();
        worth(&order(side, side, &rows, false), fields[2].parse().unwrap());
        worth(&order(side, side, &rows, true), fields[3].parse().unwrap());
    }
}

/// Christofides and Whitlock 1977, cgcut1: 244 (exhaustive enumeration elsewhere).
#[test]
fn cgcut1() {
    let rows = [
        (8, 4, Some(2), 66),
        (3, 7, Some(1), 35),
        (8, 2, Some(3), 24),
        (3, 4, Some(5), 17),
        (3, 3, Some(2), 11),
        (3, 2, Some(2), 8),
        (2, 1, Some(1), 2),
    ];
    worth(&order(15, 10, &rows, false), 244.0);
}

/// Beasley 1985, ngcut1 to 6: optima 164, 230, 247, 268, 358, 289 for any cuts; straight cuts from edge to edge give at most that.
#[test]
fn ngcut_1_to_6_are_not_beaten() {
    let first = [
        (3, 7, Some(2), 35),
        (8, 2, Some(2), 40),
        (10, 2, Some(1), 27),
        (5, 4, Some(3), 23),
        (2, 9, Some(2), 43),
    ];
    let second = [
        (1, 10, Some(3), 28),
        (5, 3, Some(2), 40),
        (9, 3, Some(3), 63),
        (6, 1, Some(3), 13),
        (3, 8, Some(3), 31),
        (4, 1, Some(1), 10),
        (7, 3, Some(2), 44),
    ];
    let third = [
        (3, 2, Some(2), 7),
        (7, 2, Some(3), 20),
        (4, 5, Some(2), 60),
        (4, 1, Some(2), 9),
        (1, 10, Some(1), 14),
        (8, 4, Some(1), 79),
        (4, 2, Some(2), 11),
        (3, 7, Some(3), 52),
        (6, 2, Some(3), 13),
        (9, 1, Some(2), 21),
    ];
    let fourth = [
        (15, 2, Some(2), 34),
        (7, 3, Some(1), 27),
        (9, 1, Some(1), 14),
        (8, 3, Some(1), 71),
        (12, 2, Some(2), 61),
    ];
    let fifth = [
        (10, 3, Some(2), 34),
        (9, 3, Some(1), 48),
        (12, 2, Some(3), 72),
        (11, 3, Some(1), 91),
        (12, 3, Some(3), 37),
        (11, 1, Some(3), 15),
        (2, 10, Some(1), 36),
    ];
    let sixth = [
        (2, 9, Some(1), 50),
        (10, 2, Some(3), 29),
        (2, 4, Some(1), 11),
        (2, 8, Some(2), 30),
        (3, 8, Some(1), 46),
        (4, 1, Some(1), 7),
        (6, 4, Some(3), 32),
        (10, 3, Some(1), 74),
        (11, 2, Some(1), 48),
        (4, 5, Some(1), 32),
    ];
    for (rows, length, any_cuts) in [
        (&first[..], 10, 164.0),
        (&second[..], 10, 230.0),
        (&third[..], 10, 247.0),
        (&fourth[..], 15, 268.0),
        (&fifth[..], 15, 358.0),
        (&sixth[..], 15, 289.0),
    ] {
        let plan = checked(&order(length, 10, rows, false));
        println!("{} of {any_cuts}", plan.value);
        assert!(plan.proved_optimal);
        assert!(plan.value <= any_cuts);
        assert!(plan.value >= 0.9 * any_cuts);
    }
}

/// Hopper and Turton 2001, C1P1 to P3: 16 or 17 pieces that fill a strip 20 wide to the height 20 when any cuts are allowed and
/// pieces may be turned. Straight cuts from edge to edge reach it too. P1 and P2 as public data sets copy them; P3 from memory, its area
/// checked.
#[test]
fn hopper_and_turton_c1() {
    let first = [
        (2, 12),
        (7, 12),
        (8, 6),
        (3, 6),
        (3, 5),
        (5, 5),
        (3, 12),
        (3, 7),
        (5, 7),
        (2, 6),
        (3, 2),
        (4, 2),
        (3, 4),
        (4, 4),
        (9, 2),
        (11, 2),
    ];
    let second = [
        (4, 1),
        (4, 5),
        (9, 4),
        (3, 5),
        (3, 9),
        (1, 4),
        (5, 3),
        (4, 1),
        (5, 5),
        (7, 2),
        (9, 3),
        (3, 13),
        (2, 8),
        (15, 4),
        (5, 4),
        (10, 6),
        (7, 2),
    ];
    let third = [
        (4, 14),
        (5, 2),
        (2, 2),
        (9, 7),
        (5, 5),
        (2, 5),
        (7, 7),
        (3, 5),
        (6, 5),
        (3, 2),
        (6, 2),
        (4, 6),
        (6, 3),
        (10, 3),
        (6, 3),
        (10, 3),
    ];
    for (name, pieces) in [("P1", &first[..]), ("P2", &second), ("P3", &third)] {
        let area: u32 = pieces.iter().map(|&(h, w): &(u16, u16)| u32::from(h) * u32::from(w)).sum();
        assert_eq!(area, 400);
        assert!(!fits_one_sheet(pieces, 19), "area alone forbids it");
        assert!(fits_one_sheet(pieces, 20), "C1{name}");
    }
}

/// Whether the pieces come out of one sheet 20 wide by straight cuts.
fn fits_one_sheet(pieces: &[(u16, u16)], height: u16) -> bool {
    let order = SheetOrder {
        pieces: pieces
            .iter()
            .map(|&(h, w)| SheetPiece {
                label: format!("{h} x {w}"),
                length_mm: f64::from(h),
                width_mm: f64::from(w),
                may_turn: true,
                factory_edges: Sides::NONE,
            })
            .collect(),
        stock: vec![SheetStock {
            name: "strip".to_owned(),
            length_mm: f64::from(height),
            width_mm: 20.0,
            available: None,
            price: None,
            factory_edges: Sides::ALL,
        }],
        kerf_mm: 0.0,
    };
    let plan = cut_sheets(&order).unwrap();
    assert_eq!(verify_sheets(&order, &plan), Vec::<String>::new());
    plan.sheets.len() == 1
}
