#!/usr/bin/env bash
# Writes the public names of the crates that are used on their own, one file each under docs/api: what changes there is what a new version must
# be called for. Needs cargo-public-api (`cargo install cargo-public-api`) and a nightly toolchain for the documentation as data.
set -euo pipefail
cd "$(dirname "$0")/.."
for crate in bands sound survey cutting setout fabric proof; do
  cargo +nightly public-api --package "$crate" --omit blanket-impls,auto-trait-impls,auto-derived-impls --color never >"docs/api/$crate.txt"
  printf '%s: %s names\n' "$crate" "$(wc -l <"docs/api/$crate.txt")"
done
