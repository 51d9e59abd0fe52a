#!/usr/bin/env bash
# Plans the example rooms and copies the drawings the chapters show into src/pictures. Run it before `mdbook build`.
# STILLROOM names a program already built; without it cargo builds one.
set -euo pipefail
cd "$(dirname "$0")"
repository="$(cd ../.. && pwd)"
stillroom() {
  if [ -n "${STILLROOM:-}" ]; then
    "$STILLROOM" "$@"
  else
    cargo run --release --quiet --manifest-path "$repository/Cargo.toml" -- "$@"
  fi
}

rooms="$(mktemp -d)"
trap 'rm -rf "$rooms"' EXIT
for room in percussion-room voice-booth garage; do
  mkdir -p "$rooms/$room"
  cp "$repository/examples/$room/room.toml" "$rooms/$room/room.toml"
done
# The same room with a lining of one wall, and with a bar that was fixed 27 mm off its marks.
mkdir -p "$rooms/lined" "$rooms/mended"
{
  cat "$repository/examples/percussion-room/room.toml"
  printf '\n[[lining]]\nwall = "A-B"\nkind = "studs"\n\n[[lining.layer]]\nmaterial = "dense-plasterboard-12.5"\nsheets = 2\n'
} >"$rooms/lined/room.toml"
{
  cat "$repository/examples/percussion-room/room.toml"
  printf '\n[[as_built.bar]]\nbar = 6\nwall = "B-C"\nat_mm = 2092\n\n[[as_built.bar]]\nbar = 6\nwall = "E-A"\nat_mm = 2089\n'
} >"$rooms/mended/room.toml"

mkdir -p src/pictures
planned=""
while read -r room drawing; do
  if [ "$room" != "$planned" ]; then
    stillroom plan "$rooms/$room/room.toml" --out "$rooms/$room/sheets" >/dev/null
    planned="$room"
  fi
  cp "$rooms/$room/sheets/drawings/$drawing.svg" "src/pictures/$room-$drawing.svg"
done <<'LIST'
percussion-room survey
percussion-room heights
percussion-room section-roof
percussion-room sections-walls
percussion-room elements
percussion-room heard-1
percussion-room heard-3
percussion-room bars-and-clips
percussion-room boards-layer-1
percussion-room boards-layer-2
percussion-room cut-layer-2
percussion-room damp-profile
percussion-room damp-and-air
lined lining-a-b-studs
lined lining-a-b-layer-1
mended bars-and-clips
garage bars-and-clips
garage damp-wall-1
LIST
echo "Drawings are in docs/guide/src/pictures."
