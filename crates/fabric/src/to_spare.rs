//! How much more ceiling a joist can take, and which check stops it.

use crate::{
    FabricError, FloorVibration, VibrationResult,
    joist::{Evaluation, Model},
    loads,
    timber::{Governing, JoistCheck, JoistQuestion, MassToSpare},
    vibration::{self, FloorJoist},
};

pub(crate) fn vibrate(
    check: &JoistCheck,
    model: &Model,
    floor: &FloorVibration,
    extra_kn_m2: f64,
) -> VibrationResult {
    let permanent: f64 = check.permanent.iter().map(|load| load.load_kn_m2).sum::<f64>() + extra_kn_m2;
    let span_m = check.spans_m.iter().fold(0.0_f64, |a, &b| a.max(b));
    // What hangs on clips moves with the floor at its first mode, which lies below that of the clips.
    let length_m = check.spans_m.iter().sum::<f64>() + check.overhang_left_m + check.overhang_right_m;
    let hung_kn_m2 = check.points.iter().map(|load| load.load_kn).sum::<f64>() / length_m / check.tributary_m;
    let joist = FloorJoist {
        span_m,
        spacing_m: check.tributary_m,
        ei_nm2: model.ei_nm2(),
        mass_kg_m2: loads::mass_kg_m2_of_load(permanent + hung_kn_m2)
            + model.self_weight_n_m / quantities::air::GRAVITY_M_S2 / check.tributary_m,
    };
    vibration::judge(floor, &joist)
}

pub(crate) fn worst(evaluation: &Evaluation, vibration: Option<&VibrationResult>) -> Governing {
    let mut answers = evaluation.answers();
    if let Some(vibration) = vibration {
        answers.push((JoistQuestion::Vibration, "own mass", vibration.utilisation));
    }
    let first = Governing { question: JoistQuestion::Bending, under: String::new(), utilisation: -1.0 };
    answers.into_iter().fold(first, |worst, (question, under, utilisation)| {
        if utilisation > worst.utilisation {
            Governing { question, under: under.to_owned(), utilisation }
        } else {
            worst
        }
    })
}

/// Most that is looked for, kN/m²: two tonnes on a square metre is no ceiling.
const MOST_EXTRA_KN_M2: f64 = 20.0;
/// A hair below 1, so that the mass printed, put back in as a load, still holds.
const JUST_BELOW: f64 = 1.0 - 1e-9;
/// How close the utilisation must come to 1.
const CLOSE_ENOUGH: f64 = 1e-6;
/// Utilisations grow nearly straight with the load, so a secant needs three to five steps; this many is the stop.
const MOST_STEPS: usize = 24;

/// Adds mass until some check reaches 1. Utilisation never falls as a spread permanent load grows on one span, and it is convex
/// in it, so a bracketed secant from both sides finds the crossing.
pub(crate) fn mass_to_spare(
    check: &JoistCheck,
    model: &Model,
    now: &Governing,
) -> Result<MassToSpare, FabricError> {
    let spare = |load_kn_m2: f64, at: &Governing| MassToSpare {
        mass_kg_m2: loads::mass_kg_m2_of_load(load_kn_m2),
        stopped_by: at.question,
        under: at.under.clone(),
    };
    if now.utilisation >= JUST_BELOW {
        return Ok(spare(0.0, now));
    }
    let at = |extra_kn_m2: f64| -> Result<Governing, FabricError> {
        let evaluation = model.evaluate(check, extra_kn_m2)?;
        let vibration = check.floor.map(|floor| vibrate(check, model, &floor, extra_kn_m2));
        Ok(worst(&evaluation, vibration.as_ref()))
    };
    let (mut low, mut low_at) = (0.0, now.clone());
    let mut high = MOST_EXTRA_KN_M2;
    let mut high_u = match at(high)? {
        most if most.utilisation <= 1.0 => return Ok(spare(high, &most)),
        most => most.utilisation,
    };
    for step in 0..MOST_STEPS {
        let secant = low + (high - low) * (JUST_BELOW - low_at.utilisation) / (high_u - low_at.utilisation);
        // Every third step halves, in case one end sticks.
        let middle = if step % 3 == 2 { 0.5 * (low + high) } else { secant };
        let found = at(middle)?;
        if found.utilisation <= JUST_BELOW {
            (low, low_at) = (middle, found);
            if 1.0 - low_at.utilisation < CLOSE_ENOUGH {
                break;
            }
        } else {
            (high, high_u) = (middle, found.utilisation);
        }
    }
    Ok(spare(low, &low_at))
}
