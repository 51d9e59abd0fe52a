//! Which program this is: its version, the commit it was built from and the edition of the data in it.

use std::sync::LazyLock;

/// The commit the program was built from; `unknown` where it was built outside a repository.
pub(crate) const COMMIT: &str = env!("STILLROOM_COMMIT");

static LONG: LazyLock<String> = LazyLock::new(|| {
    format!("{}\ncommit {COMMIT}\ndata edition {}", env!("CARGO_PKG_VERSION"), catalogue::edition())
});

/// What `--version` prints after the name.
pub(crate) fn long() -> &'static str {
    &LONG
}
