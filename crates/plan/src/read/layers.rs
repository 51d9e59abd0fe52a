//! Build-ups: layers by their kind, bridges, and what both kinds of file share.

use bands::Readings;

use crate::{
    project::{
        Bond, Bridge, BridgeKind, Buildup, Cavity, CavityTimbers, ElementSpec, FillGaps, FillId, Layer, Leaf,
        LeafKind, MaterialId, OwnSheet, ProductId, SealId,
    },
    read::{
        catalogue_names::{CatalogueList, TypedMaterial, TypedProduct},
        field::{Field, Keyed, Rows, Slot},
        keyed::keyed,
        nearest::nearest,
        reading::{Reading, joined, table_title},
        spectrum::measured,
        wording::{plain, shown},
    },
    schema::Shape,
};

keyed! {
    /// What a wall, the ceiling, a window or a door is made of.
    pub(crate) struct BuildupKeys {
        /// Short name other keys use for it, unique.
        id: String,
        /// What sheets call it; without it the id.
        name: Option<String>,
        /// Layers from outside to inside.
        layer: Vec<Layer>,
        /// What crosses the cavities.
        bridge: Vec<Bridge>,
        /// Sound reduction index measured on this very build-up, by third-octave band; used instead of a prediction.
        measured: Option<Readings> [-20.0, 120.0],
        /// File with the measured values, columns `frequency_hz,value_db`.
        measured_csv: Option<String>,
        /// Standard uncertainty of each measured value; without it that of a laboratory.
        measured_uncertainty_db: Option<f64> [0.1, 10.0],
    }
}

keyed! {
    /// A solid layer.
    pub(crate) struct LeafKeys {
        /// What the layer is.
        kind: LeafKind,
        /// What sheets call it; without it the catalogue's name.
        name: Option<String>,
        /// Its entry in the catalogue; may be left away where the person's own data say enough.
        material: Option<TypedMaterial>,
        /// Thickness of one sheet; without it the catalogue's. A board or panel has at most 300, a pane or glass block 100, a membrane 30.
        thickness_mm: Option<f64> [0.05, 1000.0],
        /// How many equal sheets lie on each other.
        sheets: u32 [1.0, 8.0] = 1,
        /// How its sheets hold to each other and to the layer before.
        bond: Bond = Bond::Screwed,
        /// What seals it all round, where it is a door or sash of its own: one of two doors with a lobby, a secondary pane.
        seal: Option<SealId>,
        /// Plaster or render on the outer face.
        plaster_outside_mm: f64 [0.0, 60.0] = 0.0,
        /// Plaster on the inner face.
        plaster_inside_mm: f64 [0.0, 60.0] = 0.0,
        /// Own data: density, instead of the catalogue's.
        density_kg_m3: Option<f64> [5.0, 12_000.0],
        /// Own data: mass of one sheet, instead of density times thickness.
        mass_kg_m2: Option<f64> [0.05, 1500.0],
        /// Own data: Young's modulus in bending, instead of the catalogue's.
        youngs_modulus_gpa: Option<f64> [0.001, 300.0],
        /// Own data: internal loss factor, instead of the catalogue's.
        loss_factor: Option<f64> [0.001, 1.0],
        /// Own data: Poisson's ratio, instead of the catalogue's.
        poisson: Option<f64> [0.0, 0.49],
        /// Own data: bending stiffness along ribs or grain over that across; of a profiled sheet over that of the plain sheet.
        along_over_across: Option<f64> [1.0, 100_000.0],
        /// Own data: airflow resistance from face to face of a layer air passes through, such as a bare porous block.
        flow_resistance_pa_s_m: Option<f64> [10.0, 1_000_000_000.0],
        /// Own data: thermal conductivity, instead of the catalogue's.
        conductivity_w_m_k: Option<f64> [0.005, 500.0],
        /// Own data: vapour resistance factor μ (still air: 1), instead of the catalogue's.
        vapour_factor: Option<f64> [1.0, 10_000_000.0],
        /// Own data: vapour resistance of one sheet as the depth of an equal layer of still air, instead of the catalogue's.
        vapour_sd_m: Option<f64> [0.0, 100_000.0],
    }
}

