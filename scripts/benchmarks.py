#!/usr/bin/env python3
"""Writes BENCHMARKS.md: every headline figure with its reference run in the same call, start-up, and how time and memory grow.

    python3 scripts/benchmarks.py            all of it, a quarter of an hour
    python3 scripts/benchmarks.py --quick    without `cargo bench`: start-up and growth only, nothing is written
    python3 scripts/benchmarks.py --only NAME    the named parts (bench, start, limits), nothing is written

Needs a Rust toolchain; NumPy, SciPy and OR-Tools for the references (a reference that is not there is said to be missing); Matplotlib for
the drawing of growth, docs/growth.svg.
"""
import argparse
import math
import os
import platform
import re
import statistics
import struct
import subprocess
import tempfile
import time
import urllib.request
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
# By the names of the benches: built for the whole workspace at once, so that no crate is built twice with other features.
BENCHES = ["elements", "setting_out", "choosing", "demo", "fabric", "levels"]
TARGET = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
PROGRAM = TARGET / "release" / "stillroom"
DEMO = ROOT / "examples/percussion-room/room.toml"


def run(*command, **more):
    return subprocess.run(command, cwd=ROOT, check=True, text=True, capture_output=True, **more).stdout


def machine():
    names = [line.split(":", 1)[1].strip() for line in Path("/proc/cpuinfo").read_text().splitlines()
             if line.startswith("model name")]
    memory = re.search(r"MemTotal:\s+(\d+)", Path("/proc/meminfo").read_text())
    lines = [f"- {len(names)} × {names[0] if names else platform.processor()}, "
             f"{int(memory[1]) / 2**20:.0f} GiB, {platform.system()} {platform.release()}",
             "- " + run("rustc", "--version").strip(), f"- Python {platform.python_version()}"]
    for name in ["numpy", "scipy", "ortools", "shapely"]:
        try:
            lines[-1] += f", {name} {__import__(name).__version__}"
        except ImportError:
            lines[-1] += f", no {name}"
    version = run(str(PROGRAM), "--version").split("\n")
    return lines + ["- " + ", ".join(line for line in version if line)]


def benches(name):
    """Lines of `cargo bench`: what, median (Criterion's, or what the bench itself prints)."""
    out = run("cargo", "bench", "--workspace", "--bench", name)
    rows, title = [], ""
    for line in out.splitlines():
        measured = re.match(r"^(.*?)\s+time:\s+\[\S+ \S+ (\S+ \S+) \S+ \S+\]", line)
        if measured:
            rows.append((measured[1].strip() or title, measured[2]))
        elif re.match(r"^(running|test |Benchmarking|Gnuplot|\s|$|Found|change)", line):
            continue
        elif re.search(r"\d", line) and ":" in line:
            what, figure = line.split(":", 1)
            rows.append((what.strip(), figure.strip()))
        else:
            title = line.strip()
    return rows


def median(times):
    return statistics.median(times), min(times), max(times)


