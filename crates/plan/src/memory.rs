//! What was worked out before, kept for the next plan of the same room.
//!
//! Whole steps that depend on nothing but their inputs (a ceiling set out, an element predicted, a level at a receiver)
//! are kept under the full text of those inputs. A plan that finds a step here is the same bit for bit as one that works it out.

use std::{
    fmt::{Debug, Write as _},
    mem::discriminant,
    ops::Deref,
    sync::{
        Mutex, PoisonError,
        atomic::{AtomicBool, Ordering},
    },
};

use fabric::{
    duct::FoundBox,
    timber::{JoistCheck, JoistResult, check_joist},
};
use sound::{
    Spread,
    composite::Part,
    element::Element,
    outdoors::WaysOutdoors,
    predict::{Prediction, predict_with},
    room_error::RoomError,
    share::Heard,
    spread::spread,
};

use survey::Survey;

use crate::outcome::{CeilingOutcome, proof::ProofOutcome};

/// Ceilings kept: going back and forth between a few variants costs nothing.
const CEILINGS: usize = 16;
/// Elements and leaks kept; a room has some twenty.
const ELEMENTS: usize = 256;
/// Receivers times sources kept.
const LEVELS: usize = 128;
/// Joists kept.
const JOISTS: usize = 256;
/// Boxes of air paths kept.
const BOXES: usize = 64;
/// Shapes of the plan kept.
const SHAPES: usize = 16;
/// Receivers outdoors kept, each with all its sources.
const OUTDOORS: usize = 64;
/// Proofs kept.
const PROOFS: usize = 16;
/// Surveys kept.
const SURVEYS: usize = 64;

/// What is heard at a receiver outdoors: of each source, held against each criterion.
type HeardOutdoors = Result<Vec<Vec<Heard>>, RoomError>;

/// Results of whole steps, each with the text of its inputs, the newest last.
///
/// One memory may serve several threads and several rooms; it holds a bounded number of results and forgets the oldest.
#[derive(Debug, Default)]
pub struct Memory {
    remembers: bool,
    pub(crate) ceilings: Shelf<CeilingOutcome>,
    predictions: Shelf<Result<Prediction, String>>,
    spreads: Shelf<(Element, Spread, Prediction)>,
    joists: Shelf<Result<JoistResult, String>>,
    pub(crate) boxes: Shelf<Option<FoundBox>>,
    shapes: Shelf<Result<Vec<f64>, String>>,
    pub(crate) leaks: Shelf<Result<Part, String>>,
    /// Each with the key of who hears what, as which parts let it through.
    pub(crate) levels: Shelf<(Key, Result<Heard, RoomError>)>,
    pub(crate) ways: Shelf<Result<WaysOutdoors, RoomError>>,
    /// As the levels.
    pub(crate) outdoors: Shelf<(Key, HeardOutdoors)>,
    /// Surveys for which everything was worked out.
    surveys: Shelf<()>,
    /// Each with the key of what was measured alone.
    pub(crate) proofs: Shelf<(Key, Option<ProofOutcome>)>,
}

impl Memory {
    /// A memory that keeps what it is given.
    pub fn new() -> Self {
        Self {
            remembers: true,
            ceilings: Shelf::holding(CEILINGS),
            predictions: Shelf::holding(ELEMENTS),
            spreads: Shelf::holding(ELEMENTS),
            joists: Shelf::holding(JOISTS),
            boxes: Shelf::holding(BOXES),
            shapes: Shelf::holding(SHAPES),
            leaks: Shelf::holding(ELEMENTS),
            levels: Shelf::holding(LEVELS),
            ways: Shelf::holding(OUTDOORS),
            outdoors: Shelf::holding(OUTDOORS),
            surveys: Shelf::holding(SURVEYS),
            proofs: Shelf::holding(PROOFS),
        }
    }

    /// A memory that keeps nothing: every step is worked out.
    pub(crate) fn forgetful() -> Self {
        Self::default()
    }

    /// The result kept under these inputs, or the one made now and kept.
    pub(crate) fn recall<T: Clone>(
        &self,
        shelf: &Shelf<T>,
        inputs: &dyn Debug,
        make: impl FnOnce() -> T,
    ) -> T {
        if !self.remembers {
            return make();
        }
        let key = Key::of(inputs);
        if let Some(known) = shelf.get(&key) {
            return known;
        }
        let made = make();
        shelf.put(key, made.clone());
        made
    }

    /// Whether results are kept.
    pub(crate) fn remembers(&self) -> bool {
        self.remembers
    }
}

/// A memory as one plan uses it.
#[derive(Debug)]
pub(crate) struct Recalling<'a> {
    memory: &'a Memory,
    /// Whether the sampled spread of a like element may stand in for one that is not known yet, and an earlier judgement for one still
    /// to be made.
    may_stand_in: bool,
    /// Whether a spread did.
    range_stood_in: AtomicBool,
    /// Whether a judgement did.
    proof_stood_in: AtomicBool,
    /// Whether the modes over an earlier plan of the room did.
    modes_stood_in: AtomicBool,
    /// Whether what is heard in the room as it was surveyed before did.
    heard_stood_in: AtomicBool,
    /// Whether nothing was worked out yet for the survey that is planned, so that all that is heard may stand in.
    resurveyed: AtomicBool,
}

