//! What can be bought fits the build-up and the rules.

use crate::{
    project::{BridgeKind, CavityTimbers, ElementSpec, Layer, LeafKind, MaterialId},
    read::{checks::Draft, reading::Reading, room_file::mm, wording::plain},
};

/// A way in lower than this is more often two numbers swapped than a hatch, mm.
const LOWEST_WAY_IN_MM: f64 = 1500.0;

pub(super) fn check(draft: &Draft<'_>, reading: &mut Reading<'_>) {
    check_boards(draft, reading);
    check_items(draft, reading);
    check_clip(draft, reading);
    if let Some([height_mm, width_mm]) =
        draft.file.limits.0.as_ref().and_then(|limits| limits.door_lets_through_mm)
        && height_mm < width_mm
        && height_mm < LOWEST_WAY_IN_MM
    {
        reading
            .warning(
                "odd-way-in",
                "limits.door_lets_through_mm",
                format!("The way in is {} high and {} wide.", mm(height_mm), mm(width_mm)),
            )
            .help("The height comes first, then the width. Are the two swapped?");
    }
    let rules = &draft.file.rules.0;
    if rules.screw_gap_edges_mm > rules.screw_gap_mm {
        reading
            .warning(
                "odd-rule",
                "rules.screw_gap_edges_mm",
                "Screws along the edges are farther apart than in the middle.",
            )
            .help("Edges need the closer screws. Are the two values swapped?");
    }
}

fn ceiling<'a>(draft: &'a Draft<'_>) -> Option<&'a ElementSpec> {
    let id = draft.file.ceiling.0.as_ref()?.buildup;
    draft.file.buildup.get(id.0).map(|buildup| &buildup.element)
}

fn check_boards(draft: &Draft<'_>, reading: &mut Reading<'_>) {
    let boards = &draft.file.stock.0.board;
    let rules = &draft.file.rules.0;
    for (index, board) in boards.iter().enumerate() {
        let entry = reading.entry("stock.board", index);
        let same = |other: &crate::project::Board| {
            other.material == board.material
                && other.length_mm.total_cmp(&board.length_mm).is_eq()
                && other.width_mm.total_cmp(&board.width_mm).is_eq()
        };
        if boards.iter().take(index).any(same) {
            reading
                .error(
                    "repeated",
                    &format!("{entry}.material"),
                    format!(
                        "The board `{}` of {} by {} stands here a second time.",
                        board.material,
                        mm(board.length_mm),
                        mm(board.width_mm)
                    ),
                )
                .help("Keep one of them.");
        }
        if rules.stagger_rows_mm * 2.0 > board.length_mm {
            reading
                .error(
                    "impossible-rule",
                    "rules.stagger_rows_mm",
                    format!(
                        "Joints cannot be {} apart from row to row with boards `{}` of {}.",
                        mm(rules.stagger_rows_mm),
                        board.material,
                        mm(board.length_mm)
                    ),
                )
                .help(format!(
                    "Write at most {}: half the length of the shortest board.",
                    mm(board.length_mm / 2.0)
                ));
        }
        if rules.least_strip_mm > board.width_mm {
            reading
                .error(
                    "impossible-rule",
                    "rules.least_strip_mm",
                    format!(
                        "The narrowest piece cannot be {}: the board `{}` is only {} wide.",
                        mm(rules.least_strip_mm),
                        board.material,
                        mm(board.width_mm)
                    ),
                )
                .help("Write less than the width of the narrowest board.");
        }
        let in_a_lining = draft
            .file
            .lining
            .iter()
            .flat_map(|lining| &lining.layer)
            .any(|layer| layer.material.as_str() == board.material.as_str());
        let used = in_a_lining || ceiling(draft).is_none_or(|spec| {
            spec.layers.iter().any(|layer| {
                matches!(layer, Layer::Leaf(leaf) if leaf.material.as_ref().is_some_and(|m| m.as_str() == board.material.as_str()))
            })
        });
        if !used && !reading.has_errors() {
            reading
                .warning(
                    "unused",
                    &format!("{entry}.material"),
                    format!("Neither the ceiling nor a lining has a layer of `{}`.", board.material),
                )
                .help("Nothing will be ordered of it. Is the material of the layer spelled the same?");
        }
    }
}

fn check_items(draft: &Draft<'_>, reading: &mut Reading<'_>) {
    let items = &draft.file.stock.0.item;
    for (index, item) in items.iter().enumerate() {
        let twin = items
            .iter()
            .take(index)
            .any(|other| other.what == item.what && other.pack_size.total_cmp(&item.pack_size).is_eq());
        if twin {
            let path = format!("{}.what", reading.entry("stock.item", index));
            reading
                .error(
                    "repeated",
                    &path,
                    format!("\"{}\" stands here a second time with the same pack size.", item.what.word()),
                )
                .help("Keep one of them, or correct `pack_size`.");
        }
    }
}

