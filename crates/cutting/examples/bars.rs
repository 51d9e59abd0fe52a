//! The fewest bars for a list of lengths, with the bound: `cargo run -p cutting --example bars`.
#![allow(clippy::print_stdout, reason = "an example prints")]

use cutting::CuttingError;
use cutting::bars::{BarOrder, BarPiece, BarStock, cut_bars};

fn main() -> Result<(), CuttingError> {
    let lengths_mm = [2300.0, 2300.0, 1700.0, 1700.0, 1250.0, 1250.0, 900.0];
    let pieces = (1..).zip(lengths_mm);
    let order = BarOrder {
        pieces: pieces.map(|(n, length_mm)| BarPiece { label: format!("P{n}"), length_mm }).collect(),
        stock: vec![BarStock { name: "bar".to_owned(), length_mm: 3600.0, available: None, price: None }],
        kerf_mm: 3.0,
    };
    let plan = cut_bars(&order)?;
    for bar in &plan.bars {
        let labels: Vec<&str> = bar.pieces.iter().map(|&at| order.pieces[at].label.as_str()).collect();
        println!("{}  leaves {:.0} mm", labels.join(" + "), bar.offcut_mm);
    }
    println!(
        "{} bars; fewest there can be: {}",
        plan.bars.len(),
        if plan.proved_optimal { "proved" } else { "open" }
    );
    Ok(())
}