keyed! {
    /// Air between two leaves, with or without fibre.
    pub(crate) struct CavityKeys {
        /// What the layer is.
        kind: CavityWord,
        /// Clear distance between the leaves.
        depth_mm: f64 [1.0, 2000.0],
        /// Whether outside air moves through it.
        vented: bool = false,
        /// Openings to the outside of a cavity that is not `vented`, on each metre of a wall or each square metre of a roof: to 500 it counts as still, from 1500 as outside air.
        openings_mm2: Option<f64> [0.0, 100_000.0],
        /// Fibre in it, from the catalogue.
        fill: Option<FillId>,
        /// Thickness of the fibre; without it the fibre fills the cavity.
        fill_mm: Option<f64> [1.0, 2000.0],
        /// How tightly the fibre fits, for heat.
        fill_gaps: FillGaps = FillGaps::None,
        /// Own data: airflow resistivity of the fibre, instead of the catalogue's.
        flow_resistivity_pa_s_m2: Option<f64> [500.0, 200_000.0],
        /// Own data: density of the fibre, instead of the catalogue's.
        density_kg_m3: Option<f64> [5.0, 400.0],
        /// Own data: dynamic stiffness of a stiff fill that touches both leaves.
        dynamic_stiffness_mn_m3: Option<f64> [0.1, 10_000.0],
        /// Timbers that cross this layer, for heat.
        bridge: Option<CavityTimbers>,
        /// Whether the edge of the cavity is lined with something absorbent.
        lined_reveals: bool = false,
    }
}

/// The word for a cavity.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub(crate) struct CavityWord;

impl Field for CavityWord {
    fn shape() -> Shape {
        Shape::Words(&[("cavity", "Air between two leaves.")])
    }

    fn decode(_: &Slot<'_, '_>, _: &mut Reading<'_>) -> Option<Self> {
        Some(Self)
    }
}

keyed! {
    /// Something that joins two leaves across a cavity.
    pub(crate) struct BridgeKeys {
        /// What it is.
        kind: BridgeKind,
        /// Which cavity it crosses, counted from outside, the first is 1; without it the innermost.
        cavity: Option<u32> [1.0, 12.0],
        /// Its entry in the catalogue.
        product: Option<TypedProduct>,
        /// Distance between studs, lines of ties or dabs, or clips along a bar.
        spacing_mm: Option<f64> [50.0, 3000.0],
        /// Points on each square metre.
        per_m2: Option<f64> [0.1, 60.0],
        /// How many in the whole element, for single screws or brackets.
        count: Option<u32> [1.0, 10_000.0],
        /// Distance between the bars or channels that lie across.
        bar_spacing_mm: Option<f64> [50.0, 3000.0],
        /// Thickness of the steel of a stud.
        steel_mm: Option<f64> [0.3, 4.0],
        /// Whether the studs behind channels are of steel.
        steel_studs: bool = false,
        /// Length of a frame that both leaves sit in.
        frame_length_m: Option<f64> [0.1, 200.0],
        /// Area of one dab of adhesive.
        dab_area_m2: Option<f64> [0.0001, 1.0],
        /// Dynamic stiffness of one point, instead of the catalogue's.
        stiffness_mn_m: Option<f64> [0.001, 1000.0],
        /// Dynamic stiffness of one metre of a frame's gasket or putty.
        frame_stiffness_mn_m2: Option<f64> [0.001, 10_000.0],
        /// Compliance of one metre of stud, instead of the catalogue's.
        compliance_m2_n: Option<f64> [0.0, 0.001],
        /// Loss factor, instead of the catalogue's.
        loss_factor: Option<f64> [0.001, 2.0],
    }
}

