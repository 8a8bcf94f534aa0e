import { evidenced } from "./evidence.js";
import { type Suspicion, strongOdds } from "./find-suspects.js";
import type {
  RefinedCell,
  RefineOptions,
  RefineResult,
  RefineSums,
  SuspectFinding,
  Verdict,
} from "./types.js";

/** A table is called converged when every evidenced cell's correction and interval are within this [1]. */
const convergedWithin = 0.01;
const percent = (value: number, digits = 1): string => `${(100 * value).toFixed(digits)} %`;

/** What the drives say besides the table: plain verdicts, the weightiest first. */
export function judge(
  sums: RefineSums,
  result: Omit<RefineResult, "verdicts" | "next">,
  found: Suspicion,
  options: RefineOptions,
): readonly Verdict[] {
  const verdicts: Verdict[] = [];
  const used = sums.drives.filter((drive) => drive.refused === null);
  if (used.length === 0) {
    const reasons = sums.drives.map((drive) => `${drive.name}: ${drive.refused?.text ?? ""}`).join(" ");
    return [{ code: "nothing usable", text: `No drive could be used. ${reasons}` }];
  }
  const spoken = result.cells.filter(evidenced);
  if (found.believed !== null)
    verdicts.push(suspectVerdict(found.believed, found.accepted !== null, result.cells[0]));
  else if (leakShaped(result) || leakLikely(result))
    verdicts.push({
      code: "leak or table",
      text: "The correction fades with flow as air that enters behind the meter would, and the drives cannot tell the two apart. Look for an air leak (smoke or pressure test) before the table is changed at low flow.",
    });
  if (options.fuelScale === undefined)
    verdicts.push({
      code: "scale cannot be told apart",
      text: scaleStandsOut(result)
        ? `All cells together ask for ${percent(Math.expm1(result.common.value))}. Injectors, fuel pressure or fuel would look the same, and lambda cannot tell them from air. The table takes it all; a drive with the old meter in place would tell.`
        : `All cells together ask for ${percent(Math.expm1(result.common.value))}, which is little. It may still be two errors that cancel: lambda alone cannot tell air from injectors, fuel pressure or fuel. A drive with the old meter in place would.`,
    });
  const limit = share(sums, "lambda at its limit");
  if (limit > 0.05)
    verdicts.push({
      code: "lambda at its limit",
      text: `For ${percent(limit, 0)} of the rows the lambda sensor showed the end of its range: what lies beyond was not used.`,
    });
  const saturated = share(sums, "trim saturated");
  if (saturated > 0.02)
    verdicts.push({
      code: "trims saturated",
      text: `For ${percent(saturated, 0)} of the rows a trim was at its limit: the error there is at least what it shows. Apply this pass and drive again.`,
    });
  for (const drive of used)
    if (
      drive.delay !== null &&
      drive.transport !== null &&
      (drive.delay.value > 1 || drive.transport.lag > 0.5)
    )
      verdicts.push({
        code: "lag",
        text: `${drive.name}: lambda answers ${drive.delay.value.toFixed(2)} s after the fuel, and the sensor takes ${drive.transport.lag.toFixed(2)} s more. That is slow for a sensor near the engine: an old sensor, one far down the pipe, or a slow interface.`,
      });
  const worst = Math.max(0, ...spoken.map((cell) => Math.abs(cell.after / cell.before - 1)));
  const widest = Math.max(0, ...spoken.map((cell) => 1.96 * cell.u));
  if (spoken.length > 0 && worst < convergedWithin && widest < 2 * convergedWithin)
    verdicts.push({
      code: "converged",
      text: `No driven cell asks for more than ${percent(worst)}; the widest interval of a driven cell is +-${percent(widest)}.`,
    });
  else
    verdicts.push({
      code: "drive more",
      text:
        worst < convergedWithin
          ? `The corrections are small (${percent(worst)} at most), but intervals are up to +-${percent(widest)}: drive what is listed.`
          : `The largest correction is ${percent(worst)}: put the table in and drive again to check it.`,
    });
  return verdicts;
}

