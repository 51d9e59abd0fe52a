//! What was worked out before, kept for the next plan of the same room.
//!
//! Whole steps that depend on nothing but their inputs (a ceiling set out, an element predicted, a level at a receiver)
//! are kept under the full text of those inputs. A plan that finds a step here is the same bit for bit as one that works it out.

use std::{
    fmt::{Debug, Write as _},
    sync::{Mutex, PoisonError},
};

use sound::{composite::Part, predict::Prediction, room_error::RoomError, share::Heard};

use crate::outcome::{CeilingOutcome, proof::ProofOutcome};

/// Ceilings kept: going back and forth between a few variants costs nothing.
const CEILINGS: usize = 16;
/// Elements and leaks kept; a room has some twenty.
const ELEMENTS: usize = 256;
/// Receivers times sources kept.
const LEVELS: usize = 128;
/// Proofs kept.
const PROOFS: usize = 16;

/// Results of whole steps, each with the text of its inputs, the newest last.
///
/// One memory may serve several threads and several rooms; it holds a bounded number of results and forgets the oldest.
#[derive(Debug, Default)]
pub struct Memory {
    remembers: bool,
    pub(crate) ceilings: Shelf<CeilingOutcome>,
    pub(crate) predictions: Shelf<Result<Prediction, String>>,
    pub(crate) leaks: Shelf<Result<Part, String>>,
    pub(crate) levels: Shelf<Result<Heard, RoomError>>,
    pub(crate) proofs: Shelf<Option<ProofOutcome>>,
}

impl Memory {
    /// A memory that keeps what it is given.
    pub fn new() -> Self {
        Self {
            remembers: true,
            ceilings: Shelf::holding(CEILINGS),
            predictions: Shelf::holding(ELEMENTS),
            leaks: Shelf::holding(ELEMENTS),
            levels: Shelf::holding(LEVELS),
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
