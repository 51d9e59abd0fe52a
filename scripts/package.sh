#!/usr/bin/env bash
# A Debian package: the release program with its manual pages and completions. Needs cargo-deb (cargo install cargo-deb).
# Where the toolchain has the target x86_64-unknown-linux-musl, `scripts/package.sh --static` builds a program for any Linux first.
set -euo pipefail
cd "$(dirname "$0")/.."
target="${CARGO_TARGET_DIR:-target}"
if [ "${1:-}" = "--static" ]; then
  rustup target list --installed | grep -qx x86_64-unknown-linux-musl || {
    echo "This toolchain has no target x86_64-unknown-linux-musl: rustup target add x86_64-unknown-linux-musl" >&2
    exit 1
  }
  cargo build --profile dist --target x86_64-unknown-linux-musl -p stillroom
fi
cargo build --release -p stillroom
program="$target/release/stillroom"
pages="$target/package"
rm -rf "$pages"
mkdir -p "$pages"
"$program" --quiet manual "$pages/man"
"$program" completions bash >"$pages/stillroom.bash"
"$program" completions zsh >"$pages/_stillroom"
"$program" completions fish >"$pages/stillroom.fish"
if ! command -v cargo-deb >/dev/null; then
  echo "Pages and completions are in $pages. For the package itself: cargo install cargo-deb" >&2
  exit 1
fi
cargo deb --no-build --no-strip -p stillroom
