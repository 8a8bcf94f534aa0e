import type { TransferCurve } from "../../sensor/index.js";
import type { Counted } from "./totals.js";
import type {
  CauseFinding,
  DriveSummary,
  FieldRegion,
  RefinedCell,
  RefineFinding,
  RefineOptions,
  RefineResult,
} from "./types.js";

/** What findings are told of beside the result: the table before, the drives that count. */
export interface Refined {
  readonly curve: TransferCurve;
  readonly counted: Counted;
  readonly options: RefineOptions;
}

/** A table is called converged when every evidenced cell's correction and interval are within this [1]. */
const convergedWithin = 0.01;
/** Differences between drives, and a common error, from which a decision is needed [1]. */
const drivesDiffer = 0.01;
const commonLarge = 0.03;
/** Misfit from which stretches of a drive are said to disagree [1]: 1.5 times in standard deviation. */
const stretchesDisagree = 2.25;

const percent = (value: number, digits = 1): string => `${(100 * value).toFixed(digits).replace("-", "−")} %`;
const finding = (
  code: RefineFinding["code"],
  level: RefineFinding["level"],
  text: string,
  cells: readonly number[] = [],
): RefineFinding => ({ code, level, text, cells });

/** What the drives say besides the table, the weightiest first. */
export function findingsOf(
  result: Omit<RefineResult, "findings" | "next">,
  solved: Refined,
  spoke: readonly boolean[],
): readonly RefineFinding[] {
  const { counted, options } = solved;
  const repeats = counted.repeats.map(({ name, share }) =>
    finding(
      "repeated log",
      "note",
      share >= 0.95
        ? `${name} repeats rows of other logs and was not counted again.`
        : `${percent(share, 0)} of ${name} repeats rows of other logs; its evidence counts for the rest only.`,
    ),
  );
  if (counted.drives.length === 0) {
    const reasons = result.drives.map((drive) => `${drive.name}: ${drive.refused?.text ?? ""}`).join(" ");
    return [finding("nothing usable", "danger", `No drive could be used. ${reasons}`), ...repeats];
  }
  const used = counted.drives.map(({ record }) => record.summary);
  return [
    ...ofCauses(result),
    ...ofScale(result, solved, spoke),
    ...ofDrives(result, used),
    ...ofSensors(result, used),
    ...repeats,
    ...ofProgress(result, spoke, options.fuelScale === undefined),
  ];
}

const mendFirst =
  "Look for it by a smoke or pressure test, mend it and drive again before the table is changed at low flow.";

function ofCauses(result: Omit<RefineResult, "findings" | "next">): RefineFinding[] {
  const { named, region } = result;
  const held = result.cells.flatMap((cell, i) => (cell.held === "possible cause" ? [i] : []));
  if (named !== null) return [causeFinding(named, result.cells[0], held)];
  const out: RefineFinding[] = [];
  if (region !== null)
    out.push(finding("none of these", "caution", regionText(region, result.causes.length > 0)));
  const hinted = result.causes.some(
    ({ cause, size, logOdds }) => cause === "leak" && size > 0 && logOdds > 3,
  );
  if (hinted || leakShaped(result.cells))
    out.push(
      finding(
        "leak or table",
        "caution",
        "Smoke or pressure test first: the correction fades with flow as air that enters behind the meter would, and these drives cannot tell the two apart. Look for an air leak before the table is changed at low flow. Purge, or blending with another airflow model at low speed, looks alike.",
      ),
    );
  return out;
}

function causeFinding(
  { cause, size, u }: CauseFinding,
  least: RefinedCell | undefined,
  held: readonly number[],
): RefineFinding {
  if (cause === "leak")
    return finding(
      "leak",
      "caution",
      `Smoke or pressure test first: a leak is likely. What is off follows the manifold's vacuum as air that enters behind the meter would, ${(1000 * size).toFixed(2)} g/s at high vacuum (95 %: ${(1000 * (size - 1.96 * u)).toFixed(2)} to ${(1000 * (size + 1.96 * u)).toFixed(2)}). No cell was leaned for it; intervals hold both explanations. ${mendFirst}`,
      held,
    );
  if (cause === "exhaust leak")
    return finding(
      "exhaust leak",
      "caution",
      `Outside air in the exhaust before the sensor is likely: lambda reads lean by up to ${percent(size)} at low flow. Check joints and the sensor's place, then drive again. No cell was leaned for it; intervals hold both explanations.`,
      held,
    );
  const share = size / Math.max(1e-12, least?.before ?? 0);
  const much =
    Math.abs(share) < 1
      ? ` (about ${percent(Math.abs(share), 2)} of the least flow at one revolution a second)`
      : "";
  return finding(
    "injector offset",
    "caution",
    `Fuel is ${size > 0 ? "missing" : "in excess"} at every injection by a fixed amount${much}, as a wrong injector dead time gives. Set it right first, then drive again. No cell was leaned for it; intervals hold both explanations.`,
    held,
  );
}

