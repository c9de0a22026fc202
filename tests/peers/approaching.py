"""Closest points of approach by a search along geodesics: python3 tests/peers/approaching.py < CASES

One JSON object a line: latitude, longitude (ours), bearing, distance (to her; degrees, m), speed, course (hers; m/s, degrees) and
seconds (to search within). Each is answered by an object with after (s) and distance (m). No vector is used: at each moment her place is
calculated along her geodesic and its distance from us measured, and the least is found by ternary search. Exit 2: the library is not
installed.
"""

import json
import os
import sys

here = os.path.dirname(os.path.abspath(__file__))
peers = os.environ.get("WINDRODE_PEERS") or os.path.join(here, ".installed")
sys.path.insert(0, os.path.join(peers, "geometry"))
try:
    from pyproj import Geod
except ImportError as error:
    print(f"approaching: {error}; install it with: tests/peers/install", file=sys.stderr)
    sys.exit(2)

wgs84 = Geod(ellps="WGS84")
for line in sys.stdin:
    case = json.loads(line)
    us = case["longitude"], case["latitude"]
    her = wgs84.fwd(*us, case["bearing"], case["distance"])[:2]

    def apart(after):
        there = wgs84.fwd(*her, case["course"], case["speed"] * after)[:2]
        return wgs84.inv(*us, *there)[2]

    least, most = 0.0, case["seconds"]
    while most - least > 1e-3:
        third = (most - least) / 3
        if apart(least + third) < apart(most - third):
            most -= third
        else:
            least += third
    print(json.dumps({"after": least, "distance": apart(least)}))