def first_output():
    def once():
        start = time.perf_counter()
        child = subprocess.Popen([PROGRAM, "--help"], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
        child.stdout.read(1)
        took = time.perf_counter() - start
        child.stdout.read()
        child.wait()
        return 1000 * took
    once()
    return median([once() for _ in range(30)])


def page_ready():
    def once():
        with tempfile.TemporaryDirectory() as folder:
            room = Path(folder, "room.toml")
            room.write_bytes(DEMO.read_bytes())
            start = time.perf_counter()
            child = subprocess.Popen([PROGRAM, "open", "--no-browser", room], stdout=subprocess.PIPE, text=True)
            address = child.stdout.readline().strip()
            with urllib.request.build_opener(urllib.request.HTTPCookieProcessor()).open(address) as answer:
                assert b"garden fence" in answer.read()
            took = time.perf_counter() - start
            child.kill()
            child.wait()
            return 1000 * took
    once()
    return median([once() for _ in range(9)])


def measured(arguments):
    """Seconds and the most memory of one run, MiB."""
    with open(os.devnull, "w") as nowhere:
        start = time.perf_counter()
        child = subprocess.Popen([PROGRAM, *arguments], stdout=nowhere, stderr=nowhere)
        _, status, usage = os.wait4(child.pid, 0)
        took = time.perf_counter() - start
    if status not in (0, 256):
        raise SystemExit(f"{arguments} ended with {status}")
    return took, usage.ru_maxrss / 1024


def room(walls=4, receivers=1, openings=1):
    """A long room whose far wall has teeth, with windows side by side and receivers one behind the other."""
    teeth = (walls - 4) // 4
    width, deep, tooth = max(6000, 900 * openings + 400), 5000, 300
    ring = [(0, 0), (width, 0), (width, deep)]
    step = width / (2 * teeth + 1)
    for index in range(teeth):
        right, left = width - step * (2 * index + 1), width - step * (2 * index + 2)
        ring += [(right, deep), (right, deep - tooth), (left, deep - tooth), (left, deep)]
    ring.append((0, deep))
    count = len(ring)
    name = [f"C{index + 1}" for index in range(count)]
    text = ['format = 1\n[project]\nname = "limits"\n[limits]\nheadroom_mm = 2000\n[survey]\ncorners = [' + ", ".join(f'"{n}"' for n in name)
            + ']\nround = "anticlockwise"\nlaser_above_floor_mm = 1200']
    pairs = {(index, (index + 1) % count) for index in range(count)}
    pairs |= {(base, index) for base in (0, 1) for index in range(count) if index != base}
    seen = set()
    for one, other in sorted(pairs):
        key = tuple(sorted((one, other)))
        if one == other or key in seen:
            continue
        seen.add(key)
        length = math.dist(ring[one], ring[other])
        text.append(f'[[survey.tape]]\nfrom = "{name[one]}"\nto = "{name[other]}"\nceiling_mm = {length:.0f}')
    text.append('[roof]\nkind = "cold-flat"\nfloor_above_ground_mm = 100\nfall_mm_per_m = 20\nvent_gap_mm = 50\n'
                '[joists]\nmembers = 2\nmember_width_mm = 47\ndepth_mm = 200\nfrom_wall = "C1-C2"\n'
                'to_wall = "C3-C4"\nbearing_mm = 90\ngrade = "unknown"')
    for number, x in enumerate(range(200, width - 100, 400), 1):
        far = next(index for index in range(2, count - 1) if ring[index][1] == ring[index + 1][1]
                   and ring[index + 1][0] <= x <= ring[index][0])
        text.append(f'[[joist]]\nname = "J{number}"\nfrom_mm = {x}\nto_wall = "{name[far]}-{name[far + 1]}"\n'
                    f'to_mm = {ring[far][0] - x:.0f}\nup_from_laser_mm = [1178, 1180, 1179]')
    demo = DEMO.read_text()
    buildups = demo[demo.index("[[buildup]]"):demo.index("[ceiling]")]
    ids = re.findall(r'\[\[buildup\]\]\s*id = "([^"]+)"', buildups)
    text.append(buildups)
    text.append(f'[ceiling]\nbuildup = "{ids[0]}"')
    wall = next(one for one in ids if "wall" in one or "brick" in one)
    window = next((one for one in ids if "window" in one or "pane" in one), wall)
    for index in range(count):
        text.append(f'[[wall]]\nbetween = "{name[index]}-{name[(index + 1) % count]}"\nbuildup = "{wall}"\n'
                    'faces = "outside"\nheight_mm = 2400')
    for index in range(openings):
        text.append(f'[[opening]]\nname = "window {index + 1}"\nwall = "C1-C2"\nkind = "window"\nbuildup = "{window}"\n'
                    f'from_corner_mm = {300 + 900 * index}\nwidth_mm = 600\nheight_mm = 900\nsill_mm = 1000\n'
                    'seal = "double-compression-seal"')
    text.append('[[source]]\nname = "drum kit"\nkind = "drum-kit"')
    for index in range(receivers):
        text.append(f'[[receiver]]\nname = "place {index + 1}"\nwall = "C1-C2"\nalong_mm = 1000\n'
                    f'distance_m = {4 + index}\nheight_m = 1.5\nlimit_dba = 45')
    return "\n".join(text) + "\n"


def recording(path, seconds, seed):
    rate, state, frames = 48_000, seed * 2654435761 % 2**32, []
    for _ in range(rate * seconds):
        state = (1664525 * state + 1013904223) % 2**32
        frames.append((state >> 16) - 32768 >> 2)
    data = struct.pack(f"<{len(frames)}h", *frames)
    head = struct.pack("<4sI4s4sIHHIIHH4sI", b"RIFF", 36 + len(data), b"WAVE", b"fmt ", 16, 1, 1, rate, 2 * rate, 2, 16,
                       b"data", len(data))
    path.write_bytes(head + data)


def limits():
    """What, how many, seconds, MiB."""
    rows = []
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder, "room.toml")

        def plan(what, count, text):
            file.write_text(text)
            check = subprocess.run([PROGRAM, "check", file], capture_output=True, text=True)
            if check.returncode:
                raise SystemExit(f"{what} {count}: {check.stdout[-2000:]}")
            best = min(measured(["plan", str(file), "--json"]) for _ in range(3))
            rows.append((what, count, *best))

        for count in (6, 12, 25, 50):
            plan("elements", count, room(openings=count - 5))
        for count in (5, 10, 20, 40):
            plan("receivers", count, room(receivers=count))
        for count in (8, 16, 28, 40):
            plan("walls", count, room(walls=count))
        sounds = []
        for index in range(200):
            path = Path(folder, f"{index}.wav")
            if index < 4:
                recording(path, 10, index + 1)
            else:
                path.write_bytes(Path(folder, f"{index % 4}.wav").read_bytes())
            sounds.append(str(path))
        for count in (25, 50, 100, 200):
            best = min(measured(["levels", *sounds[:count]]) for _ in range(3))
            rows.append(("recordings of 10 s", count, *best))
    return rows