const LAYER_WORDS: [&str; 5] = ["board", "masonry", "glass", "membrane", "cavity"];

impl Field for Layer {
    const IS_TABLE: bool = true;

    fn shape() -> Shape {
        Shape::Kinds(vec![
            (&["board", "masonry", "glass", "membrane"], LeafKeys::table()),
            (&["cavity"], CavityKeys::table()),
        ])
    }

    fn decode(slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Self> {
        let rows = slot.rows(reading)?;
        let kind = rows.peek_text("kind");
        match kind {
            Some("cavity") => {
                report_foreign_keys(
                    &rows,
                    reading,
                    CavityKeys::NAMES,
                    LeafKeys::NAMES,
                    "a solid layer",
                    "a cavity",
                );
                CavityKeys::decode_rows(&rows, reading).and_then(|keys| cavity(&keys, &slot.path, reading))
            }
            Some(word) if !LAYER_WORDS.contains(&word) => {
                reading.note_standing(&slot.path, slot.value.span(), slot.value.span());
                let path = rows.path_of("kind");
                if let Some((name, value)) = rows.table.get_key_value("kind") {
                    reading.note_standing(&path, name.span(), value.span());
                }
                let near = nearest(word, LAYER_WORDS);
                reading
                    .error(
                        "unknown-word",
                        &path,
                        format!("A layer cannot be of the kind \"{}\".", shown(word)),
                    )
                    .here("not a kind of layer")
                    .help(match near {
                        Some(near) => format!("Did you mean \"{near}\"?"),
                        None => {
                            "Write \"board\", \"masonry\", \"glass\", \"membrane\" or \"cavity\".".to_owned()
                        }
                    });
                None
            }
            _ => {
                report_foreign_keys(
                    &rows,
                    reading,
                    LeafKeys::NAMES,
                    CavityKeys::NAMES,
                    "a cavity",
                    "a solid layer",
                );
                LeafKeys::decode_rows(&rows, reading).and_then(|keys| leaf(keys, &slot.path, reading))
            }
        }
    }
}

/// Keys of the other kind of layer get a sentence of their own.
fn report_foreign_keys(
    rows: &Rows<'_, '_>,
    reading: &mut Reading<'_>,
    own: &[&'static str],
    other: &[&'static str],
    other_kind: &str,
    this_kind: &str,
) {
    for (name, _) in rows.table {
        let key: &str = name.get_ref();
        if !own.contains(&key) && other.contains(&key) {
            let path = rows.path_of(key);
            reading
                .error_at(
                    "key-of-another-kind",
                    name.span(),
                    Some(&path),
                    format!("`{key}` belongs to {other_kind}, but this layer is {this_kind}."),
                )
                .here("does not belong here")
                .help("Take the key away, or check the `kind` of the layer.");
        }
    }
}

fn leaf(keys: LeafKeys, path: &str, reading: &mut Reading<'_>) -> Option<Layer> {
    let material = match keys.material {
        Some(TypedMaterial(typed)) => {
            let list = CatalogueList::of_leaf(keys.kind);
            let id = list.resolve(&typed, &format!("{path}.material"), reading)?;
            Some(MaterialId(id))
        }
        None => None,
    };
    let own = OwnSheet {
        density_kg_m3: keys.density_kg_m3,
        mass_kg_m2: keys.mass_kg_m2,
        youngs_modulus_gpa: keys.youngs_modulus_gpa,
        loss_factor: keys.loss_factor,
        poisson: keys.poisson,
        along_over_across: keys.along_over_across,
        flow_resistance_pa_s_m: keys.flow_resistance_pa_s_m,
        conductivity_w_m_k: keys.conductivity_w_m_k,
        vapour_factor: keys.vapour_factor,
        vapour_sd_m: keys.vapour_sd_m,
    };
    let leaf = Leaf {
        kind: keys.kind,
        name: keys.name,
        material,
        own,
        thickness_mm: keys.thickness_mm,
        sheets: keys.sheets,
        bond: keys.bond,
        seal: keys.seal,
        plaster_outside_mm: keys.plaster_outside_mm,
        plaster_inside_mm: keys.plaster_inside_mm,
    };
    says_enough(&leaf, path, reading).then_some(Layer::Leaf(leaf))
}

/// Nothing thicker is sold as one sheet (judgement).
const THICKEST_BOARD_MM: f64 = 300.0;
const THICKEST_PANE_MM: f64 = 100.0;
const THICKEST_MEMBRANE_MM: f64 = 30.0;

/// Whether thickness and mass of a leaf are known, and stiffness where it is not limp.
fn says_enough(leaf: &Leaf, path: &str, reading: &mut Reading<'_>) -> bool {
    let own = &leaf.own;
    let (one, most_mm) = match leaf.kind {
        LeafKind::Board => ("board", THICKEST_BOARD_MM),
        LeafKind::Glass => ("pane", THICKEST_PANE_MM),
        LeafKind::Membrane => ("membrane", THICKEST_MEMBRANE_MM),
        LeafKind::Masonry => ("leaf", f64::INFINITY),
    };
    if let Some(mm) = leaf.thickness_mm.filter(|mm| *mm > most_mm) {
        reading
            .error(
                "too-thick",
                &format!("{path}.thickness_mm"),
                format!("No {one} is {} mm thick; the most is {}.", plain(mm), plain(most_mm)),
            )
            .help("Write the thickness of one sheet in millimetres; `sheets` counts how many lie on each other.");
        return false;
    }
    if let (Some(density), Some(mass), Some(thickness)) =
        (own.density_kg_m3, own.mass_kg_m2, leaf.thickness_mm)
    {
        let from_density = density * thickness / 1000.0;
        if (mass / from_density - 1.0).abs() > 0.02 {
            reading
                .error(
                    "data-disagree",
                    &format!("{path}.mass_kg_m2"),
                    format!(
                        "Density times thickness gives {} kg/m², but `mass_kg_m2` says {}.",
                        plain(quantities::format::round_to(from_density, 2)),
                        plain(mass)
                    ),
                )
                .help("Keep two of `density_kg_m3`, `thickness_mm` and `mass_kg_m2`; the third follows.");
            return false;
        }
    }
    if leaf.material.is_some() {
        return true;
    }
    let mut needs: Vec<&str> = Vec::new();
    let has = |key: &str| reading.has(&format!("{path}.{key}"));
    if has("material") {
        return false;
    }
    if !has("thickness_mm") {
        needs.push("`thickness_mm`");
    }
    if !has("density_kg_m3") && !has("mass_kg_m2") {
        needs.push("`density_kg_m3` or `mass_kg_m2`");
    }
    if leaf.kind != LeafKind::Membrane && !has("youngs_modulus_gpa") {
        needs.push("`youngs_modulus_gpa`");
    }
    if needs.is_empty() {
        return true;
    }
    let word = CatalogueList::of_leaf(leaf.kind).word();
    reading
        .error(
            "missing-material",
            path,
            format!("This layer has no `material`, so it also needs {}.", needs.join(" and ")),
        )
        .help(format!("Name a {word} of the catalogue as `material`, or give your own data."));
    false
}

fn cavity(keys: &CavityKeys, path: &str, reading: &mut Reading<'_>) -> Option<Layer> {
    let has_fibre = keys.fill.is_some() || keys.flow_resistivity_pa_s_m2.is_some();
    let fill_key = format!("{path}.fill_mm");
    if keys.fill_mm.is_some() && !has_fibre && !reading.has(&format!("{path}.fill")) {
        reading
            .error("missing-fill", &fill_key, "`fill_mm` stands here, but no fibre does.")
            .help("Name the fibre, such as `fill = \"mineral-wool-20kg\"`, or take `fill_mm` away.");
        return None;
    }
    let fill_mm = if has_fibre { keys.fill_mm.unwrap_or(keys.depth_mm) } else { 0.0 };
    if fill_mm > keys.depth_mm {
        reading
            .error(
                "fill-too-deep",
                &fill_key,
                format!("{} mm of fibre do not fit a cavity of {} mm.", plain(fill_mm), plain(keys.depth_mm)),
            )
            .help(format!(
                "Write at most `fill_mm = {}`: fibre that is pressed together insulates less.",
                plain(keys.depth_mm)
            ));
        return None;
    }
    Some(Layer::Cavity(Cavity {
        depth_mm: keys.depth_mm,
        vented: keys.vented,
        openings_mm2: keys.openings_mm2,
        fill_gaps: keys.fill_gaps,
        fill: keys.fill.clone(),
        fill_mm,
        flow_resistivity_pa_s_m2: keys.flow_resistivity_pa_s_m2,
        density_kg_m3: keys.density_kg_m3,
        dynamic_stiffness_mn_m3: keys.dynamic_stiffness_mn_m3,
        timbers: keys.bridge,
        lined_reveals: keys.lined_reveals,
    }))
}

impl Field for Bridge {
    const IS_TABLE: bool = true;

    fn shape() -> Shape {
        BridgeKeys::shape()
    }

    fn decode(slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Self> {
        let keys = BridgeKeys::decode(slot, reading)?;
        let product = match keys.product {
            Some(TypedProduct(typed)) => {
                let path = format!("{}.product", slot.path);
                let Some(list) = CatalogueList::of_bridge(keys.kind) else {
                    reading
                        .error(
                            "key-of-another-kind",
                            &path,
                            format!("A bridge of the kind \"{}\" has no product.", keys.kind.word()),
                        )
                        .help("Take `product` away.");
                    return None;
                };
                Some(ProductId(list.resolve(&typed, &path, reading)?))
            }
            None => None,
        };
        let has = |key: &str, reading: &Reading<'_>| reading.has(&format!("{}.{key}", slot.path));
        if keys.kind == BridgeKind::Clip
            && product.is_none()
            && !has("product", reading)
            && !has("stiffness_mn_m", reading)
        {
            reading
                .error("clip-without-stiffness", &slot.path, "A clip needs its `product` or its `stiffness_mn_m`.")
                .help("Name a clip of the catalogue, such as `product = \"resilient-clip-low\"`, or give the maker's dynamic stiffness.");
            return None;
        }
        if keys.kind != BridgeKind::RigidPoint && has("count", reading) {
            reading
                .error(
                    "key-of-another-kind",
                    &format!("{}.count", slot.path),
                    format!("A bridge of the kind \"{}\" has no `count`.", keys.kind.word()),
                )
                .help("Write `per_m2` or the distances, or take `count` away.");
            return None;
        }
        Some(Self {
            kind: keys.kind,
            // The innermost cavity until the layers are known: see `element_spec`.
            cavity: keys.cavity.map_or(usize::MAX, |cavity| cavity as usize - 1),
            product,
            spacing_mm: keys.spacing_mm,
            per_m2: keys.per_m2,
            count: keys.count,
            bar_spacing_mm: keys.bar_spacing_mm,
            steel_mm: keys.steel_mm,
            steel_studs: keys.steel_studs,
            frame_length_m: keys.frame_length_m,
            dab_area_m2: keys.dab_area_m2,
            stiffness_mn_m: keys.stiffness_mn_m,
            frame_stiffness_mn_m2: keys.frame_stiffness_mn_m2,
            compliance_m2_n: keys.compliance_m2_n,
            loss_factor: keys.loss_factor,
        })
    }
}

impl Field for Buildup {
    const IS_TABLE: bool = true;

    fn shape() -> Shape {
        BuildupKeys::shape()
    }

    fn decode(slot: &Slot<'_, '_>, reading: &mut Reading<'_>) -> Option<Self> {
        let keys = BuildupKeys::decode(slot, reading)?;
        let readings = measured(keys.measured, keys.measured_csv.as_deref(), &slot.path, reading);
        let spec = ElementSpec {
            name: keys.name.unwrap_or_else(|| keys.id.clone()),
            layers: keys.layer,
            bridges: keys.bridge,
            measured: readings,
            measured_uncertainty_db: keys.measured_uncertainty_db,
        };
        let title = format!("The build-up \"{}\"", shown(&keys.id));
        Some(Self { id: keys.id, element: element_spec(spec, &title, &slot.path, reading)? })
    }
}

/// Checks the order of the layers and that each bridge crosses a cavity there is.
pub(crate) fn element_spec(
    mut spec: ElementSpec,
    title: &str,
    path: &str,
    reading: &mut Reading<'_>,
) -> Option<ElementSpec> {
    let list = joined(path, "layer");
    let bridges = joined(path, "bridge");
    let mut good = true;
    if spec.layers.is_empty() {
        // A layer that could not be read has been reported; only a build-up without any is empty.
        let measured_only = spec.measured.is_some() && !reading.has(&list);
        let tried = ["layer", "measured", "measured_csv"];
        if !tried.iter().any(|key| reading.has(&joined(path, key))) {
            let header = table_title(&format!("{list}[0]"));
            reading.error("no-layers", path, format!("{title} has no layer.")).help(format!(
                "Write a {header} for each layer from outside to inside, or give `measured` values."
            ));
        }
        return measured_only.then_some(spec);
    }
    if reading.lost_entries(&list) {
        return None;
    }
    let is_cavity = |layer: Option<&Layer>| matches!(layer, Some(Layer::Cavity(_)));
    for (at, (which, end)) in [(0, ("begins", "outer")), (spec.layers.len() - 1, ("ends", "inner"))] {
        if is_cavity(spec.layers.get(at)) {
            let entry = reading.entry(&list, at);
            reading
                .error("open-cavity", &entry, format!("{title} {which} with a cavity, which nothing closes."))
                .here("this cavity")
                .help(format!(
                    "Write the {end} layer too, or take this cavity away. Layers go from outside to inside."
                ));
            good = false;
        }
    }
    for (at, pair) in spec.layers.windows(2).enumerate() {
        if is_cavity(pair.first()) && is_cavity(pair.get(1)) {
            let (first, second) = (reading.entry(&list, at), reading.entry(&list, at + 1));
            let label = reading.label(&first, "the other cavity");
            reading
                .error("two-cavities", &second, format!("{title} has two cavities next to each other."))
                .here("a cavity after a cavity")
                .also(label)
                .help("Make them one cavity, or write what lies between them, if only a membrane.");
            good = false;
        }
    }
    let cavities = spec.layers.iter().filter(|layer| matches!(layer, Layer::Cavity(_))).count();
    for (at, bridge) in spec.bridges.iter_mut().enumerate() {
        if bridge.cavity == usize::MAX {
            bridge.cavity = cavities.saturating_sub(1);
        }
        if bridge.cavity >= cavities && bridge.kind != BridgeKind::None {
            let entry = reading.entry(&bridges, at);
            let count = if cavities == 1 { "1 cavity".to_owned() } else { format!("{cavities} cavities") };
            let said = if cavities == 0 {
                format!("{title} has a bridge, but no cavity for it to cross.")
            } else {
                format!("{title} has {count}, so a bridge cannot cross cavity {}.", bridge.cavity + 1)
            };
            reading
                .error("bridge-without-cavity", &entry, said)
                .here("this bridge")
                .help("Write the cavity it crosses as a layer, or take the bridge away.");
            good = false;
        }
    }
    good.then_some(spec)
}
