//! Forces, stresses and deflections of a joist in every combination, for [`crate::timber`].

use crate::{
    Cut, CutResult, FabricError,
    beam::{Beam, BeamLoads, BeamResponse, solve_beam},
    en_338_2016::{StrengthClass, Timber},
    en_1990_2002::{self, Combination},
    en_1995_1_1_2004 as ec5, notches,
    timber::{
        CombinationResult, DeflectionResult, JoistCheck, JoistQuestion, Restraint, StrengthResult,
        SupportLoad,
    },
};

/// One thing that carries: the joist's own members together, or the sister.
#[derive(Clone, Debug)]
pub(crate) struct Part {
    pub(crate) width_mm: f64,
    pub(crate) depth_mm: f64,
    pub(crate) timber: Timber,
    /// Share of moment and shear force, by stiffness.
    share: f64,
    pub(crate) kh: f64,
    /// k_crit where the joist sags and where it hogs.
    pub(crate) kcrit: (f64, f64),
    bears: bool,
}

/// The joist as a beam.
#[derive(Clone, Debug)]
pub(crate) struct Model {
    pub(crate) parts: Vec<Part>,
    beam: Beam,
    pub(crate) self_weight_n_m: f64,
    pub(crate) ksys: f64,
    /// Where each bay starts and ends, m.
    bays: Vec<(f64, f64)>,
}

/// Every question answered for one amount of load.
#[derive(Clone, Debug)]
pub(crate) struct Evaluation {
    pub(crate) combinations: Vec<CombinationResult>,
    pub(crate) bending: StrengthResult,
    pub(crate) shear: StrengthResult,
    pub(crate) bearing: StrengthResult,
    pub(crate) at_once: DeflectionResult,
    pub(crate) in_the_end: DeflectionResult,
    pub(crate) cuts: Vec<CutResult>,
}

impl Evaluation {
    /// Question, combination and utilisation of every strength and deflection check.
    pub(crate) fn answers(&self) -> Vec<(JoistQuestion, &str, f64)> {
        let mut list = vec![
            (JoistQuestion::Bending, self.bending.under.as_str(), self.bending.utilisation),
            (JoistQuestion::Shear, &self.shear.under, self.shear.utilisation),
            (JoistQuestion::Bearing, &self.bearing.under, self.bearing.utilisation),
            (JoistQuestion::DeflectionAtOnce, &self.at_once.under, self.at_once.utilisation),
            (JoistQuestion::FinalDeflection, &self.in_the_end.under, self.in_the_end.utilisation),
        ];
        list.extend(self.cuts.iter().map(|cut| (JoistQuestion::Cut, cut.under.as_str(), cut.utilisation)));
        list
    }
}

