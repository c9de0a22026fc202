#!/usr/bin/env node
// Builds stations.gz, the catalogue of tide stations, from the npm package @neaps/tide-database.
//
//   deploy/tides/build.mjs [VERSION]      by default the version below
//
// The package is installed into a temporary folder, without running any install script. Only records in the public
// domain or under CC BY are kept; README.md in this folder describes them, the changes, and the cost of the changes. The same
// version gives the same file, byte for byte. Needs Node 20 and npm.

import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { gzipSync } from "node:zlib";

const here = dirname(fileURLToPath(import.meta.url));
const version = process.argv[2] ?? "0.10.20260924";
const PACKAGE = "@neaps/tide-database";

// Names in src/tide/constituents.rs, by the names of the sources.
const NAMES = {
  LAMBDA2: "LAM2", lambda2: "LAM2", RHO1: "RHO", rho1: "RHO", sigma1: "SGM", SIGMA1: "SGM", eps2: "EP2",
  mu2: "MU2", nu2: "NU2", eta2: "ETA2", Mm: "MM", Mf: "MF", Ssa: "SSA", "M(KS)2": "MB2", alpha2: "MA2", SA_KV: "SA",
  "3MNS10": "3MSN10", pi1: "PI1", psi1: "PSI1", phi1: "PHI1", tau1: "TAU1", theta1: "THETA1",
};
// The sun's perigee, degrees, in the middle of the analysed years.
const PERIGEE = 283.0;
// Degrees that turn a source's phase into that of our argument. README.md says how each was found.
const TURNS = {
  ticon: { M1: 90, "2MK5": 90, "2MO5": -90, SGM: 180 },
  kartverket: { SA_KV: PERIGEE, "M(KS)2": PERIGEE, alpha2: 180 - PERIGEE },
};
// The source's meaning of these could not be confirmed, so they are left out.
const UNSETTLED = {
  ticon: ["3L2", "3N2", "T3", "R3"],
  kartverket: ["S1_KV", "OQ2_KV", "gamma2", "BET1"],
};
// Metres. Smaller values are not kept: NOAA prints none.
const LEAST = 0.0005;

const known = new Set(
  [...readFileSync(join(here, "../../src/tide/constituents.rs"), "utf8").matchAll(/C::\w+\("([^"]+)"/g)].map((m) => m[1]),
);

const folder = mkdtempSync(join(tmpdir(), "tides-"));
let stations;
try {
  writeFileSync(join(folder, "package.json"), "{}");
  execFileSync("npm", ["install", "--silent", "--ignore-scripts", "--no-audit", "--no-fund", `${PACKAGE}@${version}`], {
    cwd: folder,
    stdio: ["ignore", "ignore", "inherit"],
  });
  const entry = join(folder, "node_modules", PACKAGE, "dist/node/index.js");
  ({ stations } = await import(pathToFileURL(entry)));
} finally {
  rmSync(folder, { recursive: true });
}

function sourceOf(station) {
  if (station.id.startsWith("noaa/") && station.license.type === "public domain") return "noaa";
  if (station.id.startsWith("ticon/") && station.license.type === "cc-by-4.0") return "ticon";
  if (station.source.name.startsWith("Kartverket") && station.license.type === "cc-by-4.0") return "kartverket";
  return null;
}

const lists = { noaa: [], ticon: [], kartverket: [] };
const left = new Map();
const count = {};
const lines = [];
const clean = (text) => (text ?? "").replace(/\s+/g, " ").trim();
const fixed = (value, digits) => String(Number(value.toFixed(digits)));

// A secondary station's own record repeats the constants of its standard port; only the differences are its own.
const kept = stations.filter((s) => s.kind === "tide" && sourceOf(s));
const standard = new Set(kept.filter((s) => !s.offsets).map((s) => s.id));
kept.sort((a, b) => (a.id < b.id ? -1 : 1));

function waves(station, source) {
  const list = lists[source];
  const values = [];
  for (const { name, amplitude, phase } of station.harmonic_constituents) {
    const drop = (why) => {
      const sofar = left.get(`${source} ${name}`) ?? { why, stations: 0, greatest: 0 };
      sofar.stations += 1;
      sofar.greatest = Math.max(sofar.greatest, amplitude);
      left.set(`${source} ${name}`, sofar);
    };
    const ours = NAMES[name] ?? name;
    if (amplitude < LEAST) continue;
    if (UNSETTLED[source]?.includes(name)) { drop("meaning not settled"); continue; }
    if (!known.has(ours)) { drop("unknown"); continue; }
    let place = list.indexOf(ours);
    if (place < 0) place = list.push(ours) - 1;
    // V_theirs = V_ours + c means g_ours = g_theirs - c; TURNS holds -c.
    const turned = phase + (TURNS[source]?.[name] ?? 0);
    values[place] = `${Math.round(amplitude * 1e4)},${Math.round((((turned % 360) + 360) % 360) * 10) % 3600}`;
  }
  return Array.from(values, (v) => v ?? "").join(";");
}

for (const station of kept) {
  const source = sourceOf(station);
  const place = [clean(station.region), clean(station.country)].filter(Boolean).join(", ");
  const head = [
    station.id, clean(station.name), place, fixed(station.latitude, 4), fixed(station.longitude, 4),
  ];
  if (station.offsets) {
    const { reference, time, height } = station.offsets;
    if (!standard.has(reference)) { count["without its standard place"] = (count["without its standard place"] ?? 0) + 1; continue; }
    const mark = height.type === "ratio" ? "*" : "+";
    const none = height.type === "ratio" ? 1 : 0;
    const difference = (value) => mark + fixed(value ?? none, 3);
    lines.push(["S", ...head, reference, fixed(time?.high ?? 0, 1), fixed(time?.low ?? 0, 1),
      difference(height.high), difference(height.low)]);
  } else {
    const datum = station.chart_datum;
    const { MSL: mean, [datum]: zero } = station.datums;
    if (!Number.isFinite(mean) || !Number.isFinite(zero)) { count["without a datum"] = (count["without a datum"] ?? 0) + 1; continue; }
    lines.push(["P", ...head, datum, fixed(mean - zero, 3), source, waves(station, source)]);
  }
  const kind = `${source} ${station.offsets ? "secondary" : "standard"}`;
  count[kind] = (count[kind] ?? 0) + 1;
}

const header = [
  ["windrode tide stations", "1"],
  ["from", `${PACKAGE} ${version}`],
  ...Object.entries(lists).map(([source, names]) => ["waves", source, names.join(" ")]),
];
const text = [...header, ...lines].map((fields) => fields.join("\t") + "\n").join("");
const packed = gzipSync(text, { level: 9 });
// Bytes 4 to 9 of the head: no time stamp, no operating system.
packed.fill(0, 4, 8);
packed[9] = 255;
writeFileSync(join(here, "stations.gz"), packed);
console.log(count, `${lines.length} stations, ${text.length} bytes, ${packed.length} packed`);
for (const [name, { why, stations: n, greatest }] of left) console.log(`left out: ${name}, ${why}, ${n} stations, at most ${greatest.toFixed(3)} m`);
