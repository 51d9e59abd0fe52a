//! A build-up cut at every interface, and the air on both sides month by month, for [`crate::moisture`].

use quantities::format::with_unit;

use crate::{
    FabricError,
    buildup::{Heat, Layer, Ventilation},
    error::in_range,
    iso_6946_2017,
    iso_13788_2012::{self, MonthState, Plane, saturation_pa},
    moisture::{IndoorClimate, MoistureCheck},
};

/// The air of one month.
#[derive(Clone, Copy, Debug)]
pub(crate) struct AirOfMonth {
    pub(crate) outdoor_c: f64,
    pub(crate) outdoor_pa: f64,
    pub(crate) indoor_c: f64,
    pub(crate) indoor_pa: f64,
    pub(crate) capped: bool,
}

pub(crate) fn monthly_air(check: &MoistureCheck) -> Result<[AirOfMonth; 12], FabricError> {
    check.outdoors.validate()?;
    let indoor_c =
        |t: f64| in_range("the inside temperature", t, (-10.0, 45.0), "°C", "give the temperature in use");
    let humidity =
        |h: f64| in_range("the inside humidity", h, (1.0, 100.0), "%", "give the relative humidity in use");
    let mut air =
        [AirOfMonth { outdoor_c: 0.0, outdoor_pa: 0.0, indoor_c: 0.0, indoor_pa: 0.0, capped: false }; 12];
    for (month, slot) in air.iter_mut().enumerate() {
        let at = |list: &[f64; 12]| list.get(month).copied().unwrap_or(0.0);
        let outdoor_c = at(&check.outdoors.temperature_c);
        let outdoor_pa = at(&check.outdoors.humidity_percent) / 100.0 * saturation_pa(outdoor_c);
        let (inside_c, wanted_pa) = match &check.indoors {
            IndoorClimate::Class { class, temperature_c } => {
                (indoor_c(*temperature_c)?, outdoor_pa + iso_13788_2012::excess_pa(*class, outdoor_c))
            }
            IndoorClimate::Constant { temperature_c, humidity_percent } => {
                let inside_c = indoor_c(*temperature_c)?;
                (inside_c, humidity(*humidity_percent)? / 100.0 * saturation_pa(inside_c))
            }
            IndoorClimate::Measured { temperature_c, humidity_percent } => {
                let inside_c = indoor_c(at(temperature_c))?;
                (inside_c, humidity(at(humidity_percent))? / 100.0 * saturation_pa(inside_c))
            }
            IndoorClimate::Excess { temperature_c, excess_pa } => {
                let excess = in_range(
                    "the excess of vapour pressure inside",
                    *excess_pa,
                    (0.0, 5000.0),
                    "Pa",
                    "people add vapour, never take it away",
                )?;
                (indoor_c(*temperature_c)?, outdoor_pa + excess)
            }
        };
        let most = saturation_pa(inside_c);
        *slot = AirOfMonth {
            outdoor_c,
            outdoor_pa,
            indoor_c: inside_c,
            indoor_pa: wanted_pa.min(most),
            capped: wanted_pa > most,
        };
    }
    Ok(air)
}

/// The counted layers cut at every interface, and into notional layers.
pub(crate) struct Section {
    /// One more than there are slices: position, s_d and thermal resistance from outside (with R_se) at each plane.
    pub(crate) x_m: Vec<f64>,
    pub(crate) sd_m: Vec<f64>,
    pub(crate) r_m2k_w: Vec<f64>,
    /// For each plane: the layer that ends there, and whether it ends at its full depth.
    pub(crate) ends: Vec<(String, f64, bool)>,
    pub(crate) total_m2k_w: f64,
}

impl Section {
    pub(crate) fn new(layers: &[Layer], check: &MoistureCheck, vented: bool) -> Self {
        let inside = iso_6946_2017::rsi(check.flow);
        let outside = if vented { inside } else { iso_6946_2017::RSE };
        let (mut x, mut sd, mut r) = (0.0, 0.0, outside);
        let mut section = Self {
            x_m: vec![x],
            sd_m: vec![sd],
            r_m2k_w: vec![r],
            ends: vec![(String::new(), 0.0, true)],
            total_m2k_w: 0.0,
        };
        for layer in layers {
            let still = iso_6946_2017::layer_resistance(layer, check.flow);
            let (resistance, own_sd) = match (layer.heat, layer.ventilation) {
                (Heat::Air, Ventilation::Slight { openings_mm2 }) => (
                    iso_6946_2017::slightly_ventilated(openings_mm2, still, 0.0),
                    iso_13788_2012::AIR_LAYER_SD_M,
                ),
                (Heat::Air, _) => (still, iso_13788_2012::AIR_LAYER_SD_M),
                _ => (still, layer.sd_m()),
            };
            let slices = match check.subdivide_over_m2k_w {
                Some(most) if most > 0.0 && resistance > most => (resistance / most).ceil().min(MOST_SLICES),
                _ => 1.0,
            };
            for slice in 1..=slices as u32 {
                x += layer.thickness_m / slices;
                sd += own_sd / slices;
                r += resistance / slices;
                section.x_m.push(x);
                section.sd_m.push(sd);
                section.r_m2k_w.push(r);
                let depth = layer.thickness_m * f64::from(slice) / slices;
                section.ends.push((layer.name.clone(), depth, f64::from(slice) >= slices));
            }
        }
        section.total_m2k_w = r + inside;
        section
    }

    pub(crate) fn total_sd_m(&self) -> f64 {
        self.sd_m.last().copied().unwrap_or(0.0)
    }

    pub(crate) fn temperatures(&self, air: &AirOfMonth) -> Vec<f64> {
        let rise = air.indoor_c - air.outdoor_c;
        self.r_m2k_w.iter().map(|r| air.outdoor_c + rise * r / self.total_m2k_w).collect()
    }

    pub(crate) fn months(&self, air: &[AirOfMonth; 12]) -> [MonthState; 12] {
        std::array::from_fn(|month| {
            let air = air.get(month).copied().unwrap_or(air[0]);
            let planes = self
                .temperatures(&air)
                .into_iter()
                .zip(&self.sd_m)
                .map(|(t, &sd_m)| Plane { sd_m, saturation_pa: saturation_pa(t) })
                .collect();
            MonthState { planes, outdoor_pa: air.outdoor_pa, indoor_pa: air.indoor_pa }
        })
    }

    /// Where a plane lies, in words.
    pub(crate) fn place(&self, plane: usize) -> String {
        let Some((name, depth_m, whole)) = self.ends.get(plane) else { return String::new() };
        if plane == 0 {
            return "outer surface".to_owned();
        }
        if !whole {
            return format!("in {name}, {} from its outer face", with_unit(depth_m * 1000.0, 0, "mm"));
        }
        match self.ends.get(plane + 1) {
            Some((next, _, _)) => format!("between {name} and {next}"),
            None => "inner surface".to_owned(),
        }
    }
}

/// Notional layers of one layer at most; a layer of R 50 at 0.25 needs 200.
const MOST_SLICES: f64 = 200.0;
