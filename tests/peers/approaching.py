"""Finds closest points of approach by a search along geodesics: python3 tests/peers/approaching.py < CASES

Each line of standard input is a JSON object: our latitude and longitude, the bearing and distance to the other vessel
(degrees, m), her speed and course (m/s, degrees), and the seconds to search. Each answer is an object with after (s) and
distance (m). No vectors are used: her position at each moment is calculated along her geodesic, and a ternary search finds
the moment at which it is nearest to us. Exit code 2: the library is not installed.
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
