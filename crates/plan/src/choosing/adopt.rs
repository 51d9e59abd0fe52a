//! A choice put into the room file: new build-ups at its end, named by the elements that take them; everything else stays.

use crate::{
    choosing::{
        field::{Choosable, offered},
        proposal::{Change, SealChange, Slot},
    },
    edit::{self, Contents, EditError, NewValue, add_entry},
    outcome::Plan,
    project::{
        Bond, Bridge, BridgeKind, Cavity, ElementId, ElementSpec, FillGaps, GapFilling, Layer, Leaf, Project,
        Vent,
    },
};

/// The text of a room file with a choice in it. `changes` are written as a front has them, `element: candidate`; what stays as it is needs
/// none.
///
/// # Errors
/// Where a change is not on offer (any more), or the file cannot be changed; a sentence.
pub fn adopt(project: &Project, plan: &Plan, text: &str, changes: &[String]) -> Result<String, String> {
    let offers = offered(project, plan);
    let mut now = text.to_owned();
    for change in changes {
        let found = offers.iter().find_map(|element| {
            let own = change.strip_prefix(element.name.as_str())?.strip_prefix(": ")?;
            let offer = element.proposals.iter().find(|offer| offer.proposal.name == own)?;
            Some((element, &offer.proposal.change))
        });
        let Some((element, what)) = found else {
            return Err(format!(
                "\u{201c}{change}\u{201d} is not on offer for the room as it stands now. Choose again."
            ));
        };
        now = write(project, &now, element, what).map_err(|error| error.to_string())?;
    }
    Ok(now)
}

fn write(project: &Project, text: &str, element: &Choosable, change: &Change) -> Result<String, EditError> {
    let mut now = text.to_owned();
    if change.close_gaps {
        for (at, gap) in project.gaps.iter().enumerate() {
            if gap.filling != GapFilling::Sealant {
                now = edit::set(&now, &format!("gap[{at}].filling"), GapFilling::Sealant.word())?;
            }
        }
    }
    match element.slot {
        Slot::Gaps => Ok(now),
        Slot::Vent(at) => match (project.vents.get(at), &change.vent) {
            (Some(old), Some(new)) => vent(&now, old, new),
            _ => Ok(now),
        },
        Slot::Element(id) => {
            let place = place_of(project, &now, id)?;
            if let Some(spec) = &change.buildup {
                let known = project.buildups.iter().find(|buildup| buildup.element == *spec);
                let name = if let Some(buildup) = known {
                    buildup.id.clone()
                } else {
                    let (name, longer) = added(&now, &element.name, spec)?;
                    now = longer;
                    name
                };
                now = edit::set(&now, &format!("{place}.buildup"), name.as_str())?;
                if id == ElementId::Ceiling {
                    now = clip_to_buy(&now, spec)?;
                }
            }
            let seal = format!("{place}.seal");
            let has_seal = Contents::open(&now)?.has(&seal);
            match &change.seal {
                SealChange::Other(other) => edit::set(&now, &seal, other.as_str()),
                SealChange::OfLeaves if has_seal => edit::remove(&now, &seal),
                SealChange::Stays | SealChange::OfLeaves => Ok(now),
            }
        }
    }
}

/// Where other clips carry the ceiling, others are bought. What the file says of the old ones, their load and their price, is not true of
/// the new ones and goes.
fn clip_to_buy(text: &str, spec: &ElementSpec) -> Result<String, EditError> {
    let clip = spec.bridges.iter().find(|bridge| bridge.kind == BridgeKind::Clip);
    let Some(product) = clip.and_then(|clip| clip.product.as_ref()) else { return Ok(text.to_owned()) };
    let contents = Contents::open(text)?;
    let bought = contents.typed("stock.clip.product");
    if bought.is_none_or(|bought| bought == product.as_str()) {
        return Ok(text.to_owned());
    }
    let mut now = edit::set(text, "stock.clip.product", product.as_str())?;
    for key in ["stock.clip.rated_load_kg", "stock.clip.price"] {
        if contents.has(key) {
            now = edit::remove(&now, key)?;
        }
    }
    Ok(now)
}

/// The table of the file that says what an element is built of.
fn place_of(project: &Project, text: &str, id: ElementId) -> Result<String, EditError> {
    let contents = Contents::open(text)?;
    let name = project.element_name(id);
    let entry = |list: &str, fits: &dyn Fn(&str) -> bool| {
        (0..contents.count(list))
            .map(|at| format!("{list}[{at}]"))
            .find(|entry| fits(entry))
            .ok_or_else(|| EditError::Missing(name.clone()))
    };
    match id {
        ElementId::Ceiling => Ok("ceiling".to_owned()),
        ElementId::Wall(_) => {
            let turned = name.split_once('-').map(|(from, to)| format!("{to}-{from}")).unwrap_or_default();
            entry("wall", &|entry| {
                let between = contents.typed(&format!("{entry}.between")).unwrap_or_default();
                between == name || between == turned
            })
        }
        ElementId::Opening(_) => {
            entry("opening", &|entry| contents.typed(&format!("{entry}.name")).as_deref() == Some(&name))
        }
    }
}

