import type { Estimate, TrialResult } from "bellmouth/intake";
import type { DecisionResult, Finding, KeyFigure, RestrictionResult, TrialOutcome } from "bellmouth/stage";
import { unitScale } from "bellmouth/text";
import { aligned, short } from "./layout.js";
import { plain } from "./words.js";

const span = (one: Estimate | null, factor: number): string =>
  one === null || one.from === null || one.to === null
    ? "-"
    : `${short(one.from / factor)} .. ${short(one.to / factor)}`;

function keyLines(figures: readonly KeyFigure[]): string {
  return figures
    .map((key) => {
      const interval =
        key.low === null || key.high === null
          ? ""
          : ` (95 %: ${short(key.low)} to ${short(key.high)} ${key.unit})`;
      return `  ${plain(key.name)}: ${short(key.value)} ${key.unit}${interval}\n`;
    })
    .join("");
}

function findingLines(findings: readonly Finding[]): string {
  const words = { danger: "DO NOT USE", caution: "CAUTION", note: "note" } as const;
  return findings.length === 0
    ? ""
    : `Found\n${findings.map(({ level, text }) => `  ${words[level]}: ${plain(text, 2000)}\n`).join("")}`;
}

const paragraphs = (parts: readonly string[]): string => parts.filter((part) => part !== "").join("\n");

/** A restriction budget for a terminal. */
export function restrictionText(result: RestrictionResult): string {
  const { budget, units } = result;
  const { factor } = unitScale(units.pressure, "pressure difference");
  const flow = unitScale(units.flow, "mass flow").factor;
  const rows = budget.elements.map((element) => [
    plain(element.name),
    `${short(element.drop.value / factor)} ${units.pressure}`,
    `${short(100 * element.share.value)} %`,
    span(element.share, 0.01),
    element.k === null ? "" : short(element.k.value),
    element.mach === null ? "" : short(element.mach, 2),
    element.flags.join(", "),
  ]);
  const changes = result.changes.map((one) => [
    one.change.change === "remove"
      ? `without ${plain(one.change.element)}`
      : `${plain(one.change.element)} of ${short(1e6 * one.change.area.value, 4)} mm^2`,
    `${short(one.before.value / factor)} -> ${short(one.after.value / factor)} ${units.pressure}`,
    `${short(one.rise.value / factor)} ${units.pressure}`,
    span(one.rise, factor),
    `${short(one.atSpeed.flow / flow, 4)} ${units.flow}`,
  ]);
  return paragraphs([
    `${plain(result.title, 200)}\n`,
    `${plain(result.verdict.sentence, 2000)}\n`,
    keyLines(result.keyFigures),
    aligned([["part", "drop", "share", "95 %", "K", "Mach", ""], ...rows]),
    changes.length === 0
      ? ""
      : `What a change would do, at the same engine speed\n${aligned([["change", "drop", "rise", "95 %", "flow then"], ...changes])}`,
    findingLines(result.verdict.findings),
  ]);
}

function trialTable(result: TrialResult, units: TrialOutcome["units"]): string {
  const pressure = result.quantity === "pressure";
  const unit = pressure ? units.pressure : "K";
  const factor = pressure ? unitScale(unit, "pressure difference").factor : 1;
  const value = (x: number | null): string => (x === null ? "-" : `${short(x / factor)} ${unit}`);
  const runs = (side: "before" | "after"): number => result.runs.filter((run) => run.side === side).length;
  return aligned([
    [
      pressure ? "manifold pressure" : "intake air",
      pressure ? "drop before" : "over outside before",
      "change",
      "95 %",
      "runs",
    ],
    ...result.points.map((point) => [
      `${Math.round(60 * point.speed)} rpm`,
      value(point.before),
      value(point.effect),
      span(point.estimate, factor),
      `${point.runs.before} + ${point.runs.after}`,
    ]),
    [
      "all",
      value(result.pooled.before),
      value(result.pooled.effect),
      span(result.pooled.estimate, factor),
      `${runs("before")} + ${runs("after")}`,
    ],
  ]);
}

function neededLine(result: TrialResult, units: TrialOutcome["units"]): string {
  if (result.needed === null) return "";
  const pressure = result.quantity === "pressure";
  const unit = pressure ? units.pressure : "K";
  const factor = pressure ? unitScale(unit, "pressure difference").factor : 1;
  const wanted = `${short(result.needed.wanted / factor)} ${unit}`;
  if (result.needed.perSide === null)
    return `How many runs would show ${wanted} cannot be said, or is more than 100 a side.\n`;
  return `To show ${wanted} takes ${result.needed.perSide} runs a side: ${result.needed.order
    .map((side) => (side === "before" ? "old" : "new"))
    .join(", ")}.\n`;
}

function gainLine({ gain, units }: TrialOutcome): string {
  if (gain === null) return "";
  const { factor } = unitScale(units.power, "power");
  const part = (value: number): string => `${short(value / factor)} ${units.power}`;
  return `Of the power, ${part(gain.parts.pressure)} come from pressure and ${part(gain.parts.temperature)} from temperature.\n`;
}

/** A trial for a terminal. */
export function trialText(outcome: TrialOutcome): string {
  const results = [outcome.pressure, outcome.temperature].filter((one) => one !== null);
  return paragraphs([
    `${plain(outcome.title, 200)}\n`,
    `${plain(outcome.verdict.sentence, 2000)}\n`,
    keyLines(outcome.keyFigures) + gainLine(outcome),
    ...results.flatMap((result) => [trialTable(result, outcome.units), neededLine(result, outcome.units)]),
    findingLines(outcome.verdict.findings),
  ]);
}

/** From the least cost to the greatest; without a greatest where the gain may be nothing. */
const costSpan = ({ from, to }: { readonly from: number | null; readonly to: number | null }): string =>
  from === null ? "" : to === null ? `over ${short(from)}` : `${short(from)} .. ${short(to)}`;

/** A decision table for a terminal. */
export function decisionText(result: DecisionResult): string {
  const { table, units } = result;
  const power = unitScale(units.power, "power").factor;
  const flow = unitScale(units.flow, "mass flow").factor;
  const rows = table.rows.map((row) => [
    plain(row.options.join(" + "), 200),
    short(row.parts, 6),
    short(row.work, 6),
    short(row.total, 6),
    row.saved > 0 ? short(row.saved, 6) : "",
    row.gain === null ? "unknown" : `${short(row.gain.value / power)} ${units.power}`,
    row.gain === null ? "" : span(row.gain, power),
    row.perKilowatt?.value == null ? "" : short(row.perKilowatt.value),
    row.perKilowatt === null ? "" : costSpan(row.perKilowatt),
    row.perHorsepower?.value == null ? "" : short(row.perHorsepower.value),
    row.room === null ? "" : `${short(row.room.flowLeft / flow)} ${units.flow}`,
    row.flags.join(", "),
  ]);
  const currency = plain(table.currency);
  return paragraphs([
    `${plain(result.title, 200)}\n`,
    aligned([
      [
        "change",
        "parts",
        "work",
        currency,
        "saved",
        "gain",
        "95 %",
        `${currency}/kW`,
        "95 %",
        `${currency}/hp`,
        "room left",
        "",
      ],
      ...rows,
    ]),
    table.cautions.map((caution) => `- ${caution}\n`).join(""),
  ]);
}