impl Deref for Recalling<'_> {
    type Target = Memory;

    fn deref(&self) -> &Memory {
        self.memory
    }
}

impl<'a> Recalling<'a> {
    /// For a plan that is all its own.
    pub(crate) fn exact(memory: &'a Memory) -> Self {
        Self {
            memory,
            may_stand_in: false,
            range_stood_in: AtomicBool::new(false),
            proof_stood_in: AtomicBool::new(false),
            modes_stood_in: AtomicBool::new(false),
            heard_stood_in: AtomicBool::new(false),
            resurveyed: AtomicBool::new(false),
        }
    }

    /// For a plan in which the ranges of like elements, modes, and what was judged before may stand in.
    pub(crate) fn quick(memory: &'a Memory) -> Self {
        Self { may_stand_in: true, ..Self::exact(memory) }
    }

    /// Whether a range of this plan is that of a like element.
    pub(crate) fn ranges_stood_in(&self) -> bool {
        self.range_stood_in.load(Ordering::Relaxed)
    }

    /// Whether what was measured is still as an earlier plan judged it.
    pub(crate) fn proof_stood_in(&self) -> bool {
        self.proof_stood_in.load(Ordering::Relaxed)
    }

    /// Whether the modes are still those over an earlier plan of the room.
    pub(crate) fn modes_stood_in(&self) -> bool {
        self.modes_stood_in.load(Ordering::Relaxed)
    }

    /// Whether what is heard is still that of the room as it was surveyed before.
    pub(crate) fn heard_stood_in(&self) -> bool {
        self.heard_stood_in.load(Ordering::Relaxed)
    }

    /// Takes note of the survey a plan begins with.
    pub(crate) fn begin(&self, survey: &Survey) {
        if self.may_stand_in {
            self.resurveyed.store(self.surveys.get(&Key::of(survey)).is_none(), Ordering::Relaxed);
        }
    }

    /// Takes note that all of a plan has been worked out for its survey.
    pub(crate) fn end(&self, survey: &Survey) {
        if self.remembers && !self.may_stand_in {
            self.surveys.put(Key::of(survey), ());
        }
    }

    /// What somebody hears; where the room was surveyed anew and it may wait, what the same one heard through the same parts in the room as it
    /// was. `whom` says who hears what through which parts, by their names.
    pub(crate) fn heard<T: Clone>(
        &self,
        shelf: &Shelf<(Key, T)>,
        whom: &dyn Debug,
        inputs: &dyn Debug,
        make: impl FnOnce() -> T,
    ) -> T {
        if !self.remembers {
            return make();
        }
        let key = Key::of(inputs);
        if let Some((_, known)) = shelf.get(&key) {
            return known;
        }
        let whom = Key::of(whom);
        if self.resurveyed.load(Ordering::Relaxed)
            && let Some((_, earlier)) = shelf.newest(|(known, _)| *known == whom)
        {
            self.heard_stood_in.store(true, Ordering::Relaxed);
            return earlier;
        }
        let made = make();
        shelf.put(key, (whom, made.clone()));
        made
    }

    /// Eigenvalues of a plan with these corners; where they may wait, those of the newest plan there was.
    pub(crate) fn shape(
        &self,
        corners_m: &[(f64, f64)],
        make: impl FnOnce() -> Result<Vec<f64>, String>,
    ) -> Result<Vec<f64>, String> {
        if self.may_stand_in
            && self.shapes.get(&Key::of(&corners_m)).is_none()
            && let Some(like) = self.shapes.newest(Result::is_ok)
        {
            self.modes_stood_in.store(true, Ordering::Relaxed);
            return like;
        }
        self.recall(&self.shapes, &corners_m, make)
    }

    /// What was measured, judged by this plan; where that may wait, as the newest plan of the same measurements judged it, or not at all.
    pub(crate) fn judged(
        &self,
        measured: &dyn Debug,
        all: &dyn Debug,
        judge: impl FnOnce() -> Option<ProofOutcome>,
        not_yet: impl FnOnce() -> ProofOutcome,
    ) -> Option<ProofOutcome> {
        if !self.remembers {
            return judge();
        }
        let key = Key::of(all);
        if let Some((_, known)) = self.proofs.get(&key) {
            return known;
        }
        let measured = Key::of(measured);
        if self.may_stand_in {
            self.proof_stood_in.store(true, Ordering::Relaxed);
            let not_yet = not_yet();
            let earlier =
                self.proofs.newest(|(known, _)| *known == measured).and_then(|(_, earlier)| earlier);
            return Some(match earlier {
                // The faults that are kept are known without judging.
                Some(earlier) => ProofOutcome { as_proved: not_yet.as_proved, ..earlier },
                None => not_yet,
            });
        }
        let made = judge();
        self.proofs.put(key, (measured, made.clone()));
        made
    }

