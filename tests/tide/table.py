"""Prints the table of speed and agreement, and fails if a limit is not met."""

import json
import sys

import numpy as np

folder = sys.argv[1]


def load(name):
    with open(f"{folder}/{name}.json") as file:
        return json.load(file)


ours = load("ours")
others = {f"npm {name}": told for name, told in load("npm").items()} | load("python")
print("a year of highs and lows, and its agreement with ours (turns: minutes and mm, heights: mm rms)")
print(f"{'station':10} {'library':14} {'ms':>8} {'times':>7} {'turns':>6} {'ours':>6} {'median':>7} {'95 %':>6} {'median':>7} {'rms':>6}")
faults = []
for station, own in ours.items():
    fastest = min(told[station]["ms"] for told in others.values())
    for library, told in others.items():
        theirs = told[station]
        pairs = []
        for when, height, high in own["turns"]:
            fitting = [t for t in theirs["turns"] if t[2] == high and abs(t[0] - when) < 5_400_000]
            if fitting:
                best = min(fitting, key=lambda t: abs(t[0] - when))
                pairs.append((abs(best[0] - when) / 60_000, abs(best[1] - height) * 1000))
        times, heights = np.array(pairs).T
        rms = np.sqrt(np.mean((np.array(own["hourly"]) - np.array(theirs["hourly"])) ** 2)) * 1000
        print(
            f"{station:10} {library:14} {theirs['ms']:8.1f} {theirs['ms'] / own['ms']:7.0f} {len(theirs['turns']):6} "
            f"{len(own['turns']):6} {np.median(times):7.2f} {np.quantile(times, 0.95):6.2f} {np.median(heights):7.1f} {rms:6.1f}"
        )
        if library == "npm schureman" and rms > 5:
            faults.append(f"{station}: {rms:.1f} mm rms from the Schureman heights")
    print(f"{station:10} {'ours':14} {own['ms']:8.3f}")
    if fastest / own["ms"] < 50:
        faults.append(f"{station}: {fastest / own['ms']:.0f} times as fast, not 50")
for fault in faults:
    print(fault, file=sys.stderr)
sys.exit(1 if faults else 0)
