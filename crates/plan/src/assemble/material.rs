//! What a layer of a build-up really is: catalogue data with the person's own figures over them.

use catalogue::{Door, Fill, Glass, Masonry, Membrane, Sheet, SheetFamily, find};
use sound::element::Spreads;

use crate::project::{Cavity, Leaf, LeafKind};

/// A coat of plaster, per sheet of it: density kg/m³, plate speed m/s, loss factor, λ W/(m K), μ
/// (gypsum plaster: Hopkins 2007 Table A2; λ and μ of a plaster with sand, typical, no source).
const PLASTER: (f64, f64, f64, f64, f64) = (1300.0, 1610.0, 0.012, 0.57, 10.0);
/// What is taken where neither the catalogue nor the person gives a figure (typical, no source).
const PLAIN: (f64, f64, f64, f64, f64, f64) = (800.0, 3.0, 0.2, 0.01, 0.2, 10.0);

/// Stiffness along over across that no grain of a board reaches; a sheet with more stands in ribs.
const MOST_GRAIN: f64 = 50.0;

/// Vapour resistance of a solid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum VapourOf {
    /// Factor μ.
    Factor(f64),
    /// Equivalent air layer thickness, m.
    AirLayer(f64),
}

/// A solid layer with every figure the rooms below ask for.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Solid {
    /// Name as printed.
    pub(crate) name: String,
    /// Catalogue id, empty for the person's own.
    pub(crate) id: String,
    /// What sort of solid.
    pub(crate) kind: LeafKind,
    /// Thickness of one sheet, m.
    pub(crate) thickness_m: f64,
    /// How many sheets.
    pub(crate) sheets: u32,
    /// Density, kg/m³.
    pub(crate) density_kg_m3: f64,
    /// Young's modulus, Pa.
    pub(crate) youngs_modulus_pa: f64,
    /// Bending stiffness along ribs or grain over that across.
    pub(crate) along_over_across: f64,
    /// Whether it stands in ribs: its stiffness is then that of the plain sheet.
    pub(crate) ribbed: bool,
    /// Poisson's ratio.
    pub(crate) poisson: f64,
    /// Loss factor.
    pub(crate) loss_factor: f64,
    /// Spreads.
    pub(crate) spreads: Spreads,
    /// Thermal conductivity, W/(m K).
    pub(crate) lambda_w_mk: f64,
    /// Vapour.
    pub(crate) vapour: VapourOf,
    /// Whether cut edges must be taped.
    pub(crate) tape_cut_edges: bool,
    /// Airflow resistivity where air passes through it while it is bare, Pa s/m².
    pub(crate) porous_bare: Option<f64>,
    /// Where the numbers come from.
    pub(crate) basis: String,
}

impl Solid {
    /// Mass of all sheets, kg/m².
    pub(crate) fn mass_kg_m2(&self) -> f64 {
        self.density_kg_m3 * self.depth_m()
    }

    /// Thickness of all sheets, m.
    pub(crate) fn depth_m(&self) -> f64 {
        self.thickness_m * f64::from(self.sheets)
    }

    fn plain(leaf: &Leaf) -> Self {
        let (density, modulus, poisson, loss, lambda, mu) = PLAIN;
        Self {
            name: "own sheet".to_owned(),
            id: String::new(),
            kind: leaf.kind,
            thickness_m: 0.0125,
            sheets: leaf.sheets.max(1),
            density_kg_m3: density,
            youngs_modulus_pa: modulus * 1e9,
            along_over_across: 1.0,
            ribbed: false,
            poisson,
            loss_factor: loss,
            spreads: Spreads::default(),
            lambda_w_mk: lambda,
            vapour: VapourOf::Factor(mu),
            tape_cut_edges: false,
            porous_bare: None,
            basis: "the person's own figures; where none is given, typical, no source".to_owned(),
        }
    }
}

/// The coat of plaster on one face, if there is one.
pub(crate) fn plaster(thickness_mm: f64) -> Option<Solid> {
    if thickness_mm <= 0.0 {
        return None;
    }
    let (density, speed, loss, lambda, mu) = PLASTER;
    Some(Solid {
        name: "plaster".to_owned(),
        id: "plaster".to_owned(),
        kind: LeafKind::Masonry,
        thickness_m: thickness_mm / 1000.0,
        sheets: 1,
        density_kg_m3: density,
        youngs_modulus_pa: density * speed * speed * (1.0 - 0.04),
        along_over_across: 1.0,
        ribbed: false,
        poisson: 0.2,
        loss_factor: loss,
        spreads: Spreads::default(),
        lambda_w_mk: lambda,
        vapour: VapourOf::Factor(mu),
        tape_cut_edges: false,
        porous_bare: None,
        basis: "Hopkins 2007, Table A2 (speed, loss); density, λ, μ typical, no source".to_owned(),
    })
}