/// Adds a build-up under a name that is free.
fn added(text: &str, element: &str, spec: &ElementSpec) -> Result<(String, String), EditError> {
    let contents = Contents::open(text)?;
    let count = contents.count("buildup");
    let taken = |name: &str| {
        (0..count).any(|at| contents.typed(&format!("buildup[{at}].id")).as_deref() == Some(name))
    };
    let plain: String = element
        .to_lowercase()
        .chars()
        .map(|letter| if letter.is_alphanumeric() { letter } else { '-' })
        .collect();
    let stem = format!("chosen-{plain}");
    let name = std::iter::once(stem.clone())
        .chain((2..=count + 2).map(|number| format!("{stem}-{number}")))
        .find(|name| !taken(name))
        .unwrap_or(stem);
    let head = [("id", name.as_str().into()), ("name", spec.name.as_str().into())];
    let mut now = add_entry(text, "buildup", &head)?;
    for layer in &spec.layers {
        let keys = match layer {
            Layer::Leaf(leaf) => leaf_keys(leaf),
            Layer::Cavity(cavity) => cavity_keys(cavity),
        };
        now = add_entry(&now, &format!("buildup[{count}].layer"), &keys)?;
    }
    for bridge in &spec.bridges {
        now = add_entry(&now, &format!("buildup[{count}].bridge"), &bridge_keys(bridge))?;
    }
    Ok((name, now))
}