impl Model {
    pub(crate) fn new(check: &JoistCheck, class: StrengthClass) -> Self {
        let section = check.section;
        let own = (
            section.member_width_mm * f64::from(section.members),
            section.depth_mm,
            class,
            section.member_width_mm,
        );
        let mut shapes = vec![own];
        if let Some(sister) = check.sister {
            shapes.push((sister.width_mm, sister.depth_mm, sister.grade, sister.width_mm));
        }
        let longest = check
            .spans_m
            .iter()
            .chain([&check.overhang_left_m, &check.overhang_right_m])
            .fold(0.0_f64, |a, &b| a.max(b));
        let (mut ei, mut shear, mut self_weight) = (0.0, 0.0, 0.0);
        let mut parts: Vec<Part> = Vec::with_capacity(shapes.len());
        for (i, &(width_mm, depth_mm, class, single_mm)) in shapes.iter().enumerate() {
            let timber = class.timber();
            let (b, h) = (width_mm / 1000.0, depth_mm / 1000.0);
            let stiffness = timber.e0_mean_kn_mm2 * 1e9 * b * h * h * h / 12.0;
            ei += stiffness;
            shear += timber.g_mean_kn_mm2 * 1e9 * b * h / ec5::SHEAR_FORM_FACTOR;
            self_weight += timber.rho_mean_kg_m3 * quantities::air::GRAVITY_M_S2 * b * h;
            let slender = |length_mm: f64| {
                let critical =
                    ec5::critical_stress(single_mm, depth_mm, timber.e0_05_kn_mm2 * 1000.0, length_mm);
                ec5::kcrit(ec5::relative_slenderness(timber.fm_k_n_mm2, critical))
            };
            let free = slender(ec5::effective_length_mm(longest * 1000.0, depth_mm));
            let kcrit = match check.restraint {
                // The deck holds the upper edge only; where the joist hogs, the lower edge is pressed.
                Restraint::Deck => (1.0, free),
                Restraint::DeckAndBlocked(every_m) => (1.0, slender(every_m * 1000.0).max(free)),
                Restraint::Blocked(every_m) => {
                    let held = slender(every_m * 1000.0).max(free);
                    (held, held)
                }
                Restraint::Free => (free, free),
            };
            parts.push(Part {
                width_mm,
                depth_mm,
                timber,
                share: stiffness,
                kh: ec5::kh(depth_mm),
                kcrit,
                bears: i == 0,
            });
        }
        for part in &mut parts {
            part.share /= ei;
        }
        let (bays, supports_m, length_m) = lay_out(check);
        Self {
            parts,
            beam: Beam {
                length_m,
                supports_m,
                left_fixed: false,
                right_fixed: false,
                ei_nm2: ei,
                shear_stiffness_n: shear,
            },
            self_weight_n_m: self_weight,
            ksys: if check.shares_load() { ec5::KSYS } else { 1.0 },
            bays,
        }
    }

    pub(crate) fn ei_nm2(&self) -> f64 {
        self.beam.ei_nm2
    }

    /// Loads of a combination; `pattern` says which bays carry variable load, `point_at` where a concentrated load stands.
    fn loads(
        &self,
        check: &JoistCheck,
        combination: &Combination,
        extra_kn_m2: f64,
        (pattern, point_at): (&[bool], f64),
    ) -> BeamLoads {
        let length = self.beam.length_m;
        let permanent: f64 = check.permanent.iter().map(|load| load.load_kn_m2).sum::<f64>() + extra_kn_m2;
        let always = combination.permanent * (permanent * 1000.0 * check.tributary_m + self.self_weight_n_m);
        let mut variable = combination.exceptional * check.exceptional_snow_kn_m2;
        for (load, factor) in check.variable.iter().zip(&combination.spread) {
            variable += load.spread_kn_m2 * factor;
        }
        let variable = variable * 1000.0 * check.tributary_m;
        let mut spread = vec![(0.0, length, always)];
        if variable != 0.0 {
            for (&(from, to), _) in self.bays.iter().zip(pattern).filter(|(_, loaded)| **loaded) {
                spread.push((from, to, variable));
            }
        }
        let mut points: Vec<(f64, f64)> =
            check.points.iter().map(|p| (p.at_m, combination.permanent * p.load_kn * 1000.0)).collect();
        if let Some((i, factor)) = combination.point {
            let force = check.variable.get(i).map_or(0.0, |load| load.point_kn);
            points.push((point_at, factor * force * 1000.0));
        }
        BeamLoads { points, spread }
    }

    /// Which bays a variable load may stand on: all, every other, and each two next to each other.
    fn patterns(&self) -> Vec<Vec<bool>> {
        let count = self.bays.len();
        let mut list = vec![vec![true; count]];
        if count > 1 {
            list.push((0..count).map(|i| i.is_multiple_of(2)).collect());
            list.push((0..count).map(|i| !i.is_multiple_of(2)).collect());
            for first in 0..count - 1 {
                list.push((0..count).map(|i| i == first || i == first + 1).collect());
            }
        }
        list
    }

    /// Where a concentrated load is worst: mid-span, at the tip of an overhang, over and close to each support.
    fn point_places(&self, check: &JoistCheck) -> Vec<f64> {
        let depth_m = check.section.depth_mm / 1000.0;
        let mut places = vec![];
        for (i, &(from, to)) in self.bays.iter().enumerate() {
            if i == 0 && check.overhang_left_m > 0.0 {
                places.push(from);
            } else if i + 1 == self.bays.len() && check.overhang_right_m > 0.0 {
                places.push(to);
            } else {
                let near = depth_m.min((to - from) / 2.0);
                places.extend([from, from + near, 0.5 * (from + to), to - near, to]);
            }
        }
        places
    }