/// A solid layer from the catalogue with the person's own figures over it.
pub(crate) fn solid(leaf: &Leaf) -> Solid {
    let mut solid = Solid::plain(leaf);
    if let Some(id) = &leaf.material {
        solid.id = String::from(id.as_str());
        fill_from_catalogue(&mut solid);
    }
    let own = &leaf.own;
    if let Some(thickness_mm) = leaf.thickness_mm {
        solid.thickness_m = thickness_mm / 1000.0;
    }
    if let Some(density) = own.density_kg_m3 {
        solid.density_kg_m3 = density;
    }
    if let Some(mass) = own.mass_kg_m2
        && solid.thickness_m > 0.0
    {
        solid.density_kg_m3 = mass / solid.thickness_m;
    }
    if let Some(modulus) = own.youngs_modulus_gpa {
        solid.youngs_modulus_pa = modulus * 1e9;
    }
    if let Some(ratio) = own.along_over_across {
        solid.along_over_across = ratio;
        // Past what a grain can do it is a profiled sheet.
        solid.ribbed |= ratio > MOST_GRAIN;
    }
    if let Some(loss) = own.loss_factor {
        solid.loss_factor = loss;
    }
    if let Some(poisson) = own.poisson {
        solid.poisson = poisson;
    }
    if let Some(lambda) = own.conductivity_w_m_k {
        solid.lambda_w_mk = lambda;
    }
    if let Some(mu) = own.vapour_factor {
        solid.vapour = VapourOf::Factor(mu);
    }
    if let Some(sd_m) = own.vapour_sd_m {
        solid.vapour = VapourOf::AirLayer(sd_m);
    }
    solid
}

fn fill_from_catalogue(solid: &mut Solid) {
    let id = solid.id.clone();
    if let Some(sheet) = find::<Sheet>(&id) {
        solid.name = String::from(sheet.name);
        solid.thickness_m = sheet.thickness_mm / 1000.0;
        solid.density_kg_m3 = sheet.density_kg_m3;
        solid.youngs_modulus_pa = sheet.youngs_modulus_gpa * 1e9;
        solid.along_over_across = sheet.along_over_across;
        solid.ribbed = sheet.family == SheetFamily::Profiled;
        solid.poisson = sheet.poisson;
        solid.loss_factor = sheet.loss_factor;
        solid.spreads = plate_spreads(sheet.spread);
        solid.lambda_w_mk = sheet.conductivity_w_m_k;
        solid.vapour = vapour(sheet.vapour);
        solid.tape_cut_edges = sheet.tape_cut_edges;
        solid.basis = sheet.basis.text();
    } else if let Some(masonry) = find::<Masonry>(&id) {
        solid.name = String::from(masonry.name);
        solid.thickness_m = masonry.thickness_mm / 1000.0;
        solid.density_kg_m3 = masonry.density_kg_m3;
        solid.youngs_modulus_pa = masonry.youngs_modulus_gpa() * 1e9;
        solid.poisson = masonry.poisson;
        solid.loss_factor = masonry.loss_factor;
        solid.spreads = Spreads {
            density: masonry.spread.density,
            youngs_modulus: 2.0 * masonry.spread.longitudinal_speed,
            loss_factor: masonry.spread.loss_factor,
        };
        solid.lambda_w_mk = masonry.conductivity_w_m_k;
        solid.vapour = vapour(masonry.vapour);
        solid.porous_bare = masonry.bare_resistivity_pa_s_m2();
        solid.basis = masonry.basis.text();
    } else if let Some(pane) = find::<Glass>(&id) {
        solid.name = String::from(pane.name);
        solid.thickness_m = pane.thickness_mm / 1000.0;
        solid.density_kg_m3 = pane.density_kg_m3;
        solid.youngs_modulus_pa = pane.youngs_modulus_gpa * 1e9;
        solid.poisson = pane.poisson;
        solid.loss_factor = pane.loss_factor;
        solid.spreads = plate_spreads(pane.spread);
        solid.lambda_w_mk = pane.conductivity_w_m_k;
        solid.vapour = VapourOf::Factor(1e6);
        solid.basis = pane.basis.text();
    } else if let Some(door) = find::<Door>(&id) {
        solid.name = String::from(door.name);
        solid.thickness_m = door.thickness_mm / 1000.0;
        solid.density_kg_m3 = door.mass_kg_m2 / solid.thickness_m;
        solid.youngs_modulus_pa = door.equivalent_youngs_modulus_gpa * 1e9;
        solid.poisson = door.poisson;
        solid.loss_factor = door.loss_factor;
        solid.spreads = plate_spreads(door.spread);
        solid.lambda_w_mk = 0.13;
        solid.vapour = VapourOf::Factor(50.0);
        solid.basis = door.basis.text();
    } else if let Some(membrane) = find::<Membrane>(&id) {
        solid.name = String::from(membrane.name);
        solid.thickness_m = membrane.thickness_mm / 1000.0;
        solid.density_kg_m3 = membrane.mass_kg_m2 / solid.thickness_m;
        // A membrane hangs limp: it adds its mass and no stiffness.
        solid.youngs_modulus_pa = 1e6;
        solid.poisson = 0.3;
        solid.loss_factor = 0.1;
        solid.lambda_w_mk = membrane.conductivity_w_m_k;
        solid.vapour = VapourOf::AirLayer(membrane.sd_m);
        solid.basis = membrane.basis.text();
    }
}

