import type { SwapDocument } from "../../document/index.js";
import type { TableInspection } from "../../sensor/index.js";
import { chance, figure, inUnit, percent } from "../../text/index.js";
import type { Finding, KeyFigure, Verdict } from "../result-parts.js";
import { verdictLevel, worstFirst } from "../verdict-level.js";
import { housingFindings } from "./housing-findings.js";
import type { AirflowPlan, HeadroomPlan, PlanResult, TemperaturePlan } from "./result.js";

/** What the verdict is made from. */
export interface Findings {
  readonly airflow: AirflowPlan;
  readonly temperature: TemperaturePlan | null;
  readonly headroom: HeadroomPlan;
  readonly inspection: TableInspection;
  readonly units: PlanResult["units"];
}

const UNSAFE: {
  readonly [code in TableInspection["findings"][number]["code"]]: (where: string, how: string) => string;
} = {
  "not-increasing": (where) =>
    `The stored flows do not rise from cell to cell, first at ${where}: the number format is too coarse there, or the axis too fine.`,
  "unflagged-extrapolation": (where) => `Cells past the measured ones do not say so, first at ${where}.`,
  "reads-low": (where, how) =>
    `At high flow the table as executed reads low by ${how} at ${where}, more than its own uncertainty: lean. Widen the axis or the number format, or ask for a rich bias.`,
};

/** Executed error of a temperature table [K] from which it is worth a look: 1 % of the air's density. */
const COARSE = 3;

/** Everything a person should know before using the table, worst first. */
export function planReasons(document: SwapDocument, found: Findings): readonly Finding[] {
  const signal = (value: number): string => inUnit(value, found.units.signal, document.signal);
  const flow = (value: number): string => inUnit(value, found.units.flow, "mass flow");
  const findings: Finding[] = found.inspection.findings.map((finding) => ({
    level: finding.level === "danger" ? "danger" : "caution",
    code: finding.code,
    text: UNSAFE[finding.code](signal(finding.signal), percent(Math.abs(finding.worst), 2)),
    cells: finding.cells,
  }));
  const { cells } = found.airflow;
  const indices = (test: (cell: (typeof cells)[number], i: number) => boolean): number[] =>
    cells.flatMap((cell, i) => (test(cell, i) ? [i] : []));
  const add = (level: Finding["level"], code: string, text: string, at: readonly number[] = []): void => {
    findings.push({ level, code, text, cells: at });
  };

  for (const scenario of found.headroom.scenarios) {
    if (scenario.state === "over") {
      add(
        "caution",
        "runs-past",
        `'${scenario.name}' asks for ${flow(scenario.demand)}; the usable signal ends at ${flow(found.headroom.usable.flow)}: ${chance(scenario.chanceOver)} to run past it, where the engine computer reads low.`,
      );
    } else if (scenario.state === "watch") {
      add(
        "note",
        "little-room",
        `'${scenario.name}' uses ${percent(scenario.share)} of the usable signal (${chance(scenario.chanceOver)} to run past it).`,
      );
    }
  }
  const high = document.safety.highFlowFrom;
  const extrapolated = indices((cell) => cell.flags.includes("extrapolated"));
  const needed = extrapolated.filter(
    (i) => (found.headroom.cells[i]?.reachedBy.length ?? 0) > 0 && (cells[i]?.flow ?? 0) >= high,
  );
  if (needed.length > 0) {
    add(
      "caution",
      "extrapolated-cells-in-use",
      `${needed.length === 1 ? "1 cell" : `${needed.length} cells`} at high flow, from ${signal(cells[needed[0] as number]?.signal ?? 0)} up, ${needed.length === 1 ? "lies past the last measured one and is" : "lie past the last measured one and are"} reached by a scenario: what stands there rests on a law, not on measurements.`,
      needed,
    );
  }
  const spare = extrapolated.filter((i) => !needed.includes(i));
  if (spare.length > 0) {
    add(
      "note",
      "extrapolated-cells",
      `${spare.length === 1 ? "1 cell lies" : `${spare.length} cells lie`} past the measured ones, where no scenario needs them at high flow.`,
      spare,
    );
  }
  const unsettled = indices((cell) => cell.flags.includes("transition"));
  if (unsettled.length > 0) {
    const top = cells[unsettled[unsettled.length - 1] as number];
    const worst = Math.max(...unsettled.map((i) => cells[i]?.u ?? 0));
    add(
      "note",
      "unsettled-profile",
      `Up to ${flow(top?.flow ?? 0)} the flow behind a long pipe is in transition: those cells are uncertain by up to ${percent(worst, 2)}. Idle may need trimming; a drive tells.`,
      unsettled,
    );
  }
  findings.push(...housingFindings(document));
  const clipped = indices((cell) => cell.flags.includes("clipped"));
  if (clipped.length > 0) {
    add(
      "caution",
      "clipped-cells",
      `${clipped.length} cells are cut off by the engine computer's number format.`,
      clipped,
    );
  }
  const { idle } = found.headroom;
  if (idle?.below === true) {
    add(
      "caution",
      "idle-below",
      `Idle (${flow(idle.flow)}) lies below the usable signal: the meter would not see it.`,
    );
  }
  if (idle !== null && idle.stepShare !== null && idle.stepShare > 0.02) {
    add(
      "note",
      "coarse-idle",
      `One step of the input is worth ${percent(idle.stepShare, 2)} of the idle flow.`,
    );
  }
  const { temperature } = found;
  if (temperature !== null && temperature.fit.outliers.length > 0) {
    const [point] = temperature.fit.outliers;
    add(
      "caution",
      "temperature-outliers",
      `${temperature.fit.outliers.length} of the element's points do not fit the others (the first: ${inUnit(point?.temperature ?? 0, "degC", "temperature")}, off by ${figure(point?.kelvin ?? 0, 2)} K): check for a misprint.`,
    );
  }
  if (temperature !== null && Math.abs(temperature.worst.error) > COARSE) {
    add(
      "caution",
      "coarse-temperature",
      `As executed the temperature table is off by ${figure(temperature.worst.error, 2)} K at ${inUnit(temperature.worst.temperature, "degC", "temperature")}: give its axis a breakpoint nearer to that end, or narrow the band.`,
    );
  }
  if (temperature === null) {
    add(
      "note",
      "no-temperature-table",
      "No air-temperature element is described: if the new housing carries another element, the present temperature table is wrong for it.",
    );
  }
  return worstFirst(findings);
}

