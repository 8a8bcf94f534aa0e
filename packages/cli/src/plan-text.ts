import type { KeyFigure, PlanResult, UsableSignal } from "bellmouth/stage";
import { limitWords, VERDICT_WORDS } from "bellmouth/stage";
import { type Dimension, unitScale } from "bellmouth/text";
import { aligned, short } from "./layout.js";
import { plain } from "./words.js";

/** An SI number in a unit, with it. */
function inUnit(value: number, unit: string, dimension: Dimension): string {
  const { factor, offset } = unitScale(unit, dimension);
  return `${short((value - offset) / factor)} ${unit}`;
}

const percent = (value: number): string => `${short(100 * value)} %`;

/** A probability in words no finer than it is known. */
const chance = (value: number): string =>
  value > 0.995 ? "almost certain" : value < 0.001 ? "under 0.1 %" : `${short(100 * value, 2)} %`;

const interval = ({ low, high, unit }: KeyFigure): string =>
  low === null || high === null ? "" : `(95 %: ${short(low)} to ${short(high)} ${unit})`;

/** Verdict, the figures that matter, and what was found, for a terminal. */
export function planText(plan: PlanResult): string {
  const { verdict } = plan;
  const figures = plan.keyFigures.map((key) =>
    `  ${plain(key.name, 200)}: ${short(key.value)} ${key.unit} ${interval(key)}`.trimEnd(),
  );
  const words = { danger: "DANGER", caution: "CAUTION", note: "note" } as const;
  const findings = verdict.findings.map(({ level, text }) => `  ${words[level]}: ${plain(text, 2000)}\n`);
  return [
    `${plain(plan.title, 200)}\n`,
    `${VERDICT_WORDS[verdict.level].toUpperCase()}: ${plain(verdict.sentence, 2000)}\n`,
    `${figures.join("\n")}\n`,
    findings.length === 0 ? "" : `Found\n${findings.join("")}`,
  ]
    .filter((part) => part !== "")
    .join("\n");
}

/** Both ends of the signal, by scenario. */
export function headroomText(plan: PlanResult): string {
  const { usable, usableBefore, scenarios, idle } = plan.headroom;
  const flow = (value: number): string => inUnit(value, plan.units.flow, "mass flow");
  const signal = (value: number): string => inUnit(value, plan.units.signal, plan.signal);
  const limit = ({ to, flow: most, limitedBy }: UsableSignal, at: string): string =>
    `${at} to ${flow(most)}${at === "Usable" ? ` at ${signal(to)}` : ""}; ${limitWords(limitedBy)} sets the limit\n`;
  const table = aligned([
    ["scenario", "asks for", "signal", "share used", "left", "chance of running past", "state", "before"],
    ...scenarios.map((scenario) => [
      plain(scenario.name),
      flow(scenario.demand),
      signal(scenario.signal),
      percent(scenario.share),
      flow(scenario.flowLeft),
      chance(scenario.chanceOver),
      scenario.state,
      scenario.before === null ? "" : `${percent(scenario.before.share)}, ${scenario.before.state}`,
    ]),
  ]);
  const step = idle?.stepShare ?? null;
  const low =
    idle === null
      ? ""
      : `\nIdle, ${flow(idle.flow)}, stands at ${signal(idle.signal)}${idle.below ? ", BELOW the usable signal" : ""}${
          step === null ? "" : `; one step of the input is worth ${percent(step)} of the flow there`
        }\n`;
  return `${limit(usable, "Usable")}${usableBefore === null ? "" : limit(usableBefore, "The present meter was usable")}\n${table}${low}`;
}

/** The range of bores, and which one answers the question. */
export function sweepText(plan: PlanResult): string {
  const { sweep } = plan;
  if (sweep === null) return "";
  const rows = sweep.rows.map((row) => [
    inUnit(row.bore, "mm", "length"),
    short(row.flowRatio),
    ...row.scenarios.map((scenario) => percent(scenario.share)),
    row.idleStepShare === null ? "-" : percent(row.idleStepShare),
    row.drop === null ? "-" : inUnit(row.drop.value, "Pa", "pressure difference"),
    row.meets ? "yes" : "no",
  ]);
  const head = [
    "bore",
    "flow at one signal",
    ...plan.headroom.scenarios.map((scenario) => plain(scenario.name, 30)),
    "step at idle",
    "drop",
    "meets the limits",
  ];
  return `${plain(sweep.sentence, 2000)}\n\n${aligned([head, ...rows])}`;
}