fn plate_spreads(spread: catalogue::PlateSpread) -> Spreads {
    Spreads {
        density: spread.density,
        youngs_modulus: spread.youngs_modulus,
        loss_factor: spread.loss_factor,
    }
}

fn vapour(vapour: catalogue::Vapour) -> VapourOf {
    match vapour {
        catalogue::Vapour::Factor { dry, .. } => VapourOf::Factor(dry),
        catalogue::Vapour::AirLayer { sd_m } => VapourOf::AirLayer(sd_m),
    }
}

/// The fibre of a cavity, if it has any.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Fibre {
    /// Name as printed.
    pub(crate) name: String,
    /// Thickness, m.
    pub(crate) thickness_m: f64,
    /// Airflow resistivity, Pa s/m².
    pub(crate) flow_resistivity_pa_s_m2: f64,
    /// Its relative spread.
    pub(crate) spread: f64,
    /// Density, kg/m³.
    pub(crate) density_kg_m3: f64,
    /// Thermal conductivity, W/(m K).
    pub(crate) lambda_w_mk: f64,
    /// Vapour factor μ.
    pub(crate) mu: f64,
    /// Whether it stiffens the cavity instead of absorbing.
    pub(crate) closed_cell: bool,
    /// Dynamic modulus of one that stiffens, MPa.
    pub(crate) modulus_mpa: Option<f64>,
}

/// The fibre of a cavity, if it has any.
pub(crate) fn fibre(cavity: &Cavity) -> Option<Fibre> {
    if cavity.fill_mm <= 0.0 {
        return None;
    }
    let entry = cavity.fill.as_ref().and_then(|id| find::<Fill>(id.as_str()));
    let own = cavity.flow_resistivity_pa_s_m2;
    Some(Fibre {
        name: entry.map_or_else(|| "own fibre".to_owned(), |fill| fill.name.to_owned()),
        thickness_m: cavity.fill_mm / 1000.0,
        flow_resistivity_pa_s_m2: own.or(entry.map(|fill| fill.flow_resistivity_pa_s_m2)).unwrap_or(10_000.0),
        spread: if own.is_some() { 0.1 } else { entry.map_or(0.3, |fill| fill.flow_resistivity_spread) },
        density_kg_m3: entry.map_or(30.0, |fill| fill.density_kg_m3),
        lambda_w_mk: entry.map_or(0.038, |fill| fill.conductivity_w_m_k),
        mu: entry.map_or(1.0, |fill| match fill.vapour {
            catalogue::Vapour::Factor { dry, .. } => dry,
            catalogue::Vapour::AirLayer { .. } => 1.0,
        }),
        closed_cell: entry.is_some_and(|fill| fill.closed_cell),
        modulus_mpa: entry.and_then(Fill::dynamic_modulus_mpa),
    })
}
