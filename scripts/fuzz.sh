#!/usr/bin/env bash
# Fuzzes every format, a while each: scripts/fuzz.sh SECONDS [FORMAT ...]. Needs cargo-fuzz (`cargo install cargo-fuzz`) and a C++ compiler.
# What a run found worth keeping stays under fuzz/corpus: commit a small part of it. What broke the program stays under fuzz/artifacts.
set -euo pipefail
cd "$(dirname "$0")/.."
seconds="${1:?how many seconds for each format}"
shift
formats=("$@")
if [ ${#formats[@]} -eq 0 ]; then formats=(room planned element readings edit recording); fi
# The coverage the fuzzer asks for is an unstable flag: no other toolchain is needed for it.
export RUSTC_BOOTSTRAP=1
seeds="$(mktemp -d)"
trap 'rm -rf "$seeds"' EXIT
mkdir -p "$seeds"/{room,planned,element,readings,edit,recording}
cp crates/plan/src/starter.toml "$seeds/room/"
for room in examples/*/room.toml; do
  name="$(basename "$(dirname "$room")").toml"
  cp "$room" "$seeds/room/$name"
  cp "$room" "$seeds/planned/$name"
done
cp examples/elements/*.toml "$seeds/element/"
for format in "${formats[@]}"; do
  printf '\n== %s, %s s\n' "$format" "$seconds"
  mkdir -p "fuzz/corpus/$format"
  cargo fuzz run --sanitizer none "$format" "fuzz/corpus/$format" "$seeds/$format" -- \
    -max_total_time="$seconds" -timeout=120 -rss_limit_mb=3000 -max_len=60000 -print_final_stats=1
done
