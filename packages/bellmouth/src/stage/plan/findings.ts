import type { SwapDocument } from "../../document/index.js";
import { at } from "../../fault/index.js";
import type { CellFlag, TableInspection } from "../../sensor/index.js";
import { chance, figure, inUnit, percent } from "../../text/index.js";
import type { Finding } from "../result-parts.js";
import { worstFirst } from "../verdict-level.js";
import { housingFindings } from "./housing-findings.js";
import { LIMITS } from "./limits.js";
import type { AirflowPlan, HeadroomPlan, PlanResult, TemperaturePlan } from "./result.js";

/** What findings and verdict are made from. */
export interface PlanParts {
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

/** Executed error of a temperature table [K] from which it is a finding: 1 % of the air's density. */
const COARSE = 3;

/** Share of idle flow [1] that one step of the input may be worth before it is a finding. */
const COARSE_IDLE = 0.02;

/** Everything that must be known before the table is used, worst first. */
export function planFindings(document: SwapDocument, parts: PlanParts): readonly Finding[] {
  const write = writers(document, parts.units);
  return worstFirst([
    ...inspectionFindings(parts, write),
    ...demandFindings(parts, write),
    ...cellFindings(document, parts, write),
    ...housingFindings(document),
    ...idleFindings(parts, write),
    ...temperatureFindings(parts.temperature),
  ]);
}

/** Signals and flows as text in the user's units. */
interface Writers {
  readonly signal: (value: number) => string;
  readonly flow: (value: number) => string;
}

const writers = (document: SwapDocument, units: PlanResult["units"]): Writers => ({
  signal: (value) => inUnit(value, units.signal, document.signal),
  flow: (value) => inUnit(value, units.flow, "mass flow"),
});

const inspectionFindings = ({ inspection }: PlanParts, write: Writers): readonly Finding[] =>
  inspection.findings.map(({ level, code, signal, worst, cells }) => ({
    level: level === "danger" ? "danger" : "caution",
    code,
    text: UNSAFE[code](write.signal(signal), percent(Math.abs(worst), 2)),
    cells,
  }));

function demandFindings({ headroom }: PlanParts, write: Writers): readonly Finding[] {
  return headroom.scenarios.flatMap(({ name, state, demand, share, chanceOver }): Finding[] => {
    if (state === "over" || chanceOver >= LIMITS.chance) {
      const text = `'${name}' needs ${write.flow(demand)}; the usable signal ends at ${write.flow(headroom.usable.flow)}. Probability that it exceeds the table, where the ECU reads low: ${chance(chanceOver)}.`;
      return [{ level: "caution", code: "exceeds-table", text }];
    }
    if (state === "clear") return [];
    const text = `'${name}' uses ${percent(share)} of the usable signal. Probability that it exceeds the table: ${chance(chanceOver)}.`;
    return [{ level: "note", code: "little-headroom", text }];
  });
}

/** Cells that rest on a law, lie in transition, or were cut off by the number format. */
function cellFindings(
  document: SwapDocument,
  { airflow: { cells }, headroom }: PlanParts,
  write: Writers,
): readonly Finding[] {
  const flagged = (flag: CellFlag): number[] =>
    cells.flatMap((cell, i) => (cell.flags.includes(flag) ? [i] : []));
  const findings: Finding[] = [];
  const add = (level: Finding["level"], code: string, text: string, of: readonly number[]): void => {
    if (of.length > 0) findings.push({ level, code, text, cells: of });
  };
  const count = (of: readonly number[]): string => (of.length === 1 ? "1 cell" : `${of.length} cells`);
  const extrapolated = flagged("extrapolated");
  const reached = (i: number): boolean =>
    at(headroom.cells, i).reachedBy.length > 0 && at(cells, i).flow >= document.safety.highFlowFrom;
  const used = extrapolated.filter(reached);
  const spare = extrapolated.filter((i) => !reached(i));
  add(
    "caution",
    "extrapolated-cells-in-use",
    `${count(used)} at high flow, from ${write.signal(cells[used[0] ?? 0]?.signal ?? 0)} up, ${used.length === 1 ? "lies past the last measured one and is" : "lie past the last measured one and are"} reached by a scenario: the values rest on a law, not on measurements.`,
    used,
  );
  add(
    "note",
    "extrapolated-cells",
    `${count(spare)} ${spare.length === 1 ? "lies" : "lie"} past the measured ones, where no scenario needs them at high flow.`,
    spare,
  );
  const unsettled = flagged("transition");
  const worst = unsettled.reduce((most, i) => Math.max(most, at(cells, i).u), 0);
  add(
    "note",
    "unsettled-profile",
    `Up to ${write.flow(cells[unsettled.at(-1) ?? 0]?.flow ?? 0)} the flow behind a long pipe is in transition: those cells are uncertain by up to ${percent(worst, 2)}. Idle may need trimming; to be confirmed by logging.`,
    unsettled,
  );
  const wide = cells.flatMap((cell, i) =>
    at(headroom.cells, i).reachedBy.length > 0 &&
    cell.flow >= document.safety.highFlowFrom &&
    1.96 * cell.u > LIMITS.reached
      ? [i]
      : [],
  );
  const widest = wide.reduce((most, i) => Math.max(most, at(cells, i).u), 0);
  add(
    "caution",
    "uncertain-cells-in-use",
    `${count(wide)} at high flow that a demand reaches ${wide.length === 1 ? "is" : "are"} known to ${percent(1.96 * widest, 2)} either way (95 %) at worst: no full throttle before a drive has told better.`,
    wide,
  );
  const clipped = flagged("clipped");
  add(
    "caution",
    "clipped-cells",
    `${count(clipped)} ${clipped.length === 1 ? "is" : "are"} cut off by the ECU's number format.`,
    clipped,
  );
  return findings;
}

function idleFindings({ airflow, headroom: { idle } }: PlanParts, write: Writers): readonly Finding[] {
  if (idle === null) return [];
  const findings: Finding[] = [];
  const near = airflow.cells.reduce((a, b) =>
    Math.abs(b.wanted - idle.flow) < Math.abs(a.wanted - idle.flow) ? b : a,
  );
  if (1.96 * near.u > LIMITS.idle) {
    const text = `At idle (${write.flow(idle.flow)}) the table is known to ${percent(1.96 * near.u, 2)} either way (95 %), more than fuel trims can usually hide: expect a rough first start, and decide whether to measure first.`;
    findings.push({ level: "caution", code: "uncertain-idle", text });
  }
  if (idle.below) {
    const text = `Idle (${write.flow(idle.flow)}) lies below the usable signal: the meter would not measure it.`;
    findings.push({ level: "caution", code: "idle-below", text });
  }
  if (idle.stepShare !== null && idle.stepShare > COARSE_IDLE) {
    const text = `One step of the input is worth ${percent(idle.stepShare, 2)} of the idle flow.`;
    findings.push({ level: "note", code: "coarse-idle", text });
  }
  return findings;
}

function temperatureFindings(temperature: TemperaturePlan | null): readonly Finding[] {
  if (temperature === null) {
    const text =
      "No air-temperature element is described: if the new housing carries another element, the present temperature table is wrong for it.";
    return [{ level: "note", code: "no-temperature-table", text }];
  }
  const { fit, worst } = temperature;
  const findings: Finding[] = [];
  const [point] = fit.outliers;
  if (point !== undefined) {
    const text = `${fit.outliers.length} of the element's points do not fit the others (the first: ${inUnit(point.temperature, "degC", "temperature")}, off by ${figure(point.kelvin, 2)} K): check for a misprint.`;
    findings.push({ level: "caution", code: "temperature-outliers", text });
  }
  if (Math.abs(worst.error) > COARSE) {
    const text = `As executed the temperature table is off by ${figure(worst.error, 2)} K at ${inUnit(worst.temperature, "degC", "temperature")}: give its axis a breakpoint nearer to that end, or narrow the band.`;
    findings.push({ level: "caution", code: "coarse-temperature", text });
  }
  return findings;
}