/// Keys with their values, those that are given.
struct Keys(Vec<(&'static str, NewValue)>);

impl Keys {
    fn text(&mut self, key: &'static str, text: Option<&str>) {
        self.0.extend(text.map(|text| (key, text.into())));
    }

    fn numbers<const N: usize>(&mut self, numbers: [(&'static str, Option<f64>); N]) {
        self.0.extend(numbers.into_iter().filter_map(|(key, number)| Some((key, number?.into()))));
    }

    fn yes(&mut self, key: &'static str, yes: bool) {
        self.0.extend(yes.then(|| (key, true.into())));
    }
}

fn leaf_keys(leaf: &Leaf) -> Vec<(&'static str, NewValue)> {
    let mut keys = Keys(vec![("kind", leaf.kind.word().into())]);
    keys.text("name", leaf.name.as_deref());
    keys.text("material", leaf.material.as_ref().map(crate::project::MaterialId::as_str));
    keys.numbers([
        ("thickness_mm", leaf.thickness_mm),
        ("sheets", (leaf.sheets != 1).then(|| f64::from(leaf.sheets))),
    ]);
    keys.text("bond", (leaf.bond != Bond::Screwed).then(|| leaf.bond.word()));
    keys.text("seal", leaf.seal.as_ref().map(crate::project::SealId::as_str));
    let plaster = |mm: f64| (mm > 0.0).then_some(mm);
    let own = &leaf.own;
    keys.numbers([
        ("plaster_outside_mm", plaster(leaf.plaster_outside_mm)),
        ("plaster_inside_mm", plaster(leaf.plaster_inside_mm)),
        ("density_kg_m3", own.density_kg_m3),
        ("mass_kg_m2", own.mass_kg_m2),
        ("youngs_modulus_gpa", own.youngs_modulus_gpa),
        ("loss_factor", own.loss_factor),
        ("poisson", own.poisson),
        ("along_over_across", own.along_over_across),
        ("flow_resistance_pa_s_m", own.flow_resistance_pa_s_m),
        ("conductivity_w_m_k", own.conductivity_w_m_k),
        ("vapour_factor", own.vapour_factor),
        ("vapour_sd_m", own.vapour_sd_m),
    ]);
    keys.0
}

fn cavity_keys(cavity: &Cavity) -> Vec<(&'static str, NewValue)> {
    let mut keys = Keys(vec![("kind", "cavity".into()), ("depth_mm", cavity.depth_mm.into())]);
    keys.yes("vented", cavity.vented);
    keys.text("fill", cavity.fill.as_ref().map(crate::project::FillId::as_str));
    keys.numbers([
        ("fill_mm", (cavity.fill_mm > 0.0).then_some(cavity.fill_mm)),
        ("openings_mm2", cavity.openings_mm2),
        ("flow_resistivity_pa_s_m2", cavity.flow_resistivity_pa_s_m2),
        ("density_kg_m3", cavity.density_kg_m3),
        ("dynamic_stiffness_mn_m3", cavity.dynamic_stiffness_mn_m3),
    ]);
    keys.text("fill_gaps", (cavity.fill_gaps != FillGaps::None).then(|| cavity.fill_gaps.word()));
    keys.text("bridge", cavity.timbers.map(crate::project::CavityTimbers::word));
    keys.yes("lined_reveals", cavity.lined_reveals);
    keys.0
}

fn bridge_keys(bridge: &Bridge) -> Vec<(&'static str, NewValue)> {
    let mut keys =
        Keys(vec![("kind", bridge.kind.word().into()), ("cavity", ((bridge.cavity + 1) as f64).into())]);
    keys.text("product", bridge.product.as_ref().map(crate::project::ProductId::as_str));
    keys.numbers([
        ("spacing_mm", bridge.spacing_mm),
        ("per_m2", bridge.per_m2),
        ("count", bridge.count.map(f64::from)),
        ("bar_spacing_mm", bridge.bar_spacing_mm),
        ("steel_mm", bridge.steel_mm),
        ("frame_length_m", bridge.frame_length_m),
        ("dab_area_m2", bridge.dab_area_m2),
        ("stiffness_mn_m", bridge.stiffness_mn_m),
        ("frame_stiffness_mn_m2", bridge.frame_stiffness_mn_m2),
        ("compliance_m2_n", bridge.compliance_m2_n),
        ("loss_factor", bridge.loss_factor),
    ]);
    keys.yes("steel_studs", bridge.steel_studs);
    keys.0
}

/// Writes what changes of an air path.
fn vent(text: &str, old: &Vent, new: &Vent) -> Result<String, EditError> {
    let contents = Contents::open(text)?;
    let entry = (0..contents.count("vent"))
        .map(|at| format!("vent[{at}]"))
        .find(|entry| contents.typed(&format!("{entry}.name")).as_deref() == Some(&old.name))
        .ok_or_else(|| EditError::Missing(old.name.clone()))?;
    let mut now = text.to_owned();
    let sizes = [
        ("lined_length_mm", Some(old.lined_length_mm), Some(new.lined_length_mm)),
        ("lining_mm", Some(old.lining_mm), Some(new.lining_mm)),
        ("box_length_mm", old.box_length_mm, new.box_length_mm),
        ("box_width_mm", old.box_width_mm, new.box_width_mm),
        ("box_height_mm", old.box_height_mm, new.box_height_mm),
    ];
    for (key, before, after) in sizes {
        if let Some(after) = after.filter(|_| before != after) {
            now = edit::set(&now, &format!("{entry}.{key}"), after)?;
        }
    }
    if let Some(lining) = new.lining.as_ref().filter(|_| old.lining != new.lining) {
        now = edit::set(&now, &format!("{entry}.lining"), lining.as_str())?;
    }
    Ok(now)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at what it did not expect")]

    use super::*;

    const DEMO: &str = include_str!("../../../../examples/percussion-room/room.toml");

    #[test]
    fn every_offer_reads_back_as_what_was_offered() {
        let (project, found) = crate::read(DEMO, "room.toml");
        let project = project.unwrap_or_else(|| panic!("{found:?}"));
        let plan = crate::plan(&project).unwrap();
        let mut tried = 0;
        for element in offered(&project, &plan) {
            let count = element.proposals.len();
            // A few of each element: the first, the last, and some between.
            for at in [1, 2, count / 3, count / 2, count.saturating_sub(1)] {
                let Some(offer) = element.proposals.get(at).filter(|_| at > 0) else { continue };
                let change = format!("{}: {}", element.name, offer.proposal.name);
                let text = adopt(&project, &plan, DEMO, std::slice::from_ref(&change)).unwrap();
                assert!(text.contains("# "), "comments stay");
                let (read, found) = crate::read(&text, "room.toml");
                let read = read.unwrap_or_else(|| panic!("{change}: {found:?}\n{text}"));
                let mut expected = project.clone();
                offer.proposal.change.put_into(&mut expected, element.slot);
                match element.slot {
                    Slot::Element(id) => {
                        let of = |project: &Project| project.buildup_of(id).unwrap().element.clone();
                        assert_eq!(of(&read), of(&expected), "{change}");
                    }
                    Slot::Vent(_) | Slot::Gaps => {}
                }
                assert_eq!(
                    read.openings.iter().map(|o| &o.seal).collect::<Vec<_>>(),
                    expected.openings.iter().map(|o| &o.seal).collect::<Vec<_>>(),
                    "{change}"
                );
                assert_eq!((&read.vents, &read.gaps), (&expected.vents, &expected.gaps), "{change}");
                tried += 1;
            }
        }
        assert!(tried > 20, "{tried}");
        let gone = adopt(&project, &plan, DEMO, &["ceiling: of gold".to_owned()]).unwrap_err();
        assert!(gone.contains("not on offer"), "{gone}");
    }
}