    fn arrangements(&self, check: &JoistCheck, combination: &Combination) -> Vec<(Vec<bool>, f64)> {
        let all = vec![true; self.bays.len()];
        if combination.point.is_some() {
            self.point_places(check).into_iter().map(|at| (all.clone(), at)).collect()
        } else if combination.exceptional > 0.0 || combination.spread.iter().any(|&factor| factor > 0.0) {
            self.patterns().into_iter().map(|pattern| (pattern, 0.0)).collect()
        } else {
            vec![(all, 0.0)]
        }
    }

    pub(crate) fn evaluate(&self, check: &JoistCheck, extra_kn_m2: f64) -> Result<Evaluation, FabricError> {
        let annex = &check.annex;
        let favourable = self.bays.len() > 1;
        let together = check.imposed_with_snow;
        let mut worst = Worst::default();
        let mut combinations = Vec::new();
        let mut cuts = Vec::new();
        for combination in en_1990_2002::ultimate(
            &check.variable,
            annex,
            together,
            check.exceptional_snow_kn_m2 > 0.0,
            favourable,
        ) {
            let gamma_m = if combination.accidental { 1.0 } else { annex.gamma_m_solid_timber };
            let kmod = ec5::kmod(check.service_class, combination.duration);
            let mut summary = CombinationResult {
                name: combination.name.clone(),
                duration: combination.duration,
                kmod,
                moment_knm: 0.0,
                shear_kn: 0.0,
                reaction_kn: 0.0,
                least_reaction_kn: f64::INFINITY,
                bending: 0.0,
                shear: 0.0,
                bearing: 0.0,
            };
            for (pattern, at) in self.arrangements(check, &combination) {
                let loads = self.loads(check, &combination, extra_kn_m2, (&pattern, at));
                let response = solve_beam(&self.beam, &loads)?;
                let strength = Strength { model: self, check, kmod, gamma_m, name: &combination.name };
                strength.bend(&response, &mut summary, &mut worst);
                strength.shear(&response, &mut summary, &mut worst);
                strength.bear(&response, &mut summary, &mut worst);
                notches::judge_all(&check.cuts, &mut cuts, |cut| strength.cut(cut, &response));
            }
            combinations.push(summary);
        }
        let kdef = ec5::kdef(check.service_class);
        let at_once = self.deflect(
            check,
            &en_1990_2002::characteristic(&check.variable, annex, together),
            (extra_kn_m2, annex.instantaneous_ratio),
            "",
        )?;
        let ratio = if check.brittle_ceiling { annex.final_ratio_brittle } else { annex.final_ratio_plain };
        let in_the_end = self.deflect(
            check,
            &en_1990_2002::with_creep(&check.variable, annex, together, kdef),
            (extra_kn_m2, ratio),
            " (creep in the factors)",
        )?;
        Ok(Evaluation {
            combinations,
            bending: worst.bending,
            shear: worst.shear,
            bearing: worst.bearing,
            at_once,
            in_the_end,
            cuts,
        })
    }

    /// Reactions with characteristic loads, eq. (6.14b), the least and the most of every arrangement.
    pub(crate) fn support_loads(&self, check: &JoistCheck) -> Result<Vec<SupportLoad>, FabricError> {
        let mut list: Vec<SupportLoad> = Vec::new();
        for combination in
            en_1990_2002::characteristic(&check.variable, &check.annex, check.imposed_with_snow)
        {
            for (pattern, at) in self.arrangements(check, &combination) {
                let loads = self.loads(check, &combination, 0.0, (&pattern, at));
                let reactions_n = solve_beam(&self.beam, &loads)?.reactions_n;
                for (i, (&at_m, n)) in self.beam.supports_m.iter().zip(reactions_n).enumerate() {
                    let kn = n / 1000.0;
                    match list.get_mut(i) {
                        Some(load) => {
                            load.most_kn = load.most_kn.max(kn);
                            load.least_kn = load.least_kn.min(kn);
                        }
                        // The permanent loads alone come first.
                        None => list.push(SupportLoad { at_m, permanent_kn: kn, most_kn: kn, least_kn: kn }),
                    }
                }
            }
        }
        Ok(list)
    }

