//! Bars: kerf, several lengths, prices, offcuts at hand, limits, and the same answer as trying everything.

use cutting::CuttingError;
use cutting::bars::{BarOrder, BarPiece, BarStock, cut_bars, verify_bars};
use proptest::prelude::*;

fn stock(length_mm: f64, available: Option<usize>, price: Option<f64>) -> BarStock {
    BarStock { name: format!("bar {length_mm}"), length_mm, available, price }
}

fn order(lengths_mm: &[f64], stock: Vec<BarStock>, kerf_mm: f64) -> BarOrder {
    let pieces = lengths_mm
        .iter()
        .enumerate()
        .map(|(at, &length_mm)| BarPiece { label: format!("P{}", at + 1), length_mm })
        .collect();
    BarOrder { pieces, stock, kerf_mm }
}

#[test]
fn the_last_cut_is_free() {
    let three = order(&[1198.0, 1198.0, 1198.0], vec![stock(3600.0, None, None)], 3.0);
    let plan = cut_bars(&three).unwrap();
    assert_eq!(plan.bars.len(), 1, "3 × 1198 and two cuts of 3 mm are 3600");
    assert!(plan.bars[0].offcut_mm.abs() < 1e-9);
    assert!(verify_bars(&three, &plan).is_empty());
    let long = order(&[1199.0, 1198.0, 1198.0], vec![stock(3600.0, None, None)], 3.0);
    assert_eq!(cut_bars(&long).unwrap().bars.len(), 2);
}

#[test]
fn the_offcut_at_hand_is_used_first_and_the_cheaper_mix_is_bought() {
    let given = order(
        &[2300.0, 2300.0, 1100.0, 1100.0, 900.0],
        vec![
            stock(3600.0, None, Some(6.40)),
            stock(2400.0, None, Some(4.00)),
            stock(1000.0, Some(1), Some(0.0)),
        ],
        3.0,
    );
    let plan = cut_bars(&given).unwrap();
    assert!(verify_bars(&given, &plan).is_empty());
    assert!(plan.cost_is_price && plan.proved_optimal);
    assert!((plan.cost - 12.0).abs() < 1e-9, "three of 4.00 and the offcut: {plan:#?}");
}

#[test]
fn bars_cut_alike_are_one_pattern() {
    let given = order(&[1700.0; 10], vec![stock(3600.0, None, None)], 3.0);
    let plan = cut_bars(&given).unwrap();
    assert_eq!(plan.patterns.len(), 1);
    assert_eq!(plan.patterns[0].count, 5);
    assert!((plan.patterns[0].offcut_mm - 194.0).abs() < 1e-9);
}

#[test]
fn what_cannot_be_cut_says_why() {
    let bar = || vec![stock(3600.0, None, None)];
    assert_eq!(cut_bars(&order(&[100.0], vec![], 3.0)).unwrap_err(), CuttingError::NoStock);
    let error = cut_bars(&order(&[3601.0], bar(), 3.0)).unwrap_err().to_string();
    assert!(error.contains("P1") && error.contains("3600"), "{error}");
    let error = cut_bars(&order(&[f64::NAN], bar(), 3.0)).unwrap_err().to_string();
    assert!(error.contains("P1"), "{error}");
    assert!(cut_bars(&order(&[10.0], bar(), -1.0)).is_err());
    let few = order(&[3000.0, 3000.0], vec![stock(3600.0, Some(1), None)], 3.0);
    assert!(matches!(cut_bars(&few), Err(CuttingError::NotEnoughStock { .. })));
    let none = order(&[], bar(), 3.0);
    assert!(cut_bars(&none).unwrap().bars.is_empty());
}

#[test]
fn the_check_finds_what_is_wrong() {
    let given = order(&[1700.0, 1700.0, 900.0], vec![stock(3600.0, None, None)], 3.0);
    let good = cut_bars(&given).unwrap();
    let mut twice = good.clone();
    twice.bars[0].pieces.push(2);
    assert!(!verify_bars(&given, &twice).is_empty());
    let mut cheap = good.clone();
    cheap.cost = 1.0;
    assert!(!verify_bars(&given, &cheap).is_empty());
    let mut lost = good;
    lost.bars.pop();
    assert!(!verify_bars(&given, &lost).is_empty());
}

/// Fewest bars by trying every set: dynamic programming over subsets.
fn fewest(lengths: &[i64], capacity: i64) -> usize {
    let n = lengths.len();
    let mut best = vec![(usize::MAX, 0_i64); 1 << n];
    best[0] = (0, capacity);
    for mask in 0..1_usize << n {
        let (bars, used) = best[mask];
        if bars == usize::MAX {
            continue;
        }
        for (at, length) in lengths.iter().enumerate().filter(|(at, _)| mask >> at & 1 == 0) {
            let next = if used + length <= capacity { (bars, used + length) } else { (bars + 1, *length) };
            let place = &mut best[mask | 1 << at];
            if next < *place {
                *place = next;
            }
        }
    }
    best[(1 << n) - 1].0
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn as_few_bars_as_trying_everything(lengths in prop::collection::vec(200..2400_i64, 1..12)) {
        let given = order(
            &lengths.iter().map(|&l| l as f64).collect::<Vec<_>>(), vec![stock(3600.0, None, None)], 3.0);
        let plan = cut_bars(&given).unwrap();
        prop_assert!(verify_bars(&given, &plan).is_empty());
        prop_assert!(plan.proved_optimal);
        let with_kerf: Vec<i64> = lengths.iter().map(|l| l + 3).collect();
        prop_assert_eq!(plan.bars.len(), fewest(&with_kerf, 3603));
    }

    #[test]
    fn mixed_stock_never_costs_more_than_one_kind(lengths in prop::collection::vec(150.0..2300.0f64, 1..30)) {
        let long = stock(3600.0, None, Some(6.4));
        let short = stock(2400.0, None, Some(4.1));
        let mixed = order(&lengths, vec![long.clone(), short.clone()], 3.0);
        let plan = cut_bars(&mixed).unwrap();
        prop_assert!(verify_bars(&mixed, &plan).is_empty());
        for one in [long, short] {
            let single = cut_bars(&order(&lengths, vec![one], 3.0)).unwrap();
            prop_assert!(plan.cost <= single.cost + 1e-9);
        }
    }
}
