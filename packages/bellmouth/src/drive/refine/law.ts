import type { Timeline } from "./timeline.js";
import type { TransientLaw } from "./transient.js";
import type { TransportLaw } from "./transport.js";

/** Everything about a drive that is fitted besides the table. */
export interface DriveLaw {
  readonly transport: TransportLaw;
  readonly transient: TransientLaw;
  /** Coefficients of further transient shapes, in the order of `extraShapes`. */
  readonly extras: readonly number[];
}

/**
 * Further transient shapes with small coefficients: what one film and one manifold leave over. The log resolves a rush of
 * air or a jump of engine speed only roughly, and what it gets wrong then is the same every time; these shapes carry that, so that it
 * neither bends the table nor passes for certainty.
 * film: held back by a film of the stated time · filling: the filling effect when air is ahead · speed, flow, pressure: the
 * rate of their logarithm.
 */
export const extraShapes = [
  { name: "film 0.12 s", kind: "film", time: 0.12, sd: 0.05 },
  { name: "film 2.5 s", kind: "film", time: 2.5, sd: 0.05 },
  { name: "filling", kind: "filling", sd: 0.1 },
  { name: "speed", kind: "speed", sd: 0.01 },
  { name: "flow", kind: "flow", sd: 0.01 },
  { name: "pressure", kind: "pressure", sd: 0.01 },
] as const;

/** One entry of the law as a vector: its prior, its bounds, and the step for differences. */
export interface LawParameter {
  readonly name: string;
  readonly mean: number;
  readonly sd: number;
  readonly least: number;
  readonly most: number;
  readonly step: number;
}

/** Places of the law in its vector. */
export const at = {
  fixed: 0,
  revolutions: 1,
  gas: 2,
  late: 3,
  lag: 4,
  film: 5,
  filmTime: 6,
  turns: 7,
  foreseen: 8,
  meterLag: 9,
  extras: 10,
} as const;

const pinned = (name: string, value: number): LawParameter => ({
  name,
  mean: value,
  sd: 1e-6,
  least: value,
  most: value,
  step: 1e-3,
});

/**
 * Priors of a wideband drive, wide enough for any road car: injection to exhaust valve takes one and a half revolutions give or
 * take, a log stamps lambda some hundredths of a second late, the manifold holds one to three swept volumes, the film is what the ECU leaves
 * uncompensated.
 *
 * @param middleFlow median metered air [kg/s]
 */
export function lambdaParameters(timeline: Timeline, middleFlow: number): readonly LawParameter[] {
  const speeds = timeline.speed.some((v) => v > 0);
  const ln = Math.log;
  return [
    { name: "fixed", mean: 0.1, sd: 0.15, least: 0, most: 2, step: 2e-3 },
    speeds
      ? { name: "revolutions", mean: 1.5, sd: 0.4, least: 0, most: 4, step: 0.05 }
      : pinned("revolutions", 0),
    {
      name: "gas",
      mean: 0.1 * middleFlow,
      sd: 0.15 * middleFlow,
      least: 0,
      most: 0.05,
      step: 2e-3 * middleFlow,
    },
    { name: "late", mean: 0.03, sd: 0.1, least: 0, most: 2, step: 2e-3 },
    { name: "lag", mean: ln(0.1), sd: 0.7, least: ln(0.01), most: ln(1.5), step: 0.02 },
    { name: "film", mean: 0.12, sd: 0.12, least: -0.2, most: 0.8, step: 5e-3 },
    { name: "filmTime", mean: ln(0.5), sd: 0.6, least: ln(0.1), most: ln(4), step: 0.02 },
    { name: "turns", mean: ln(3.7), sd: 0.35, least: ln(1), most: ln(12), step: 0.02 },
    { name: "foreseen", mean: 0.6, sd: 0.5, least: 0, most: 2, step: 0.01 },
    { name: "meterLag", mean: 0.015, sd: 0.015, least: 0, most: 0.3, step: 2e-3 },
    ...extraShapes.map(({ name, sd }) => ({ name, mean: 0, sd, least: -10 * sd, most: 10 * sd, step: 1e-3 })),
  ];
}

/** Priors when trims alone tell the mixture: the loop follows the needed correction with a delay and a slow lag. */
export function trimParameters(): readonly LawParameter[] {
  const ln = Math.log;
  return [
    { name: "fixed", mean: 0.5, sd: 0.5, least: 0, most: 5, step: 0.02 },
    pinned("revolutions", 0),
    pinned("gas", 0),
    pinned("late", 0),
    { name: "lag", mean: ln(2), sd: 1, least: ln(0.05), most: ln(20), step: 0.02 },
    pinned("film", 0),
    pinned("filmTime", ln(0.5)),
    pinned("turns", ln(1)),
    pinned("foreseen", 1),
    pinned("meterLag", 0),
    ...extraShapes.map(({ name }) => pinned(name, 0)),
  ];
}

/** Rows without time: nothing is carried from one to the next. */
export function rowParameters(): readonly LawParameter[] {
  return trimParameters().map((parameter) =>
    parameter.name === "fixed"
      ? pinned("fixed", 0)
      : parameter.name === "lag"
        ? pinned("lag", Math.log(1e-6))
        : parameter,
  );
}

/** The vector of a law, within the bounds of its parameters. */
export function vectorOf(law: DriveLaw, parameters: readonly LawParameter[]): Float64Array {
  const { transport, transient, extras } = law;
  const wanted = [
    transport.fixed,
    transport.revolutions,
    transport.gas,
    transport.late,
    Math.log(transport.lag),
    transient.film,
    Math.log(transient.filmTime),
    Math.log(transient.turns),
    transient.foreseen,
    transient.meterLag,
    ...extras,
  ];
  return Float64Array.from(parameters, ({ mean, least, most }, k) =>
    Math.max(least, Math.min(most, wanted[k] ?? mean)),
  );
}

/** The law that a vector stands for. */
export const lawOf = (p: Float64Array): DriveLaw => ({
  transport: {
    fixed: p[at.fixed]!,
    revolutions: p[at.revolutions]!,
    gas: p[at.gas]!,
    late: p[at.late]!,
    lag: Math.exp(p[at.lag]!),
  },
  transient: {
    film: p[at.film]!,
    filmTime: Math.exp(p[at.filmTime]!),
    turns: Math.exp(p[at.turns]!),
    foreseen: p[at.foreseen]!,
    meterLag: p[at.meterLag]!,
  },
  extras: Array.from(p.subarray(at.extras)),
});
