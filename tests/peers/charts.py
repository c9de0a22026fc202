"""Judges circles on a chart with general geometry libraries: python3 tests/peers/charts.py CELL < REQUESTS

CELL is an S-57 cell, which GDAL's ogr2ogr converts to GeoJSON. Each line of standard input is a JSON object: latitude,
longitude, radius (m), needed (charted depth, m), searched (m), and for a sector from and to (degrees, clockwise). Each
answer is an object with the results of shapely, pyproj and the standard's attributes.

With `fetch` (m) and `bearings` (degrees) instead of a radius, the answer has how far each ray goes before land or the end
of the coverage, the depth at the place, and the distance and bearing from the position `from`. With `words` instead of
CELL, it prints the code lists of GDAL's own tables. Exit code 2: a library or program is not installed.
"""

import csv
import json
import math
import os
import subprocess
import sys

here = os.path.dirname(os.path.abspath(__file__))
peers = os.environ.get("WINDRODE_PEERS") or os.path.join(here, ".installed")
sys.path.insert(0, os.path.join(peers, "geometry"))
try:
    import shapely
    from pyproj import Geod, Transformer
    from shapely.geometry import LineString, Point, Polygon, shape
    from shapely.strtree import STRtree
except ImportError as error:
    print(f"charts: {error}; install it with: tests/peers/install", file=sys.stderr)
    sys.exit(2)

SKIN = {"DEPARE", "DRGARE", "UNSARE", "LNDARE", "FLODOC", "HULKES", "PONTON"}
OVER = {"UWTROC", "WRECKS", "OBSTRN", "MARCUL", "FSHFAC"}
STANDING = {"FLODOC", "HULKES", "PONTON", "PILPNT", "MORFAC", "OFSPLF", "SLCONS", "DAMCON"}
RULED = {"CBLARE", "CBLSUB", "PIPARE", "PIPSOL", "RESARE", "ACHARE", "ACHBRT", "CTNARE", "DMPGRD", "FAIRWY", "MIPARE"}
CLASSES = SKIN | OVER | STANDING | RULED | {"COALNE", "DEPCNT", "SOUNDG", "M_COVR", "M_QUAL"}
OPTIONS = "SPLIT_MULTIPOINT=ON,ADD_SOUNDG_DEPTH=ON,RETURN_PRIMITIVES=OFF,UPDATES=APPLY"


def gdal(*command):
    try:
        done = subprocess.run(command, capture_output=True, text=True, env=dict(os.environ, OGR_S57_OPTIONS=OPTIONS))
    except FileNotFoundError:
        print(f"charts: {command[0]} is not installed; install it with: tests/peers/install", file=sys.stderr)
        sys.exit(2)
    if done.returncode:
        sys.exit(f"charts: {' '.join(command)}: {done.stderr}")
    return done.stdout


def lists():
    """The code lists of attributes in the tables that come with GDAL."""
    folder = os.environ.get("GDAL_DATA") or "/usr/share/gdal"
    with open(os.path.join(folder, "s57expectedinput.csv"), encoding="latin-1") as file:
        rows = [row for row in csv.reader(file) if len(row) == 3 and row[0].isdigit()]
    with open(os.path.join(folder, "s57objectclasses.csv"), encoding="latin-1") as file:
        classes = {row["Acronym"]: int(row["Code"]) for row in csv.DictReader(file)}
    attributes = {"RESTRN": "131", "VERDAT": "185", "QUASOU": "125", "WATLEV": "187", "CATZOC": "72"}
    found = {name: {int(r[1]): r[2] for r in rows if r[0] == code} for name, code in attributes.items()}
    print(json.dumps({"classes": classes, "lists": found}))


