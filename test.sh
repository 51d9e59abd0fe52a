#!/usr/bin/env bash
# All checks of the project, on a fresh machine with a Rust toolchain: formatting, lints, every test,
# documentation, and a release build that runs the demo. `.ci/run` calls this same script.
set -euo pipefail
cd "$(dirname "$0")"
export CARGO_TERM_COLOR="${CARGO_TERM_COLOR:-auto}" INSTA_UPDATE=no
# A run from nothing to the end needs no incremental state and no debug information: a third of the disk.
export CARGO_INCREMENTAL="${CARGO_INCREMENTAL:-0}" CARGO_PROFILE_DEV_DEBUG="${CARGO_PROFILE_DEV_DEBUG:-none}"

if ! command -v cargo >/dev/null; then
  echo "A Rust toolchain is needed: install rustup from your system's packages, then run this again." >&2
  exit 1
fi
rustup component add rustfmt clippy >/dev/null 2>&1 || true
if ! command -v cc >/dev/null && command -v apt-get >/dev/null; then
  apt-get update -qq && apt-get install -y -qq gcc
fi

if ! { command -v chromium && command -v chromedriver; } >/dev/null && command -v apt-get >/dev/null; then
  { apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq chromium chromium-driver; } >/dev/null ||
    echo "No browser could be installed: its tests will say that they are skipped." >&2
fi

step() { printf '\n== %s\n' "$1"; }

step "formatting"
cargo fmt --all --check
step "lints"
cargo clippy --workspace --all-targets --quiet -- -D warnings
step "tests"
cargo test --workspace --quiet
step "documentation"
RUSTDOCFLAGS="-D warnings" cargo doc --workspace --no-deps --quiet
if command -v cargo-deny >/dev/null; then
  step "licences and sources"
  cargo deny --log-level error check licenses bans sources
fi
step "the demo, built for release"
out="$(mktemp -d)"
trap 'rm -rf "$out"' EXIT
cargo run --release --quiet -- demo --into "$out/percussion-room" >"$out/summary.txt"
test -s "$out/percussion-room/sheets/dossier.pdf"
cargo run --release --quiet -- plan "$out/percussion-room/room.toml" --json >"$out/one.json"
RAYON_NUM_THREADS=1 cargo run --release --quiet -- plan "$out/percussion-room/room.toml" --json >"$out/two.json"
cmp "$out/one.json" "$out/two.json"
echo "demo planned; the plan is the same with one thread and with several"
printf '\nAll checks passed.\n'
