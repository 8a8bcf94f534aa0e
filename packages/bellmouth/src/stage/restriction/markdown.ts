import type { Estimate } from "../../intake/index.js";
import { unitScale } from "../../text/index.js";
import { bullets, findingList, joinParts, markdownTable } from "../markdown-parts.js";
import { figure, inUnit, percent } from "../plan/figures.js";
import { escapeText } from "../plan/markdown.js";
import type { RestrictionResult } from "./result.js";

/** A restriction budget's summary in Markdown: verdict first, then the table, what was found, what changes would do. */
export function restrictionMarkdown(result: RestrictionResult): string {
  const { budget, units } = result;
  const scale = unitScale(units.pressure, "pressure difference").factor;
  const pressure = (value: number): string => inUnit(value, units.pressure, "pressure difference");
  const span = (one: Estimate, unit: number): string =>
    one.from === null || one.to === null
      ? "not bounded"
      : `${figure(one.from / unit)} to ${figure(one.to / unit)}`;
  const rows = budget.elements.map((element) => [
    escapeText(element.name),
    pressure(element.drop.value),
    span(element.drop, scale),
    `**${percent(element.share.value)}**`,
    `${span(element.share, 0.01)} %`,
    element.k === null ? "" : figure(element.k.value),
    element.k === null ? "" : span(element.k, 1),
    element.velocity === null ? "" : `${figure(element.velocity)} m/s`,
    element.mach === null ? "" : figure(element.mach, 2),
    element.flags.join(", "),
  ]);
  const level = percent(budget.confidence, 2);
  return joinParts([
    `# ${escapeText(result.title)}`,
    escapeText(result.verdict.sentence),
    `At ${inUnit(budget.peak, units.flow, "mass flow")} the whole tract loses **${pressure(budget.total.value)}** (${level}: ${span(budget.total, scale)} ${units.pressure}).`,
    markdownTable(["part", "drop", level, "share", level, "K", level, "speed", "Mach", ""], rows),
    findingList(result.verdict.findings),
    changes(result),
    `## Before you drive\n\n${bullets(result.cautions)}`,
    `## How it was made\n\n${bullets([
      `${budget.points} points from ${inUnit(budget.flowFrom, units.flow, "mass flow")} to ${inUnit(budget.flowTo, units.flow, "mass flow")}. Each part loses dp = a m + b m²/ρ with a, b ≥ 0 and the density of its place.`,
      "Drops are of total pressure: a static tapping is corrected for the stream's own head.",
      "Intervals hold whatever the stations' errors have in common (a gust, the flow, the barometer), because the covariance is estimated from the readings.",
    ])}`,
  ]);
}

function changes(result: RestrictionResult): string {
  if (result.changes.length === 0) return "";
  const { units } = result;
  const pressure = (value: number): string => inUnit(value, units.pressure, "pressure difference");
  const half = (one: Estimate): string =>
    one.from === null || one.to === null
      ? ""
      : ` ± ${figure((one.to - one.from) / 2 / unitScale(units.pressure, "pressure difference").factor, 2)}`;
  const rows = result.changes.map((one) => [
    one.change.change === "remove"
      ? `without ${escapeText(one.change.element)}`
      : `${escapeText(one.change.element)}: ${figure(1e6 * one.change.area.value, 4)} mm²`,
    pressure(one.before.value),
    pressure(one.after.value),
    `${pressure(one.rise.value)}${half(one.rise)}`,
    inUnit(one.atSpeed.flow, units.flow, "mass flow"),
  ]);
  return `## What a change would do\n\n${markdownTable(
    ["change", "drop now", "drop then, same flow", "rise at the same engine speed", "flow then"],
    rows,
  )}`;
}
