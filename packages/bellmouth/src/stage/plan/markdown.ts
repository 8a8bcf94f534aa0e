import { VERDICT_WORDS } from "../verdict-level.js";
import { chance, exactly, figure, inUnit, limitWords, percent } from "./figures.js";
import type { PlanResult } from "./result.js";

/** A plan's summary in Markdown: verdict first, then what needs a hand, cautions, tables. */
export function planMarkdown(plan: PlanResult): string {
  return [
    `# ${escapeText(plan.title)}`,
    `**${VERDICT_WORDS[plan.verdict.level]}.** ${escapeText(plan.verdict.sentence)}`,
    keyFigures(plan),
    findings(plan),
    `## Before you drive\n\n${plan.cautions.map((caution) => `- ${caution}`).join("\n")}`,
    headroom(plan),
    bores(plan),
    cells(plan),
    temperature(plan),
    `## How it was made\n\n${method(plan)}`,
  ]
    .filter((part) => part !== "")
    .join("\n\n")
    .concat("\n");
}

/** Text of the user's as plain Markdown text: nothing in it is taken for markup, and it stays on one line. */
export const escapeText = (text: string): string =>
  text.replace(/[\r\n\t]+/g, " ").replace(/[\\`*_{}[\]<>#|~!]/g, "\\$&");

function table(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const line = (row: readonly string[]): string => `| ${row.join(" | ")} |`;
  return [line(head), line(head.map((_, i) => (i === 0 ? "---" : "---:"))), ...rows.map(line)].join("\n");
}

function keyFigures(plan: PlanResult): string {
  return table(
    ["", "", "95 % interval", ""],
    plan.keyFigures.map((key) => [
      key.name,
      `**${figure(key.value)} ${key.unit}**`,
      key.low === null || key.high === null ? "" : `${figure(key.low)} to ${figure(key.high)} ${key.unit}`,
      key.meaning,
    ]),
  );
}

function findings(plan: PlanResult): string {
  const { findings: all } = plan.verdict;
  if (all.length === 0) return "";
  const words = { danger: "Danger", caution: "Decision needed", note: "Note" };
  return `## What was found\n\n${all.map(({ level, text }) => `- **${words[level]}:** ${escapeText(text)}`).join("\n")}`;
}

function headroom(plan: PlanResult): string {
  const { usable, scenarios, idle } = plan.headroom;
  const flow = (value: number): string => inUnit(value, plan.units.flow, "mass flow");
  const signal = (value: number): string => inUnit(value, plan.units.signal, plan.signal);
  const rows = scenarios.map((scenario) => [
    escapeText(scenario.name),
    `${flow(scenario.demand)} ± ${percent(scenario.u, 2)}`,
    signal(scenario.signal),
    percent(scenario.share),
    flow(scenario.flowLeft),
    chance(scenario.chanceOver),
    scenario.state,
    scenario.before === null ? "" : `${percent(scenario.before.share)}, ${scenario.before.state}`,
  ]);
  const low =
    idle === null
      ? ""
      : `\n\nAt idle (${flow(idle.flow)}) the signal stands at ${signal(idle.signal)}${
          idle.stepShare === null
            ? ""
            : `; one step of the input is worth ${percent(idle.stepShare, 2)} of the flow there`
        }.`;
  return `## Headroom\n\nUsable up to ${signal(usable.to)}, which means ${flow(usable.flow)}; ${escapeText(limitWords(usable.limitedBy))} sets the limit.\n\n${table(
    [
      "scenario",
      "asks for",
      "signal",
      "share used",
      "left",
      "chance of running past",
      "state",
      "with the present meter",
    ],
    rows,
  )}${low}`;
}

function bores(plan: PlanResult): string {
  const { sweep } = plan;
  if (sweep === null) return "";
  const head = [
    "bore",
    "flow at one signal",
    ...plan.headroom.scenarios.map(
      (scenario) => `${escapeText(scenario.name)}: share, chance of running past`,
    ),
    "one step at idle",
    "drop",
    "meets the limits",
  ];
  const rows = sweep.rows.map((row) => [
    inUnit(row.bore, "mm", "length"),
    figure(row.flowRatio),
    ...row.scenarios.map((scenario) => `${percent(scenario.share)}, ${chance(scenario.chanceOver)}`),
    row.idleStepShare === null ? "" : percent(row.idleStepShare, 2),
    row.drop === null
      ? ""
      : `${inUnit(row.drop.value, "Pa", "pressure difference")} ± ${figure(row.drop.u, 2)}`,
    row.meets ? "yes" : `no: ${row.fails.join("; ")}`,
  ]);
  return `## Which bore?\n\n${escapeText(sweep.sentence)}\n\n${table(head, rows)}`;
}

function cells(plan: PlanResult): string {
  const rows = plan.airflow.cells.map((cell) => [
    exactly(cell.signal, plan.units.signal, plan.signal),
    exactly(cell.flow, plan.units.flow, "mass flow"),
    cell.origin,
    `± ${percent(cell.u, 2)}`,
    figure(cell.overAreaOnly, 4),
    `${percent(cell.readsLow, 2)} to ${percent(cell.readsHigh, 2)}`,
    cell.flags.join(", "),
  ]);
  return `## Airflow table\n\n${table(
    ["signal", "airflow", "from", "standard uncertainty", "over area only", "executed error", "flags"],
    rows,
  )}`;
}

function temperature(plan: PlanResult): string {
  const { temperature: iat } = plan;
  if (iat === null) return "";
  const rows = iat.cells.map((cell) => [
    exactly(cell.x, iat.axis.unit, iat.axis.dimension),
    exactly(cell.y, iat.value.unit, iat.value.dimension),
    `± ${figure(cell.u, 2)} K`,
    cell.flags.join(", "),
  ]);
  const left =
    iat.leftAlone === null
      ? ""
      : `\n\nIf the old table were left in, the new element's true temperatures would read:\n\n${table(
          ["true", "read as"],
          iat.leftAlone.map((pair) => [
            inUnit(pair.true, "degC", "temperature"),
            inUnit(pair.read, "degC", "temperature"),
          ]),
        )}`;
  return `## Air-temperature table\n\nThe element's law (${iat.fit.law}) leaves ${figure(iat.fit.rms, 2)} K rms of its ${iat.fit.points} points; the table as executed is off by at most ${figure(Math.abs(iat.worst.error), 2)} K.\n\n${table(
    [iat.axis.name, iat.value.name, "standard uncertainty", "flags"],
    rows,
  )}${left}`;
}

/** False where a table holds for its new housing as it is, such as of a meter fitted whole. */
export const wasRescaled = ({ airflow }: PlanResult): boolean =>
  airflow.areaRatio !== 1 || airflow.cells.some(({ overAreaOnly }) => overAreaOnly !== 1);

function method(plan: PlanResult): string {
  const { source, areaRatio, executed, outside } = plan.airflow;
  const law =
    source.law === null
      ? "Nothing lies between or past its own cells."
      : `Between and past its own cells a ${source.law.form} law stands in (left-out points are predicted to ${percent(source.law.leaveOneOut, 2)} rms).`;
  return [
    `- The curve is the ${source.kind === "donor" ? "donor's table" : "present table"} (${source.points.length} cells), ${
      wasRescaled(plan)
        ? `rescaled by the ratio of open areas, ${figure(areaRatio, 4)}, and by the velocity profiles in both housings`
        : "which holds for the new housing as it is: nothing was rescaled"
    }. ${law}`,
    `- The engine computer joins the ${plan.airflow.cells.length} breakpoints with straight lines and past the ends will ${outside === "hold" ? "hold the end value" : "carry the last line on"}. As executed the table is off by at most ${percent(Math.abs(executed.worst.error), 2)} (at ${inUnit(executed.worst.signal, plan.units.signal, plan.signal)}); copying the curve's values would be off by ${percent(Math.abs(executed.sampledWorst.error), 2)}.`,
    `- Uncertainties are standard (one sigma) and first order; \`cells.csv\` has them by component.`,
  ].join("\n");
}