    /// An element predicted. Where its range is not known yet and may wait, only the best estimate is its own; where the room was surveyed anew
    /// and that may wait, it is that of the element as large as it was.
    pub(crate) fn predicted(&self, element: &Element) -> Result<Prediction, String> {
        let sentence = |error: sound::ElementError| error.to_string();
        if !self.remembers {
            return sound::predict(element).map_err(sentence);
        }
        let key = Key::of(element);
        if let Some(known) = self.predictions.get(&key) {
            return known;
        }
        if self.resurveyed.load(Ordering::Relaxed)
            && let Some((.., like)) = self.spreads.newest(|(known, ..)| resized(known, element))
        {
            self.range_stood_in.store(true, Ordering::Relaxed);
            return Ok(like);
        }
        if self.may_stand_in
            && let Some((_, like, _)) = self.spreads.newest(|(known, ..)| alike(known, element))
        {
            self.range_stood_in.store(true, Ordering::Relaxed);
            return predict_with(element, &like).map_err(sentence);
        }
        let spread = spread(element).map_err(sentence);
        let made = spread.and_then(|spread| {
            let made = predict_with(element, &spread).map_err(sentence)?;
            self.spreads.put(key.clone(), (element.clone(), spread, made.clone()));
            Ok(made)
        });
        self.predictions.put(key, made.clone());
        made
    }

    /// A joist checked.
    pub(crate) fn checked(&self, check: &JoistCheck) -> Result<JoistResult, String> {
        self.recall(&self.joists, check, || check_joist(check).map_err(|error| error.to_string()))
    }
}

/// Whether the spread of one element can stand in for that of another: both are the same part of the room, put together of as many
/// parts, and both measured or both not.
fn alike(one: &Element, other: &Element) -> bool {
    one.name == other.name
        && one.measured.is_some() == other.measured.is_some()
        && one.parts.len() == other.parts.len()
        && one.parts.iter().zip(&other.parts).all(|(a, b)| discriminant(a) == discriminant(b))
        && one.bridges.len() == other.bridges.len()
}

/// Whether one element is the other in another size: built of the same, with as many bridges and leaks.
fn resized(one: &Element, other: &Element) -> bool {
    one.name == other.name
        && one.parts == other.parts
        && one.measured == other.measured
        && one.mounting == other.mounting
        && one.bridges.len() == other.bridges.len()
        && one.leaks.len() == other.leaks.len()
}

/// Every input of a step written out; numbers in full, so that two keys are equal only where every bit is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Key(String);

impl Key {
    pub(crate) fn of(inputs: &dyn Debug) -> Self {
        let mut text = String::new();
        // Writing into a text cannot fail.
        let _ = write!(text, "{inputs:?}");
        Self(text)
    }
}

/// Results of one kind of step.
#[derive(Debug)]
pub(crate) struct Shelf<T> {
    holds: usize,
    results: Mutex<Vec<(Key, T)>>,
}

impl<T> Default for Shelf<T> {
    fn default() -> Self {
        Self { holds: 0, results: Mutex::new(Vec::new()) }
    }
}

impl<T: Clone> Shelf<T> {
    fn holding(holds: usize) -> Self {
        Self { holds, results: Mutex::new(Vec::new()) }
    }

    /// What is kept under a key.
    pub(crate) fn get(&self, key: &Key) -> Option<T> {
        let mut results = self.results.lock().unwrap_or_else(PoisonError::into_inner);
        let at = results.iter().rposition(|(known, _)| known == key)?;
        // The one used last is forgotten last.
        let used = results.remove(at);
        let result = used.1.clone();
        results.push(used);
        Some(result)
    }

    /// Keeps a result; the one unused for longest goes when there are too many.
    pub(crate) fn put(&self, key: Key, result: T) {
        let mut results = self.results.lock().unwrap_or_else(PoisonError::into_inner);
        if results.iter().any(|(known, _)| *known == key) {
            return;
        }
        results.push((key, result));
        if results.len() > self.holds {
            results.remove(0);
        }
    }

    /// The newest result that pleases.
    pub(crate) fn newest(&self, pleases: impl Fn(&T) -> bool) -> Option<T> {
        let results = self.results.lock().unwrap_or_else(PoisonError::into_inner);
        results.iter().rev().map(|(_, result)| result).find(|result| pleases(result)).cloned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_one_used_last_is_forgotten_last() {
        let shelf = Shelf::holding(2);
        let key = |number: f64| Key::of(&number);
        shelf.put(key(1.0), "one");
        shelf.put(key(2.0), "two");
        assert_eq!(shelf.get(&key(1.0)), Some("one"));
        shelf.put(key(3.0), "three");
        assert_eq!(shelf.get(&key(2.0)), None);
        assert_eq!(shelf.get(&key(1.0)), Some("one"));
        assert_eq!(shelf.newest(|name| name.starts_with('t')), Some("three"));
    }

    #[test]
    fn a_key_tells_every_bit() {
        assert_ne!(Key::of(&0.0), Key::of(&-0.0));
        assert_ne!(Key::of(&0.1), Key::of(&(0.1 + f64::EPSILON / 8.0)));
    }
}