    fn deflect(
        &self,
        check: &JoistCheck,
        combinations: &[Combination],
        (extra_kn_m2, ratio): (f64, f64),
        remark: &str,
    ) -> Result<DeflectionResult, FabricError> {
        let mut worst = DeflectionResult {
            utilisation: -1.0,
            deflection_mm: 0.0,
            bending_mm: 0.0,
            shear_mm: 0.0,
            limit_mm: 0.0,
            limit_ratio: ratio,
            under: String::new(),
            at_m: 0.0,
        };
        for combination in combinations {
            for (pattern, at) in self.arrangements(check, combination) {
                let response =
                    solve_beam(&self.beam, &self.loads(check, combination, extra_kn_m2, (&pattern, at)))?;
                for bay in &response.bays {
                    let bay_ratio = if bay.overhang { ratio / 2.0 } else { ratio };
                    let limit_m = bay.length_m / bay_ratio;
                    let utilisation = bay.total_m.value.abs() / limit_m;
                    if utilisation > worst.utilisation {
                        worst = DeflectionResult {
                            utilisation,
                            deflection_mm: bay.total_m.value * 1000.0,
                            bending_mm: bay.bending_m * 1000.0,
                            shear_mm: bay.shear_m * 1000.0,
                            limit_mm: limit_m * 1000.0,
                            limit_ratio: bay_ratio,
                            under: format!("{}{remark}", combination.name),
                            at_m: bay.total_m.at_m,
                        };
                    }
                }
            }
        }
        Ok(worst)
    }
}

/// Bays, supports and length of the joist.
fn lay_out(check: &JoistCheck) -> (Vec<(f64, f64)>, Vec<f64>, f64) {
    let mut bays = Vec::new();
    let mut supports = Vec::new();
    let mut at = 0.0;
    if check.overhang_left_m > 0.0 {
        bays.push((0.0, check.overhang_left_m));
        at = check.overhang_left_m;
    }
    supports.push(at);
    for &span in &check.spans_m {
        bays.push((at, at + span));
        at += span;
        supports.push(at);
    }
    if check.overhang_right_m > 0.0 {
        bays.push((at, at + check.overhang_right_m));
        at += check.overhang_right_m;
    }
    (bays, supports, at)
}

struct Worst {
    bending: StrengthResult,
    shear: StrengthResult,
    bearing: StrengthResult,
}

impl Default for Worst {
    fn default() -> Self {
        let none = StrengthResult {
            utilisation: -1.0,
            stress_n_mm2: 0.0,
            strength_n_mm2: 0.0,
            under: String::new(),
            at_m: 0.0,
        };
        Self { bending: none.clone(), shear: none.clone(), bearing: none }
    }
}

/// Strength checks under one arrangement of one combination.
struct Strength<'a> {
    model: &'a Model,
    check: &'a JoistCheck,
    kmod: f64,
    gamma_m: f64,
    name: &'a str,
}