class Cell:
    def __init__(self, path):
        there = {line.split(": ")[1].split()[0] for line in gdal("ogrinfo", "-q", path).splitlines() if ": " in line}
        self.geometry, self.facts = [], []
        for name in sorted(CLASSES & there):
            for line in gdal("ogr2ogr", "-f", "GeoJSONSeq", "/vsistdout/", path, name).splitlines():
                feature = json.loads(line)
                self.geometry.append(shape(feature["geometry"]))
                self.facts.append((name, feature["properties"]))
        self.tree = STRtree(self.geometry)

    def near(self, latitude, longitude, metres, names=CLASSES):
        """The objects within this distance, in metres on the plane about the place."""
        high = metres / 110000
        wide = high / math.cos(math.radians(abs(latitude) + high))
        box = (longitude - wide, latitude - high, longitude + wide, latitude + high)
        plane = Transformer.from_crs(
            "EPSG:4326", f"+proj=aeqd +lat_0={latitude} +lon_0={longitude} +ellps=WGS84", always_xy=True
        )
        for index in self.tree.query(shapely.box(*box)):
            if self.facts[index][0] not in names:
                continue
            part = shapely.clip_by_rect(self.geometry[index], *box)
            if part.is_empty:
                continue
            part = shapely.segmentize(part, 0.0005)
            part = shapely.transform(part, lambda xy: list(zip(*plane.transform(xy[:, 0], xy[:, 1]))))
            yield index, shapely.make_valid(part), *self.facts[index]

    def open_water(self, asked):
        latitude, longitude, most = asked["latitude"], asked["longitude"], asked["fetch"]
        land, covered, depths, soundings = [], [], [], []
        here = Point(0, 0)
        for _, part, name, facts in self.near(latitude, longitude, most, {"LNDARE", "COALNE", "M_COVR"}):
            if name == "M_COVR" and facts["CATCOV"] == 1:
                covered.append(part)
            elif name in ("LNDARE", "COALNE"):
                land.append(part)
        for _, part, name, facts in self.near(latitude, longitude, 250.0, {"DEPARE", "DRGARE", "SOUNDG"}):
            if name == "SOUNDG" and part.distance(here) <= 250:
                soundings.append((part.distance(here), facts["DEPTH"]))
            elif name in ("DEPARE", "DRGARE") and part.covers(here):
                depths.append((facts.get("DRVAL1"), facts.get("DRVAL2")))
        land, covered = shapely.union_all(land), shapely.union_all(covered)
        rays = []
        for turn in asked["bearings"]:
            turn = math.radians(turn)
            ray = LineString([(0, 0), (most * math.sin(turn), most * math.cos(turn))])
            hit, gap = ray.intersection(land), ray.difference(covered)
            rays.append([
                None if hit.is_empty else hit.distance(here),
                None if gap.is_empty or gap.length < 1e-3 else gap.distance(here),
            ])
        depth = None
        if depths:
            low, high = depths[0]
            depth = min(soundings)[1] if soundings else (low if high is None else high)
            depth = max(low, depth if high is None else min(depth, high))
        turn, _, metres = Geod(ellps="WGS84").inv(asked["from"][1], asked["from"][0], longitude, latitude)
        return {"rays": rays, "depth": depth, "distance": metres, "bearing": turn % 360}

    def judge(self, asked):
        if "fetch" in asked:
            return self.open_water(asked)
        latitude, longitude, radius = asked["latitude"], asked["longitude"], asked["radius"]
        zone = Point(0, 0).buffer(radius, quad_segs=720)
        if "from" in asked:
            start, span = asked["from"], (asked["to"] - asked["from"]) % 360
            turns = [math.radians(start + span * k / 720) for k in range(721)]
            zone = Polygon([(0, 0)] + [(radius * math.sin(t), radius * math.cos(t)) for t in turns])
        depths, solid, unknown, shoal, covered, charted = [], False, set(), [], [], []
        dangers, ruled, rules, zones, there = [], set(), set(), set(), []
        centre = Point(0, 0)
        for index, part, name, facts in self.near(latitude, longitude, asked["searched"]):
            inside = part.intersects(zone)
            area = part.geom_type in ("Polygon", "MultiPolygon", "GeometryCollection")
            depth, says = None, None
            if name in ("DEPARE", "DRGARE"):
                depth = facts.get("DRVAL1")
                says = "depth" if depth is not None else None
            elif name == "DEPCNT":
                depth, says = facts["VALDCO"], "depth"
            elif name == "SOUNDG":
                depth, says = facts["DEPTH"], "depth"
            elif name in OVER or (name in STANDING and facts.get("WATLEV") in (3, 4, 5)):
                depth = facts.get("VALSOU")
                says = "unknown" if depth is None else "depth"
            elif name in ("LNDARE", "COALNE") or name in STANDING:
                says = "solid"
            if says == "depth" and inside:
                depths.append(depth)
            if says == "depth" and name in ("DEPARE", "DRGARE") and part.contains(centre):
                there.append([depth, facts.get("DRVAL2")])
            if says == "unknown" and inside:
                unknown.add(index)
            solid |= says == "solid" and inside
            if says in ("unknown", "solid") or (says == "depth" and depth < asked["needed"] - 1e-6):
                if part.distance(centre) <= asked["searched"]:
                    dangers.append((part.distance(centre), part))
                if area:
                    shoal.append(part)
            if name == "M_COVR" and facts["CATCOV"] == 1:
                covered.append(part)
            if name in SKIN and area and says in ("depth", "solid"):
                charted.append(part)
            if inside and (name in RULED or facts.get("RESTRN")):
                ruled.add((name, index))
                rules |= {int(code) for code in facts.get("RESTRN") or []}
            if name == "M_QUAL" and inside:
                zones.add(facts["CATZOC"])
        share = lambda parts: shapely.union_all(parts).intersection(zone).area / zone.area if parts else 0.0
        answer = {
            "least": None if solid or not depths else min(depths),
            "solid": bool(solid),
            "unknown": len(unknown),
            "shoal": share(shoal),
            "notCovered": 1 - share(covered),
            "withoutDepth": share(covered) - share(charted),
            "ruled": sorted(name for name, _ in ruled),
            "rules": sorted(rules),
            "zones": sorted(zones),
            "danger": None,
            "there": min(there, default=None, key=lambda depths: depths[0]),
        }
        if dangers:
            _, part = min(dangers, key=lambda danger: danger[0])
            point = shapely.get_point(shapely.shortest_line(centre, part), 1)
            back = Transformer.from_crs(
                f"+proj=aeqd +lat_0={latitude} +lon_0={longitude} +ellps=WGS84", "EPSG:4326", always_xy=True
            )
            east, north = back.transform(point.x, point.y)
            turn, _, metres = Geod(ellps="WGS84").inv(longitude, latitude, east, north)
            answer["danger"] = {"distance": metres, "bearing": turn % 360}
        return answer


if sys.argv[1] == "words":
    lists()
else:
    cell = Cell(sys.argv[1])
    for line in sys.stdin:
        print(json.dumps(cell.judge(json.loads(line))), flush=True)