/// How far clip and bar may miss the cavity they hang in before it is worth a word, mm.
const DROP_SLACK_MM: f64 = 3.0;

/// The clip that is bought is the clip that carries the ceiling, and it fits the cavity together with the bar.
fn check_clip(draft: &Draft<'_>, reading: &mut Reading<'_>) {
    let Some(spec) = ceiling(draft) else { return };
    let stock = &draft.file.stock.0;
    let Some(bridge) = spec.bridges.iter().find(|bridge| bridge.kind == BridgeKind::Clip) else { return };
    let Some(product) = &bridge.product else { return };
    if let Some(clip) = stock.clip.as_ref().filter(|clip| clip.product.as_str() != product.as_str()) {
        reading
            .error(
                "clips-differ",
                "stock.clip.product",
                format!("The clip to buy is `{}`, but `{product}` carries the ceiling.", clip.product),
            )
            .help("Name the same clip in [stock.clip] and in the [[buildup.bridge]] of the ceiling.");
    }
    let Some(bar) = stock.bar.as_ref().and_then(|bar| catalogue::bar(bar.product.as_str())) else { return };
    let Some(clip) = catalogue::clip(product.as_str()) else { return };
    let place = draft.file.ceiling.0.as_ref().map_or(0, |ceiling| ceiling.buildup.0);
    let list = format!("{}.layer", reading.entry("buildup", place));
    let mut cavities = spec.layers.iter().enumerate().filter_map(|(at, layer)| match layer {
        Layer::Cavity(cavity) => Some((at, cavity)),
        Layer::Leaf(_) => None,
    });
    let Some((at, cavity)) = cavities.nth(bridge.cavity) else { return };
    if let Some(joists) = draft.joists
        && cavity.timbers == Some(CavityTimbers::Joists)
        && cavity.depth_mm <= joists.depth_mm + 0.5
    {
        let path = reading.entry(&list, at);
        reading
            .error(
                "clips-between-joists",
                &path,
                "The innermost cavity is the one between the joists: nothing below them is left for clips and bars.",
            )
            .help(format!(
                "Write a [[buildup.layer]] of `kind = \"cavity\"` and `depth_mm = {}` between it and the boards, or take the bridge of \
                 `kind = \"clip\"` away if the boards are screwed to the joists.",
                clip.drop_mm + bar.depth_mm
            ));
        return;
    }
    report_above_clips(spec, (&list, at), reading);
    let depth_mm = draft.joists.map_or(cavity.depth_mm, |joists| joists.left_below_mm(cavity));
    let hangs_mm = clip.drop_mm + bar.depth_mm;
    if (hangs_mm - depth_mm).abs() > DROP_SLACK_MM {
        let path = format!("{}.depth_mm", reading.entry(&list, at));
        reading
            .warning(
                "clip-and-bar",
                &path,
                format!(
                    "This cavity is {} deep{}, but the clip drops {} and the bar is {} deep: {} together.",
                    mm(depth_mm),
                    if depth_mm < cavity.depth_mm { " below the joists" } else { "" },
                    mm(clip.drop_mm),
                    mm(bar.depth_mm),
                    mm(hangs_mm)
                ),
            )
            .help(format!(
                "Write `depth_mm = {}`, or choose another clip or bar.",
                plain(cavity.depth_mm - depth_mm + hangs_mm)
            ));
    }
}

/// Boards between the joists and the clips: they count as there already.
fn report_above_clips(spec: &ElementSpec, (list, clips_at): (&str, usize), reading: &mut Reading<'_>) {
    let is_joists = |layer: &Layer| matches!(layer, Layer::Cavity(cavity) if cavity.timbers == Some(CavityTimbers::Joists));
    let Some(joists_at) = spec.layers.iter().take(clips_at).rposition(is_joists) else { return };
    for (at, layer) in spec.layers.iter().enumerate().take(clips_at).skip(joists_at + 1) {
        let Layer::Leaf(leaf) = layer else { continue };
        if leaf.kind != LeafKind::Board {
            continue;
        }
        let own = leaf.name.as_deref().or(leaf.material.as_ref().map(MaterialId::as_str));
        let name = own.map_or_else(|| "This board".to_owned(), |own| format!("`{own}`"));
        let path = reading.entry(list, at);
        reading
            .warning(
                "above-the-clips",
                &path,
                format!("{name} lies above the clips: it counts as there already, and is neither set out nor ordered."),
            )
            .help("Move it below the cavity of the clips if it is to be put up.");
    }
}
