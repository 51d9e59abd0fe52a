"""The example of a room that was measured: the demo with a fault built in, measured with made-up noise.

    python3 oracles/percussion_room_proved.py target/release/stillroom

The door of the demo is given a seal that leaves 2.6 mm open; the program predicts what is heard then; from that the tables of a meter are made,
three positions a side, each with its own error, and written behind the demo's own text. The example does not say what was built in.
"""
import json
import math
import pathlib
import random
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parent.parent
DEMO = ROOT / "examples/percussion-room/room.toml"
OUT = ROOT / "examples/percussion-room-proved/room.toml"
FAULT = '\n[[as_proved.fault]]\nkind = "seal"\nelement = "door"\nopen_mm = 2.6\n'
BANDS = [50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150, 4000, 5000]
# Pink noise in the room, loud as a loudspeaker of the trade makes it; the quiet of an evening outside.
INSIDE = {hz: 96.0 - (6.0 if hz < 63 else 0.0) for hz in BANDS}
QUIET = {hz: 30.0 - 5.5 * math.log2(hz / 125.0) if hz > 125 else 30.0 + 2.0 * math.log2(125.0 / hz) for hz in BANDS}
PLACES = ["garden fence", "bedroom window", "front workshop"]


def main():
    program = sys.argv[1]
    demo = DEMO.read_text()
    with tempfile.TemporaryDirectory() as folder:
        room = pathlib.Path(folder) / "room.toml"
        room.write_text(demo + FAULT)
        plan = json.loads(subprocess.run([program, "plan", str(room), "--json"], check=True, capture_output=True).stdout)
    source = next(one for one in plan["sources"] if one["name"] == "drum kit")["level_in_room_db"]
    draw = random.Random(20261125)
    tables = []

    def table(what, levels, position, receiver=None, when="after"):
        lines = ["[[measurement]]", f'what = "{what}"']
        if receiver:
            lines.append(f'receiver = "{receiver}"')
        lines += [f'when = "{when}"', f'position = "{position}"', 'date = "2027-03-14"']
        row = ", ".join(f'"{hz}" = {levels[hz]:.1f}' for hz in BANDS)
        lines.append("levels = { " + row + " }")
        tables.append("\n".join(lines))

    def noisy(levels):
        common = draw.gauss(0.0, 0.5)
        return {hz: level + common + draw.gauss(0.0, 1.4 if hz < 200 else 0.6) for hz, level in levels.items()}

    for position in ["by the kit", "middle of the room", "under the window"]:
        table("inside", noisy(INSIDE), position)
    for place in PLACES:
        heard = next(one for one in plan["heard"] if one["receiver"] == place and one["source"] == "drum kit")
        level = heard["heard"]["level"]["median_db"]
        for position in ["a step to the left", "where it counts", "a step to the right"]:
            sound = {hz: INSIDE[hz] - (source[str(hz)] - level[str(hz)]) for hz in BANDS}
            sound = noisy(sound)
            both = {hz: 10 * math.log10(10 ** (sound[hz] / 10) + 10 ** (QUIET[hz] / 10)) for hz in BANDS}
            table("receiver", both, position, place)
        table("background", noisy(QUIET), "where it counts", place)
    head = demo.replace(
        "# Percussion room: the rear half of an old brick workshop, where a percussion teacher gives lessons.\n",
        "# Percussion room, built and measured: pink noise inside, third octaves from a meter on a spring evening.\n",
    ).replace('revision = "A"', 'revision = "B"')
    text = head + "\n# ---------------------------------------------------------------- what was measured once it was built\n"
    OUT.write_text(text + "\n".join(one + "\n" for one in tables))


main()