/** Where the field is largest, in words. */
function regionText({ speed, pressureRatio, pressure, size }: FieldRegion, sized: boolean): string {
  const rpm = Math.round((60 * speed) / 50) * 50;
  const manifold = Number.isFinite(pressure)
    ? `${(pressure / 1000).toFixed(0)} kPa (${percent(pressureRatio, 0)} of outside pressure)`
    : `${percent(pressureRatio, 0)} of outside pressure`;
  const none = sized
    ? "None of the possible causes that can be sized (leak, injector offset, exhaust leak) explains the drives"
    : "What is off is not the same everywhere at one airflow, and these drives cannot size a leak or an injector offset";
  return `${none}: the mixture is ${percent(Math.abs(Math.expm1(size)))} ${size < 0 ? "rich" : "lean"} near ${rpm} rpm with the manifold at ${manifold}, against elsewhere at the same airflow. Reversion or pulsation at the meter, purge, blending with another airflow model, a lambda sensor that reads off, or a trigger would do so. A table of the signal cannot hold it; intervals are wider there.`;
}

function ofScale(
  result: Omit<RefineResult, "findings" | "next">,
  { curve, options }: Refined,
  spoke: readonly boolean[],
): RefineFinding[] {
  const out: RefineFinding[] = [];
  const beyond = result.cells.flatMap((cell, i) => {
    const plan = 1.959964 * Math.hypot(...Object.values(curve.cells[i]!.budget).map((part) => part ?? 0));
    const off = Math.abs(Math.log(cell.mean / cell.before));
    return spoke[i] && plan > 0 && off - 1.959964 * cell.uShape > plan ? [i] : [];
  });
  if (options.prior === undefined && beyond.length > 0) {
    const worst = beyond.reduce((a, b) =>
      Math.abs(Math.log(result.cells[b]!.mean / result.cells[b]!.before)) >
      Math.abs(Math.log(result.cells[a]!.mean / result.cells[a]!.before))
        ? b
        : a,
    );
    const { mean, before } = result.cells[worst]!;
    out.push(
      finding(
        "beyond the plan",
        "caution",
        `${beyond.length} ${beyond.length === 1 ? "cell asks" : "cells ask"} for more than the table's own 95 % interval allows (${percent(mean / before - 1)} at the most). Before it is typed in, check what the plan was made from: the bore that was measured, the donor's table, the element and its position, and then fuel pressure, injectors and fuel.`,
        beyond,
      ),
    );
  }
  if (options.fuelScale === undefined) {
    const common = Math.expm1(result.common.value);
    const much = Math.abs(result.common.value) > commonLarge && scaleStandsOut(result);
    out.push(
      finding(
        "scale cannot be told apart",
        much ? "caution" : "note",
        `All driven cells together ask for ${percent(common)}${scaleStandsOut(result) ? "" : ", which is little; it may still be two errors that cancel"}. Injectors, fuel pressure, the fuel or the lambda sensor itself would look the same, and lambda cannot tell them from air: every interval holds a standard uncertainty of 1.5 % for that. The table takes it all; a drive with the old meter in place would tell.`,
      ),
    );
  }
  return out;
}

function ofDrives(
  result: Omit<RefineResult, "findings" | "next">,
  used: readonly DriveSummary[],
): RefineFinding[] {
  const out: RefineFinding[] = [];
  const { drives } = result.spread;
  if (used.length > 1)
    out.push(
      finding(
        "drives differ",
        drives > drivesDiffer ? "caution" : "note",
        drives < 0.001
          ? `The ${used.length} drives agree: no difference between them is shown.`
          : `The drives differ by ${percent(drives)} (standard deviation), each as a whole: fuel, its temperature, the lambda sensor or what the ECU has learnt. The intervals hold that.`,
      ),
    );
  const odd = used.filter(({ misfit }) => misfit > stretchesDisagree);
  if (odd.length > 0)
    out.push(
      finding(
        "stretches disagree",
        "note",
        `Stretches of ${odd.map(({ name, misfit }) => `${name} (${Math.sqrt(misfit).toFixed(1)} times)`).join(", ")} disagree by more than the noise allows; the intervals are widened by as much.`,
      ),
    );
  return out;
}

