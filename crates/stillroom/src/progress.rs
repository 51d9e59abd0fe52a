//! What is shown while one waits: on a terminal, after half a second, on standard error.

use std::{
    io::IsTerminal,
    sync::{
        OnceLock,
        mpsc::{RecvTimeoutError, Sender, channel},
    },
    thread::JoinHandle,
    time::Duration,
};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// Shorter waits show nothing: a bar that only flashes says nothing.
const WAIT: Duration = Duration::from_millis(500);
const REDRAWN_EVERY: Duration = Duration::from_millis(120);

static QUIET: OnceLock<bool> = OnceLock::new();

/// Takes note of `--quiet`, once, before anything is said.
pub(crate) fn set_quiet(quiet: bool) {
    let _ = QUIET.set(quiet);
}

/// Whether results and errors alone are wanted.
pub(crate) fn is_quiet() -> bool {
    QUIET.get().copied().unwrap_or(false)
}

/// A wait that is told of while this value lives.
pub(crate) struct Progress {
    bar: ProgressBar,
    /// Closed at the end, which wakes the thread that would show the bar.
    waiting: Option<(Sender<()>, JoinHandle<()>)>,
}

impl Progress {
    /// A wait of which nobody knows the length: the words, and how long it has been.
    pub(crate) fn of(words: &str) -> Self {
        Self::start(words, None, target(), WAIT)
    }

    /// A wait for so many things one after the other; [`Self::part`] tells that one is done.
    pub(crate) fn of_parts(words: &str, parts: usize) -> Self {
        Self::start(words, Some(parts as u64), target(), WAIT)
    }

    /// One more part is done.
    pub(crate) fn part(&self) {
        self.bar.inc(1);
    }

    /// Says something meanwhile, with the bar out of the way.
    pub(crate) fn aside(&self, say: impl FnOnce()) {
        self.bar.suspend(say);
    }

    fn start(words: &str, parts: Option<u64>, target: Option<ProgressDrawTarget>, wait: Duration) -> Self {
        let bar = ProgressBar::with_draw_target(parts, ProgressDrawTarget::hidden()).with_style(style(parts));
        bar.set_message(words.to_owned());
        let waiting = target.map(|target| {
            let (sender, ended) = channel::<()>();
            let shown = bar.clone();
            let thread = std::thread::spawn(move || {
                if matches!(ended.recv_timeout(wait), Err(RecvTimeoutError::Timeout)) {
                    shown.set_draw_target(target);
                    shown.tick();
                    shown.enable_steady_tick(REDRAWN_EVERY);
                }
            });
            (sender, thread)
        });
        Self { bar, waiting }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        if let Some((sender, thread)) = self.waiting.take() {
            drop(sender);
            let _ = thread.join();
        }
        self.bar.finish_and_clear();
    }
}

/// Where it is drawn: nowhere with `--quiet`, into a pipe or a file, or on a terminal that cannot go back in its line.
fn target() -> Option<ProgressDrawTarget> {
    let able = std::io::stderr().is_terminal() && std::env::var_os("TERM").is_none_or(|term| term != "dumb");
    (able && !is_quiet()).then(ProgressDrawTarget::stderr)
}

/// No colours, so that `NO_COLOR` has nothing to forbid.
fn style(parts: Option<u64>) -> ProgressStyle {
    let template = if parts.is_some() {
        "{msg} [{wide_bar}] {pos} of {len}, {elapsed}"
    } else {
        "{spinner} {msg}, {elapsed}"
    };
    ProgressStyle::with_template(template)
        .unwrap_or_else(|_| ProgressStyle::default_bar())
        .progress_chars("=> ")
        .tick_chars("|/-\\ ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use indicatif::InMemoryTerm;

    fn on(terminal: &InMemoryTerm) -> ProgressDrawTarget {
        ProgressDrawTarget::term_like_with_hz(Box::new(terminal.clone()), 255)
    }

    /// Waits until the terminal shows some words; they come from another thread.
    fn shows(terminal: &InMemoryTerm, words: &str) -> bool {
        (0..1000).any(|_| {
            std::thread::sleep(Duration::from_millis(5));
            terminal.contents().contains(words)
        })
    }

    #[test]
    fn a_long_wait_is_told_with_its_parts_and_leaves_no_trace() {
        let terminal = InMemoryTerm::new(10, 80);
        let progress = Progress::start("Reading recordings", Some(3), Some(on(&terminal)), Duration::ZERO);
        progress.part();
        assert!(shows(&terminal, "Reading recordings ["), "{}", terminal.contents());
        assert!(shows(&terminal, "1 of 3"), "{}", terminal.contents());
        progress.part();
        assert!(shows(&terminal, "2 of 3"), "{}", terminal.contents());
        drop(progress);
        assert_eq!(terminal.contents(), "");
    }

    #[test]
    fn a_short_wait_is_not_told() {
        let terminal = InMemoryTerm::new(10, 80);
        let progress = Progress::start("Planning", None, Some(on(&terminal)), Duration::from_hours(1));
        progress.part();
        assert_eq!(terminal.contents(), "");
        drop(progress);
        assert_eq!(terminal.contents(), "");
    }

    #[test]
    fn a_wait_of_unknown_length_says_what_it_is_for() {
        let terminal = InMemoryTerm::new(10, 80);
        let progress = Progress::start("Planning the room", None, Some(on(&terminal)), Duration::ZERO);
        assert!(shows(&terminal, "Planning the room, "), "{}", terminal.contents());
        drop(progress);
    }
}