/** One sentence, and the worst of the findings. */
export function planVerdict(document: SwapDocument, found: Findings, findings: readonly Finding[]): Verdict {
  const level = verdictLevel(findings);
  return { level, sentence: sentence(document, found, level), findings };
}

function sentence(document: SwapDocument, found: Findings, level: Verdict["level"]): string {
  if (level === "do not use") {
    return "The planned table is not safe to use, and none was written; the findings say what to change.";
  }
  const { scenarios } = found.headroom;
  const fit = scenarios.filter((scenario) => scenario.state !== "over");
  const over = scenarios.filter((scenario) => scenario.state === "over");
  const table = `The new table covers ${scenarios.length === fit.length ? "everything asked of it" : fit.length === 0 ? "none of what is asked of it" : `'${fit[fit.length - 1]?.name}' but not '${over[0]?.name}'`}`;
  const typical = uncertaintyAtHigh(document, found.airflow);
  return `${table}; at high flow it is known to ± ${percent(typical, 2)} (one standard uncertainty), ${
    level === "ready"
      ? "good enough to start from, not to finish with"
      : "but something needs your decision before the first start"
  }.`;
}

/** Largest standard uncertainty among the high-flow cells that a scenario reaches [1]. */
function uncertaintyAtHigh(document: SwapDocument, airflow: AirflowPlan): number {
  const high = airflow.cells.filter((cell) => cell.flow >= document.safety.highFlowFrom);
  return Math.max(0, ...(high.length > 0 ? high : airflow.cells).map((cell) => cell.u));
}

/** The three numbers that matter: room at the top, trust at high flow, and the step from area-only scaling or at idle. */
export function planKeyFigures(document: SwapDocument, found: Findings): readonly KeyFigure[] {
  const { scenarios } = found.headroom;
  const hardest = scenarios.reduce((a, b) => (b.share > a.share ? b : a));
  const spread = 1.96 * Math.hypot(hardest.u, uncertaintyAtHigh(document, found.airflow));
  const span = found.headroom.usable;
  // The share's interval follows from the flow's by the slope of the table there.
  const { cells } = found.airflow;
  const shareAt = (flow: number): number => {
    const k = Math.max(
      1,
      cells.findIndex((cell) => cell.wanted >= flow),
    );
    const right = cells[k] ?? cells[cells.length - 1];
    const left = cells[k - 1] ?? right;
    if (left === undefined || right === undefined) return Number.NaN;
    const slope = (right.signal - left.signal) / (right.wanted - left.wanted);
    return (left.signal + slope * (flow - left.wanted) - span.from) / (span.to - span.from);
  };
  const typical = uncertaintyAtHigh(document, found.airflow);
  const before = hardest.before === null ? "" : ` With the present meter: ${percent(hardest.before.share)}.`;
  return [
    {
      name: `Signal used by '${hardest.name}'`,
      value: 100 * hardest.share,
      low: 100 * shareAt(hardest.demand * (1 - spread)),
      high: 100 * shareAt(hardest.demand * (1 + spread)),
      unit: "%",
      meaning: `Of the usable signal; 100 % is its end.${before}`,
    },
    {
      name: "Flow left above it",
      value: (100 * hardest.flowLeft) / hardest.demand,
      low: 100 * ((1 + hardest.flowLeft / hardest.demand) * (1 - spread) - 1),
      high: 100 * ((1 + hardest.flowLeft / hardest.demand) * (1 + spread) - 1),
      unit: "%",
      meaning: `How much more air the meter could still measure; ${chance(hardest.chanceOver)} to run past it.`,
    },
    {
      name: "Trust at high flow",
      value: 100 * typical,
      low: null,
      high: null,
      unit: "%",
      meaning: `Standard uncertainty of the least certain cell above ${inUnit(document.safety.highFlowFrom, found.units.flow, "mass flow")}.`,
    },
  ];
}
