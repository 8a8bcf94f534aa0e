import { dataCsv } from "./data.js";

// Profile factors of short housings by other models than the library's: the solved laminar equations below Re 4,000, above it
// the turbulent layer by one of three models. Element from 0 to 0.3 of the radius; no axial lag, no plane.

/** Which model tells the truth above Re 4,000. */
export type EntryModel = "mixing length" | "integral, early transition" | "integral, late transition";
export const ENTRY_MODELS: readonly EntryModel[] = [
  "mixing length",
  "integral, early transition",
  "integral, late transition",
];

// In a core that reaches past r/R 0.3 (to 3 diameters) the integral models' core is the average over 0 to 0.3.
const COLUMNS: { readonly [model in EntryModel]: string } = {
  "mixing length": "mean_over_radius_0..0.3_mixing_length",
  "integral, early transition": "core_integral_transition_Re_theta_200",
  "integral, late transition": "core_integral_transition_Re_theta_470",
};

const laminarRows = dataCsv("reference/15a-laminar-entry.csv").map((row) => ({
  x: Math.log(Number(row["x_over_D_Re"])),
  y: Math.log(Number(row["mean_over_radius_0..0.3"]) - 1),
}));
const turbulentRows = dataCsv("reference/15b-turbulent-entry.csv").map((row) => ({
  re: Math.log(Number(row["Re"])),
  x: Math.log(Number(row["x_over_D"])),
  row,
}));
const reynolds = [...new Set(turbulentRows.map(({ re }) => re))].sort((a, b) => a - b);

interface Point {
  readonly x: number;
  readonly y: number;
}

/** Straight line between neighbours; the excess runs as a power, so logs are nearly straight. */
function between(points: readonly Point[], x: number): number {
  const k = Math.min(
    Math.max(
      points.findIndex((point) => point.x > x),
      1,
    ),
    points.length - 1,
  );
  const [a, b] = [points[k - 1] as Point, points[k] as Point];
  return a.y + ((b.y - a.y) * (x - a.x)) / (b.x - a.x);
}

const turbulent = Object.fromEntries(
  ENTRY_MODELS.map((model) => [
    model,
    reynolds.map((re) =>
      turbulentRows
        .filter((one) => one.re === re)
        .map(({ x, row }) => ({ x, y: Math.log(Number(row[COLUMNS[model]]) - 1) }))
        .sort((a, b) => a.x - b.x),
    ),
  ]),
) as unknown as { readonly [model in EntryModel]: readonly (readonly Point[])[] };

/** Profile factor less one at a Reynolds number and a distance over the diameter, 0.25 to 5. */
export function excessOf(model: EntryModel, re: number, distance: number): number {
  const x = Math.log(distance);
  if (re < 4000) return Math.exp(between(laminarRows, x - Math.log(re)));
  const across = reynolds.map((lnRe, i) => ({
    x: lnRe,
    y: between(turbulent[model][i] as readonly Point[], x),
  }));
  return Math.exp(between(across, Math.log(re)));
}
