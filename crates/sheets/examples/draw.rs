//! Writes every drawing of the demo as SVG, the plans also as DXF, and all of them as one PDF, into a folder: `draw FOLDER [room.toml]`.

use std::{
    env,
    error::Error,
    fs,
    io::{self, Write as _},
    path::PathBuf,
};

use paper::{Document, dxf, pdf, svg};
use sheets::drawings::drawings;

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = env::args_os().skip(1).map(PathBuf::from);
    let folder = arguments.next().ok_or("say into which folder")?;
    let room = arguments.next().unwrap_or_else(|| {
        PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/percussion-room/room.toml"))
    });
    let (project, found) = plan::read(&fs::read_to_string(&room)?, &room.to_string_lossy());
    let mut out = io::stdout().lock();
    for diagnostic in found {
        writeln!(out, "{diagnostic}")?;
    }
    let plan = plan::plan(&project.ok_or("the room file has faults")?)?;
    fs::create_dir_all(&folder)?;
    fs::write(folder.join("plan.json"), serde_json::to_string_pretty(&plan)?)?;
    let mut document = Document::new("drawings");
    for drawing in drawings(&plan) {
        writeln!(out, "{}: {} – {}", drawing.id, drawing.title, drawing.subtitle)?;
        fs::write(folder.join(format!("{}.svg", drawing.id)), svg::write_file(&drawing.scene))?;
        if let Some(model) = &drawing.model {
            fs::write(folder.join(format!("{}.dxf", drawing.id)), dxf::write(&drawing.scene, model))?;
        }
        document.add(drawing.scene, drawing.id);
    }
    fs::write(folder.join("all.pdf"), pdf::write(&document)?)?;
    Ok(())
}
