//! Vapour-tight layers: where they lie, and what moving them would do.

use crate::{
    buildup::{Heat, Layer},
    iso_13788_2012,
    moisture::{MoistureCheck, MovedLayer, VapourTightLayer, peak_g_m2, verdict},
    section::{AirOfMonth, Section},
};

/// A layer counts as vapour-tight from this s_d upwards, m (a vapour control layer in trade speech; common practice).
pub const VAPOUR_TIGHT_SD_M: f64 = 10.0;
/// A vapour-tight layer thinner than this can be laid elsewhere, m: a sheet, not a deck.
const MOVABLE_THICKNESS_M: f64 = 0.005;

fn is_tight(layer: &Layer) -> bool {
    !matches!(layer.heat, Heat::Air) && layer.sd_m() >= VAPOUR_TIGHT_SD_M
}

pub(crate) fn tight_layers(section: &Section, layers: &[Layer]) -> Vec<VapourTightLayer> {
    let first = section.r_m2k_w.first().copied().unwrap_or(0.0);
    let last = section.r_m2k_w.last().copied().unwrap_or(0.0);
    layers
        .iter()
        .filter(|layer| is_tight(layer))
        .map(|layer| {
            let inner_face = section
                .ends
                .iter()
                .position(|(name, _, whole)| *whole && *name == layer.name)
                .and_then(|plane| section.r_m2k_w.get(plane).copied())
                .unwrap_or(last);
            let warm_share = if last > first { (last - inner_face) / (last - first) } else { 0.0 };
            VapourTightLayer { layer: layer.name.clone(), sd_m: layer.sd_m(), warm_share }
        })
        .collect()
}

/// The year with each thin vapour-tight layer at every place of the counted build-up; the outermost sheet of the whole
/// build-up keeps out rain and stays where it is.
pub(crate) fn moved(
    layers: &[Layer],
    check: &MoistureCheck,
    air: &[AirOfMonth; 12],
    vented: bool,
) -> Vec<MovedLayer> {
    let mut list = Vec::new();
    for (from, layer) in layers.iter().enumerate() {
        let weather_skin = from == 0 && !vented;
        if !is_tight(layer) || layer.thickness_m > MOVABLE_THICKNESS_M || weather_skin {
            continue;
        }
        let others: Vec<&Layer> =
            layers.iter().enumerate().filter(|(i, _)| *i != from).map(|(_, layer)| layer).collect();
        let outermost = usize::from(!vented);
        for to in outermost.min(others.len())..=others.len() {
            let mut order: Vec<Layer> = others.iter().map(|&layer| layer.clone()).collect();
            order.insert(to, layer.clone());
            let section = Section::new(&order, check, vented);
            let year = iso_13788_2012::year(&section.months(air));
            list.push(MovedLayer {
                layer: layer.name.clone(),
                inside_of: to
                    .checked_sub(1)
                    .and_then(|i| others.get(i))
                    .map(|l| l.name.clone())
                    .unwrap_or_default(),
                as_built: to == from,
                peak_g_m2: peak_g_m2(&year),
                verdict: verdict(&year),
            });
        }
    }
    list
}

/// The sheet that [`added`] tries, as it is printed, and its s_d, m.
const ADDED_SHEET: (&str, f64) = ("an added vapour-tight sheet (as tight as 100 m of air)", 100.0);

/// The year as it is planned, without a sheet, and with one laid just inside of each layer of the counted build-up.
pub(crate) fn added(
    layers: &[Layer],
    check: &MoistureCheck,
    air: &[AirOfMonth; 12],
    vented: bool,
) -> Vec<MovedLayer> {
    let (name, sd_m) = ADDED_SHEET;
    let with = |order: &[Layer], inside_of: &str, as_built: bool| {
        let year = iso_13788_2012::year(&Section::new(order, check, vented).months(air));
        MovedLayer {
            layer: name.to_owned(),
            inside_of: inside_of.to_owned(),
            as_built,
            peak_g_m2: peak_g_m2(&year),
            verdict: verdict(&year),
        }
    };
    let mut list = vec![with(layers, "without it", true)];
    for (index, layer) in layers.iter().enumerate() {
        let mut order = layers.to_vec();
        order.insert(index + 1, Layer::sheet(name, 0.0002, sd_m));
        list.push(with(&order, &layer.name, false));
    }
    list
}