impl Strength<'_> {
    fn keep(&self, worst: &mut StrengthResult, stress: f64, strength: f64, at_m: f64) -> f64 {
        let utilisation = stress / strength;
        if utilisation > worst.utilisation {
            *worst = StrengthResult {
                utilisation,
                stress_n_mm2: stress,
                strength_n_mm2: strength,
                under: self.name.to_owned(),
                at_m,
            };
        }
        utilisation
    }

    fn design(&self, characteristic: f64) -> f64 {
        ec5::design_value(characteristic, self.kmod, self.gamma_m)
    }

    fn bend(&self, response: &BeamResponse, summary: &mut CombinationResult, worst: &mut Worst) {
        for (extreme, hogs) in [(response.sagging_nm, false), (response.hogging_nm, true)] {
            summary.moment_knm = summary.moment_knm.max(extreme.value.abs() / 1000.0);
            for part in &self.model.parts {
                let moment_nmm = extreme.value.abs() * 1000.0 * part.share;
                let stress = ec5::bending_stress(moment_nmm, part.width_mm, part.depth_mm);
                let kcrit = if hogs { part.kcrit.1 } else { part.kcrit.0 };
                let strength = self.design(part.timber.fm_k_n_mm2) * part.kh * self.model.ksys * kcrit;
                let utilisation = self.keep(&mut worst.bending, stress, strength, extreme.at_m);
                summary.bending = summary.bending.max(utilisation);
            }
        }
    }

    fn shear(&self, response: &BeamResponse, summary: &mut CombinationResult, worst: &mut Worst) {
        let extreme = response.shear_n;
        summary.shear_kn = summary.shear_kn.max(extreme.value.abs() / 1000.0);
        for part in &self.model.parts {
            let stress = ec5::shear_stress(extreme.value.abs() * part.share, part.width_mm, part.depth_mm);
            let strength = self.design(part.timber.fv_k_n_mm2) * self.model.ksys;
            let utilisation = self.keep(&mut worst.shear, stress, strength, extreme.at_m);
            summary.shear = summary.shear.max(utilisation);
        }
    }

    fn bear(&self, response: &BeamResponse, summary: &mut CombinationResult, worst: &mut Worst) {
        let check = self.check;
        let supports = &self.model.beam.supports_m;
        for (i, (&reaction, &at)) in response.reactions_n.iter().zip(supports).enumerate() {
            summary.reaction_kn = summary.reaction_kn.max(reaction / 1000.0);
            summary.least_reaction_kn = summary.least_reaction_kn.min(reaction / 1000.0);
            let clear_mm = |span: Option<&f64>| span.map(|span| (span * 1000.0 - check.bearing_mm).max(0.0));
            let left = i.checked_sub(1).and_then(|before| clear_mm(check.spans_m.get(before)));
            let right = clear_mm(check.spans_m.get(i));
            let overhang_mm =
                |m: f64| if m > 0.0 { m * 1000.0 - check.bearing_mm / 2.0 } else { check.beyond_bearing_mm };
            let (beyond, inner) = match (left, right) {
                (Some(left), Some(right)) => (left / 2.0, right.min(left)),
                (Some(left), None) => (overhang_mm(check.overhang_right_m), left),
                (None, Some(right)) => (overhang_mm(check.overhang_left_m), right),
                (None, None) => (0.0, 0.0),
            };
            let length_mm = ec5::bearing_length(check.bearing_mm, beyond.max(0.0), inner);
            for part in self.model.parts.iter().filter(|part| part.bears) {
                let stress = reaction.max(0.0) / (part.width_mm * length_mm);
                let strength = ec5::KC90 * self.design(part.timber.fc90_k_n_mm2);
                let utilisation = self.keep(&mut worst.bearing, stress, strength, at);
                summary.bearing = summary.bearing.max(utilisation);
            }
        }
    }

    /// What a notch or hole leaves, as the worse of bending and shear, in the joist's own members.
    fn cut(&self, cut: &Cut, response: &BeamResponse) -> CutResult {
        let Some(part) = self.model.parts.first() else {
            return notches::untested(cut);
        };
        let place = notches::Place::of(cut, &self.model.beam.supports_m, &self.model.bays);
        let net = notches::Net::of(cut, part.width_mm, part.depth_mm, &place);
        let moment_nmm = response.moment_nm(cut.at_m).abs() * 1000.0 * part.share;
        let before = response.shear_force_n(cut.at_m).abs();
        let force = before.max(response.shear_force_n((cut.at_m - 1e-6).max(0.0)).abs()) * part.share;
        let bending = moment_nmm / net.modulus_mm3 / (self.design(part.timber.fm_k_n_mm2) * self.model.ksys);
        let shear = 1.5 * force
            / (ec5::KCR * part.width_mm * net.depth_mm)
            / (self.design(part.timber.fv_k_n_mm2) * self.model.ksys * net.kv);
        notches::result(cut, &place, part.depth_mm, bending.max(shear), self.name)
    }
}
