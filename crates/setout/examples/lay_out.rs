//! A small square ceiling set out and checked: `cargo run -p setout --example lay_out`.
#![allow(clippy::print_stdout, reason = "an example prints")]

use setout::{
    BarStock, BoardLayer, Budget, Ceiling, ClipKind, Corner, Joist, Point, Rules, SetoutError, set_out,
};

fn main() -> Result<(), SetoutError> {
    let corners = [("A", 0.0, 0.0), ("B", 3600.0, 0.0), ("C", 3612.0, 2810.0), ("D", 0.0, 2800.0)];
    let joists = (0..9_u32).map(|n| {
        let x_mm = 200.0 + 400.0 * f64::from(n);
        Joist {
            name: format!("J{}", n + 1),
            from: Point::new(x_mm, 0.0),
            to: Point::new(x_mm, 2800.0),
            allowed_kg: None,
            width_mm: 47.0,
            undersides: Vec::new(),
        }
    });
    let ceiling = Ceiling {
        corners: corners.map(|(name, x, y)| Corner { name: name.to_owned(), at: Point::new(x, y) }).to_vec(),
        joists: joists.collect(),
        layers: vec![BoardLayer {
            material: "dense plasterboard 15 mm".to_owned(),
            length_mm: 2400.0,
            width_mm: 1200.0,
            thickness_mm: 15.0,
            mass_kg_m2: 12.8,
            tape_cut_edges: false,
        }],
        bar: BarStock {
            product: "bar".to_owned(),
            face_width_mm: 48.0,
            mass_kg_m: 0.6,
            stock_length_mm: 3600.0,
        },
        clip: ClipKind { product: "clip".to_owned(), drop_mm: 38.0, rated_load_kg: Some(16.0) },
        rules: Rules::default(),
        shell: Vec::new(),
        obstructions: Vec::new(),
        gaps_mm: Vec::new(),
    };
    let layout = set_out(&ceiling, &Budget::default())?;
    for layer in &layout.layers {
        println!("{} sheets, {} pieces", layer.sheets.len(), layer.pieces.len());
    }
    println!("{} bars, {} clips, {} breaches", layout.bars.len(), layout.clips.len(), layout.breaches.len());
    for wall in &layout.marks {
        for mark in &wall.marks {
            println!("wall {} from {}: {:6.0} mm  {}", wall.wall, wall.from_corner, mark.at_mm, mark.what);
        }
    }
    Ok(())
}
