#!/usr/bin/env python3
"""Levels of constructed signals by SciPy, for crates/proof/tests/reference/levels_scipy.csv.

Third octaves: Butterworth band passes of order six (eight where a band's middle lies above 0.23 of the sampling rate) as
second-order sections at the full sampling rate, no halving. A and C: the squared spectrum of the whole signal weighed by the
formulas of IEC 61672-1 Annex E. Levels are re a mean square of 1.

Run with numpy and scipy installed: python3 oracles/levels_scipy.py
"""

import csv
import pathlib

import numpy as np
from scipy import signal

MASK = (1 << 64) - 1


def white(seed, count):
    """The program's white noise, from the same integers."""
    out = np.empty(count)
    state = seed
    for n in range(count):
        state = (state + 0x9E3779B97F4A7C15) & MASK
        z = ((state ^ (state >> 30)) * 0xBF58476D1CE4E5B9) & MASK
        z = ((z ^ (z >> 27)) * 0x94D049BB133111EB) & MASK
        z ^= z >> 31
        total = sum((z >> (16 * part)) & 0xFFFF for part in range(4))
        out[n] = (total - 131070.0) / 37837.227
    return out


def signals():
    """Name, sampling rate, samples."""
    yield "white", 48000, 0.1 * white(1, 48000 * 6)
    yield "white", 44100, 0.1 * white(2, 44100 * 6)
    yield "white", 16000, 0.1 * white(3, 16000 * 6)
    time = np.arange(48000 * 6) / 48000
    # Rumble: 6 dB less in every octave, as traffic has it.
    yield "rumble", 48000, signal.lfilter([0.01], [1, -0.999], white(4, 48000 * 6))
    # Clicks: noise squeezed through a slow envelope.
    burst = white(5, 48000 * 6) * np.exp(-((time * 4) % 1.0) * 30)
    yield "clicks", 48000, 0.3 * burst


def weighted_db(x, rate, kind):
    f1, f2, f3, f4 = 20.598997, 107.65265, 737.86223, 12194.217
    lines = np.fft.rfft(x)
    f = np.fft.rfftfreq(len(x), 1 / rate)

    def gain(f):
        g = f4**2 * f**2 / ((f**2 + f1**2) * (f**2 + f4**2))
        if kind == "A":
            g = g * f**2 / np.sqrt((f**2 + f2**2) * (f**2 + f3**2))
        return g

    power = np.abs(lines * gain(f) / gain(1000.0)) ** 2
    power[1:-1] *= 2
    return 10 * np.log10(power.sum() / len(x) ** 2)


def main():
    target = pathlib.Path(__file__).parent.parent / "crates/proof/tests/reference/levels_scipy.csv"
    target.parent.mkdir(parents=True, exist_ok=True)
    with target.open("w", newline="") as file:
        rows = csv.writer(file, lineterminator="\n")
        rows.writerow(["signal", "rate_hz", "band", "level_db"])
        for name, rate, x in signals():
            for place in range(28):
                middle = 1000 * 10 ** ((place - 17) / 10)
                if middle > 0.43 * rate:
                    continue
                order = 3 if middle <= 0.23 * rate else 4
                edges = [middle / 10**0.05, middle * 10**0.05]
                sos = signal.butter(order, edges, "bandpass", fs=rate, output="sos")
                y = signal.sosfilt(sos, x)
                rows.writerow([name, rate, place, f"{10 * np.log10(np.mean(y * y)):.4f}"])
            for kind in "AC":
                rows.writerow([name, rate, kind, f"{weighted_db(x, rate, kind):.4f}"])


if __name__ == "__main__":
    main()