def growth(rows):
    """The power of n that time grows with, by least squares on logarithms over the rows of one kind."""
    points = [(math.log(count), math.log(seconds)) for _, count, seconds, _ in rows]
    mx, my = (statistics.mean(axis) for axis in zip(*points))
    return sum((x - mx) * (y - my) for x, y in points) / sum((x - mx) ** 2 for x, _ in points)


def drawn(rows, file):
    """Time and memory against how many, both axes logarithmic: a line of slope 1 is what grows as its number does."""
    import matplotlib
    matplotlib.use("svg")
    matplotlib.rcParams.update({"svg.fonttype": "none", "svg.hashsalt": "growth", "font.family": "sans-serif", "font.size": 9})
    from matplotlib import pyplot
    figure, axes = pyplot.subplots(1, 2, figsize=(9, 3.6), layout="constrained")
    styles = [("k", "o", "-"), ("0.35", "s", "--"), ("0.35", "^", "-."), ("k", "D", ":")]
    for axis, column, label in zip(axes, (2, 3), ("seconds, quickest of three", "most memory, MiB")):
        for what, (colour, mark, line) in zip(dict.fromkeys(row[0] for row in rows), styles):
            some = [row for row in rows if row[0] == what]
            axis.plot([row[1] for row in some], [row[column] for row in some], color=colour, marker=mark, linestyle=line,
                      markersize=4, label=what)
        axis.set(xscale="log", yscale="log", xlabel="how many", ylabel=label)
        axis.xaxis.set_major_formatter("{x:g}")
        axis.yaxis.set_major_formatter("{x:g}")
        axis.grid(True, which="both", color="0.9", linewidth=0.5)
    axes[1].set_ylim(10, 1000)
    axes[0].plot([5, 50], [0.1, 1.0], color="0.7", linewidth=0.8)
    axes[0].annotate("as the number", (14, 0.2), color="0.5", fontsize=8)
    axes[0].legend(fontsize=8, frameon=False)
    figure.savefig(file, metadata={"Date": None, "Creator": None})


def main():
    arguments = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    arguments.add_argument("--quick", action="store_true")
    arguments.add_argument("--only", nargs="*", choices=["bench", "start", "limits"])
    arguments.add_argument("--draw", action="store_true", help="draw the growth, whatever parts are run")
    asked = arguments.parse_args()
    parts = asked.only or (["start", "limits"] if asked.quick else ["bench", "start", "limits"])
    if not (asked.quick or asked.only):
        subprocess.run(["cargo", "build", "--release", "-p", "stillroom"], cwd=ROOT, check=True)
    text = ["# Benchmarks", "", "Written by `python3 scripts/benchmarks.py`; medians, of Criterion's samples where nothing else is said.",
            "Where a line has a reference, both were run in the same call on the same machine.", "", *machine(), ""]
    if "start" in parts:
        text += ["## Start", "", "| what | median, ms | least | most | goal |", "| --- | --: | --: | --: | --: |"]
        for what, figures, goal in [("first output of `--help`", first_output(), 50), ("page of the demo ready", page_ready(), 300)]:
            text.append(f"| {what} | {figures[0]:.1f} | {figures[1]:.1f} | {figures[2]:.1f} | {goal} |")
        text.append(f"\nThe program has {PROGRAM.stat().st_size / 2**20:.1f} MiB.\n")
    if "limits" in parts:
        rows = limits()
        if asked.draw or not (asked.quick or asked.only):
            drawn(rows, ROOT / "docs/growth.svg")
        text += ["## Growth", "", "`stillroom plan --json`, `stillroom levels`; the quickest of three whole runs with start and output.", "",
                 "![Time and memory against how many, logarithmic axes](docs/growth.svg)", "",
                 "| what | how many | s | MiB | grows as |", "| --- | --: | --: | --: | --- |"]
        for what in dict.fromkeys(row[0] for row in rows):
            some = [row for row in rows if row[0] == what]
            for at, (_, count, seconds, mib) in enumerate(some):
                power = f"n^{growth(some):.2f}" if at == len(some) - 1 else ""
                text.append(f"| {what} | {count} | {seconds:.2f} | {mib:.0f} | {power} |")
        text.append("")
    if "bench" in parts:
        text += ["## Figures and their references", ""]
        for name in BENCHES:
            text += [f"### `{name}`", "", "| what | figure |", "| --- | --- |"]
            text += [f"| {what} | {figure} |" for what, figure in benches(name)]
            text.append("")
    if asked.quick or asked.only:
        print("\n".join(text))
    else:
        (ROOT / "BENCHMARKS.md").write_text("\n".join(text))
        print("BENCHMARKS.md is written.")


if __name__ == "__main__":
    main()
