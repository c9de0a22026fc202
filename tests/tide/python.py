"""Predicts with utide and pyTMD from the same constants, and measures their speed. These libraries do not find highs and
lows: parabolas through heights at ten-minute steps give them, and only the heights are timed."""

import json
import sys
import time

import numpy as np
import pyTMD.constituents
import utide
from utide._ut_constants import ut_constants

SYNONYMS = {"LAM2": "LDA2", "LAMBDA2": "LDA2", "RHO": "RHO1", "NU2": "NU2"}
PYTMD = {"LAM2": "lambda2", "LAMBDA2": "lambda2", "RHO": "rho1", "RHO1": "rho1", "MSF": "msf"}
START = np.datetime64("2026-01-01T00:00:00")
STEP = np.timedelta64(600, "s")
TIMES = START + np.arange(-6, 365 * 144 + 7) * STEP


def by_utide(constants):
    names = list(ut_constants["const"]["name"])
    chosen = [(SYNONYMS.get(c["name"], c["name"]), c) for c in constants]
    chosen = [(n, c) for n, c in chosen if n in names]
    places = np.array([names.index(n) for n, _ in chosen])
    coef = {
        "name": np.array([n for n, _ in chosen]),
        "A": np.array([c["amplitude"] for _, c in chosen]),
        "g": np.array([c["phase"] for _, c in chosen]),
        "mean": 0.0,
        "aux": {
            "reftime": 739982.0,
            "frq": ut_constants["const"]["freq"][places],
            "lind": places,
            "lat": 45.0,
            "opt": {"twodim": False, "nodiagn": True, "nodsatlint": False, "nodsatnone": False, "gwchlint": False,
                    "gwchnone": False, "prefilt": [], "notrend": True},
        },
    }
    return lambda: utide.reconstruct(TIMES, coef, verbose=False, min_SNR=0, min_PE=0)["h"], len(chosen)


def by_pytmd(constants):
    names = [PYTMD.get(c["name"], c["name"].lower()) for c in constants]
    amplitude = np.array([c["amplitude"] for c in constants])
    phase = np.radians([c["phase"] for c in constants])
    mjd = 61041.0 + (TIMES - START) / np.timedelta64(1, "D")

    def heights():
        u, f, g = pyTMD.constituents.arguments(mjd, names, corrections="GOT")
        return (f * amplitude * np.cos(np.radians(g) + u - phase)).sum(axis=1)

    return heights, len(names)


def turns(heights):
    a, b, c = heights[:-2], heights[1:-1], heights[2:]
    found = []
    for k in np.nonzero((b > a) & (b >= c) | (b < a) & (b <= c))[0]:
        bend = a[k] - 2 * b[k] + c[k]
        part = (a[k] - c[k]) / (2 * bend)
        when = (TIMES[k + 1] - np.datetime64("1970-01-01")) / np.timedelta64(1, "ms") + part * 600_000
        found.append([when, b[k] - (a[k] - c[k]) ** 2 / (8 * bend), bool(b[k] > a[k])])
    first = (START - np.datetime64("1970-01-01")) / np.timedelta64(1, "ms")
    return [t for t in found if first <= t[0] < first + 365 * 86_400_000]


answer = {"utide": {}, "pyTMD": {}}
with open(sys.argv[1]) as file:
    stations = json.load(file)
for name, constants in stations.items():
    for library, make in (("utide", by_utide), ("pyTMD", by_pytmd)):
        heights_of, known = make(constants)
        best = float("inf")
        for _ in range(3):
            began = time.perf_counter()
            heights = np.asarray(heights_of())
            best = min(best, time.perf_counter() - began)
        if known < len(constants):
            print(f"{library} has {known} of {len(constants)} constituents of {name}", file=sys.stderr)
        hourly = heights[6:-7:6]
        answer[library][name] = {"ms": best * 1000, "turns": turns(heights), "hourly": list(hourly)}
with open(sys.argv[2], "w") as file:
    json.dump(answer, file)