function ofSensors(
  result: Omit<RefineResult, "findings" | "next">,
  used: readonly DriveSummary[],
): RefineFinding[] {
  const out: RefineFinding[] = [];
  for (const { name, refused } of result.drives)
    if (refused?.reason === "lambda stands still")
      out.push(finding("lambda stands still", "caution", `${name} was not used. ${refused.text}`));
  const share = (reason: "lambda at its limit" | "trim saturated"): number => {
    let rows = 0;
    let left = 0;
    for (const { gates } of result.drives) {
      rows += gates.rows;
      left += gates.left[reason] ?? 0;
    }
    return rows > 0 ? left / rows : 0;
  };
  const limit = share("lambda at its limit");
  if (limit > 0.05)
    out.push(
      finding(
        "lambda at its limit",
        "caution",
        `For ${percent(limit, 0)} of the rows the lambda sensor showed the end of its range: what lies beyond was not used.`,
      ),
    );
  const saturated = share("trim saturated");
  if (saturated > 0.02)
    out.push(
      finding(
        "trims saturated",
        "caution",
        `For ${percent(saturated, 0)} of the rows a trim was at its limit: the error there is at least what it shows. Apply this pass and drive again.`,
      ),
    );
  if (used.every(({ source }) => source === "trims"))
    out.push(
      finding(
        "trims only",
        "note",
        "Only trims tell the mixture: they count where feedback acts. Full load and overrun were left out, so the table is not refined there; a wideband lambda sensor would tell.",
      ),
    );
  for (const drive of used)
    if (
      drive.delay !== null &&
      drive.transport !== null &&
      (drive.delay.value > 1 || drive.transport.lag > 0.5)
    )
      out.push(
        finding(
          "lag",
          "note",
          `${drive.name}: lambda answers ${drive.delay.value.toFixed(2)} s after the fuel, and the sensor takes ${drive.transport.lag.toFixed(2)} s more. That is slow for a sensor near the engine: an old sensor, one far down the pipe, or a slow interface.`,
        ),
      );
  return out;
}

function ofProgress(
  result: Omit<RefineResult, "findings" | "next">,
  spoke: readonly boolean[],
  scaleOpen: boolean,
): RefineFinding[] {
  const spoken = result.cells.filter((_, i) => spoke[i]);
  let worst = 0;
  let widest = 0;
  for (const cell of spoken) {
    worst = Math.max(worst, Math.abs(cell.after / cell.before - 1));
    widest = Math.max(widest, 1.959964 * cell.uShape);
  }
  const apart = scaleOpen ? " apart from the common scale" : "";
  if (spoken.length > 0 && worst < convergedWithin && widest < 2 * convergedWithin)
    return [
      finding(
        "converged",
        "note",
        `No driven cell asks for more than ${percent(worst)}; the widest 95 % interval of a driven cell reaches ${percent(widest)} to either side${apart}.`,
      ),
    ];
  return [
    finding(
      "drive more",
      "note",
      worst < convergedWithin
        ? `The corrections are small (${percent(worst)} at most), but 95 % intervals reach ${percent(widest)} to either side${apart}: drive what is listed.`
        : `The largest correction is ${percent(worst)}: put the table in and drive again to check it.`,
    ),
  ];
}

/** True when all cells together ask for more than chance and a usual table would. */
export const scaleStandsOut = ({ common }: Pick<RefineResult, "common">): boolean =>
  Math.abs(common.value) > 2 * common.u + 0.005;

/** Least rise over the driven cells, and least share of the correction's variance that a leak's shape explains, for a hint [1]. */
const leastRise = 0.04;
const leastShaped = 0.6;

/** True when the correction looks like a leak's: a level plus something over flow, mostly explained so, and large at the low end. */
function leakShaped(all: readonly RefinedCell[]): boolean {
  const cells = all.filter((cell) => cell.seconds >= 0.5 && cell.evidence >= 0.3 && cell.before > 0);
  if (cells.length < 5) return false;
  const x = cells.map((cell) => 1 / cell.before);
  const y = cells.map((cell) => Math.log(cell.mean / cell.before));
  const w = cells.map((cell) => 1 / (cell.uShape ** 2 + 0.003 ** 2));
  const sum = (f: (i: number) => number): number => cells.reduce((total, _, i) => total + w[i]! * f(i), 0);
  const whole = sum(() => 1);
  const mx = sum((i) => x[i]!) / whole;
  const my = sum((i) => y[i]!) / whole;
  const sxx = sum((i) => (x[i]! - mx) ** 2);
  const sxy = sum((i) => (x[i]! - mx) * (y[i]! - my));
  const syy = sum((i) => (y[i]! - my) ** 2);
  const slope = sxy / sxx;
  return slope * (x[0]! - x.at(-1)!) > leastRise && (slope * sxy) / syy > leastShaped;
}
