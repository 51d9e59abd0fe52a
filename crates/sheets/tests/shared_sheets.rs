//! Where two layers share a sheet, it is drawn once, with the pieces of both, and told with the layer that buys it.

#![allow(clippy::expect_used, reason = "a test stops at what it did not expect")]

mod gathered;

use gathered::texts;
use paper::Text;
use sheets::{drawings::drawings, lists::lists};

const BOOTH: &str = include_str!("../../../examples/voice-booth/room.toml");

#[test]
fn every_cut_piece_of_layers_that_share_sheets_is_drawn_once() {
    let (project, found) = plan::read(BOOTH, "room.toml");
    let plan = plan::plan(&project.unwrap_or_else(|| panic!("{found:?}"))).expect("the booth is planned");
    let layout = plan.ceiling.layout.as_ref().expect("its ceiling is set out");
    let shared: Vec<_> = layout.layers[1].sheets.iter().filter_map(|s| s.begun.map(|b| (s, b))).collect();
    assert!(!shared.is_empty(), "the booth's layers are of one board");

    let all = drawings(&plan);
    let cut: Vec<_> = all.iter().filter(|d| d.id.starts_with("cut-layer-")).collect();
    let mut words = Vec::new();
    for drawing in &cut {
        texts(&drawing.scene.items, &mut words);
    }
    // Sheets cut alike are drawn once and named together.
    let named = |name: &str| {
        let whole = |text: &&&Text| text.words.contains("Sheet") && text.words.contains(name);
        words.iter().filter(whole).count()
    };
    for piece in layout.layers.iter().flat_map(|l| &l.pieces).filter(|p| !p.whole) {
        assert_eq!(named(&piece.name), 1, "{}", piece.name);
    }
    for (sheet, begun) in shared {
        let name = &layout.layers[1].pieces[sheet.pieces[0]].name;
        let kept = |text: &&Text| text.words.contains("keep") && text.words.contains(name.as_str());
        assert_eq!(words.iter().copied().filter(|text| kept(text)).count(), 1, "{name}");
        let pieces = lists(&plan).into_iter().find(|list| list.name == "pieces").expect("a list of pieces");
        let row = pieces.rows.iter().find(|row| &row[0] == name).expect("the piece stands in the list");
        assert!(row.iter().any(|cell| cell == &format!("{} of layer 1", begun.sheet)), "{row:?}");
    }
}