/** True when all cells together ask for more than chance and a usual table would. */
export const scaleStandsOut = ({ common }: Pick<RefineResult, "common">): boolean =>
  Math.abs(common.value) > 2 * common.u + 0.005;

function share(sums: RefineSums, reason: "lambda at its limit" | "trim saturated"): number {
  let rows = 0;
  let left = 0;
  for (const drive of sums.drives) {
    rows += drive.gates.rows;
    left += drive.gates.left[reason] ?? 0;
  }
  return rows > 0 ? left / rows : 0;
}

function suspectVerdict(
  { suspect, size, u }: SuspectFinding,
  setApart: boolean,
  least: RefinedCell | undefined,
): Verdict {
  if (suspect === "leak") {
    const much = `${(1000 * size).toFixed(2)} +- ${(1000 * 1.96 * u).toFixed(2)} g/s at high vacuum`;
    return {
      code: "leak",
      text: setApart
        ? `Something else is wrong: a leak. Air enters behind the meter, ${much}, and follows the manifold's vacuum as no table error can. Mend it and drive again; the table was refined with the leak set apart.`
        : `Something else is wrong: most likely a leak. What is off follows the manifold's vacuum as air that enters behind the meter would, ${much}. It is not certain enough to be set apart, so the table holds it at low flow: look for the leak (smoke or pressure test), mend it, and drive again before the table is changed there.`,
    };
  }
  if (suspect === "exhaust leak")
    return {
      code: "exhaust leak",
      text: `Something else is wrong: lambda reads lean by up to ${percent(size)} at low flow in the way of outside air that enters the exhaust before the sensor. Check joints and the sensor's place; the table holds it until then.`,
    };
  const share = size / Math.max(1e-12, least?.before ?? 0);
  return {
    code: "injector offset",
    text: `Something else is wrong: fuel is ${size > 0 ? "missing" : "in excess"} at every injection by a fixed amount (about ${percent(Math.abs(share))} of the least flow at one revolution a second), as a wrong injector dead time gives. Set it right first; the table holds it until then.`,
  };
}

/**
 * True when the correction looks like a leak's: a level plus something over flow, mostly explained so, and large at the low end.
 */
function leakShaped(result: Omit<RefineResult, "verdicts" | "next">): boolean {
  const cells = result.cells.filter(evidenced);
  if (cells.length < 5) return false;
  const x = cells.map((cell) => 1 / cell.before);
  const y = cells.map(logCentre);
  const w = cells.map((cell) => 1 / (cell.u ** 2 + 0.003 ** 2));
  const sum = (f: (i: number) => number): number => cells.reduce((total, _, i) => total + w[i]! * f(i), 0);
  const whole = sum(() => 1);
  const mx = sum((i) => x[i]!) / whole;
  const my = sum((i) => y[i]!) / whole;
  const sxx = sum((i) => (x[i]! - mx) ** 2);
  const sxy = sum((i) => (x[i]! - mx) * (y[i]! - my));
  const syy = sum((i) => (y[i]! - my) ** 2);
  const slope = sxy / sxx;
  const explained = (slope * sxy) / syy;
  const rise = slope * (Math.max(...x) - Math.min(...x));
  return rise > 0.04 && explained > 0.6;
}

/** True when a leak explains the drives clearly better than the table alone, though they hold too little load to tell. */
const leakLikely = ({ suspects }: Omit<RefineResult, "verdicts" | "next">): boolean =>
  suspects.some(({ suspect, size, logOdds }) => suspect === "leak" && size > 0 && logOdds > strongOdds);

const logCentre = (cell: { low: number; high: number; before: number }): number =>
  Math.log(Math.sqrt(cell.low * cell.high) / cell.before);
