//! The code that lets one phone in: good once, for a short while, and not to be guessed at.

use std::{
    sync::{Mutex, MutexGuard, PoisonError},
    time::{Duration, Instant},
};

use super::{guard::random_word, words::lan as words};

/// How long a code is good.
const GOOD_FOR: Duration = Duration::from_mins(10);
/// Wrong codes before nobody is let in any more.
const MOST_WRONG: u32 = 5;
/// After a wrong code nobody is listened to for so long.
const PAUSE: Duration = Duration::from_secs(2);
/// Phones let in at a time; the first goes when one more comes.
const MOST_PHONES: usize = 4;

/// Who is let in from the network, and how.
#[derive(Debug)]
pub(crate) struct OneTime {
    held: Mutex<Held>,
}

#[derive(Debug)]
struct Held {
    code: Option<(String, Instant)>,
    wrong: u32,
    last_wrong: Option<Instant>,
    phones: Vec<String>,
}

impl OneTime {
    /// Nobody is let in until a code is made.
    pub(crate) fn new() -> Self {
        Self { held: Mutex::new(Held { code: None, wrong: 0, last_wrong: None, phones: Vec::new() }) }
    }

    fn lock(&self) -> MutexGuard<'_, Held> {
        self.held.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// A new code in place of the old one; also ends a lock-out. Only this machine's own page may ask for it.
    ///
    /// # Errors
    /// Where the machine gives no random numbers.
    pub(crate) fn new_code(&self, now: Instant) -> anyhow::Result<String> {
        let code = random_word()?;
        let mut held = self.lock();
        held.code = Some((code.clone(), now + GOOD_FOR));
        (held.wrong, held.last_wrong) = (0, None);
        Ok(code)
    }

    /// Whether there is a code that is still good.
    pub(crate) fn waits(&self, now: Instant) -> bool {
        self.lock().code.as_ref().is_some_and(|(_, until)| now < *until)
    }

    /// Takes a code: right, it is used up, and the word of the phone's session comes back.
    ///
    /// # Errors
    /// The sentence to answer with.
    pub(crate) fn enter(&self, typed: &str, now: Instant) -> Result<String, &'static str> {
        let mut held = self.lock();
        if held.wrong >= MOST_WRONG {
            return Err(words::LOCKED);
        }
        // Right or wrong, nothing is looked at during the pause: guessing cannot go faster than this.
        if held.last_wrong.is_some_and(|last| now < last + PAUSE) {
            return Err(words::WAIT);
        }
        let good =
            held.code.as_ref().filter(|(_, until)| now < *until).is_some_and(|(code, _)| same(typed, code));
        if !good {
            held.wrong += 1;
            held.last_wrong = Some(now);
            if held.wrong >= MOST_WRONG {
                held.code = None;
                return Err(words::LOCKED);
            }
            return Err(words::WRONG_CODE);
        }
        let session = random_word().map_err(|_| words::WRONG_CODE)?;
        (held.code, held.wrong) = (None, 0);
        if held.phones.len() >= MOST_PHONES {
            held.phones.remove(0);
        }
        held.phones.push(session.clone());
        Ok(session)
    }

    /// Whether a session's word is that of a phone that was let in.
    pub(crate) fn knows(&self, session: &str) -> bool {
        self.lock().phones.iter().fold(false, |known, one| known | same(session, one))
    }
}

/// Compares without telling by the time it takes how much was right.
pub(crate) fn same(one: &str, other: &str) -> bool {
    one.len() == other.len() && one.bytes().zip(other.bytes()).fold(0, |all, (a, b)| all | (a ^ b)) == 0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_good_once_and_for_a_while() {
        let door = OneTime::new();
        let begin = Instant::now();
        assert!(door.enter("", begin).is_err() && door.enter("x", begin + PAUSE).is_err());
        let code = door.new_code(begin).unwrap();
        assert_eq!(code.len(), 48);
        let session = door.enter(&code, begin).unwrap();
        assert!(door.knows(&session) && !door.knows(&code) && !door.knows(""));
        assert_eq!(door.enter(&code, begin), Err(words::WRONG_CODE));
        let late = door.new_code(begin).unwrap();
        assert_ne!(late, code);
        assert_eq!(door.enter(&late, begin + GOOD_FOR), Err(words::WRONG_CODE));
        assert!(door.knows(&session), "who is in stays in");
    }

    #[test]
    fn guessing_is_slow_and_soon_ends() {
        let door = OneTime::new();
        let mut now = Instant::now();
        let code = door.new_code(now).unwrap();
        assert_eq!(door.enter("0", now), Err(words::WRONG_CODE));
        // In the pause even the right code is not looked at, and a thousand guesses count as none.
        for _ in 0..1000 {
            assert_eq!(door.enter("1", now), Err(words::WAIT));
        }
        assert_eq!(door.enter(&code, now), Err(words::WAIT));
        for _ in 0..3 {
            now += PAUSE;
            assert_eq!(door.enter("2", now), Err(words::WRONG_CODE));
        }
        now += PAUSE;
        assert_eq!(door.enter("3", now), Err(words::LOCKED));
        now += PAUSE * 1000;
        assert_eq!(door.enter(&code, now), Err(words::LOCKED), "the code went with the lock-out");
        let fresh = door.new_code(now).unwrap();
        assert!(door.enter(&fresh, now).is_ok());
    }

    #[test]
    fn the_first_phone_goes_when_a_fifth_comes() {
        let door = OneTime::new();
        let now = Instant::now();
        let sessions: Vec<String> = (0..=MOST_PHONES)
            .map(|_| {
                let code = door.new_code(now).unwrap();
                door.enter(&code, now).unwrap()
            })
            .collect();
        assert!(!door.knows(&sessions[0]) && door.knows(&sessions[1]) && door.knows(&sessions[MOST_PHONES]));
    }
}
