import { channelWords } from "../../columns/index.js";
import { columnLine } from "../../document/index.js";
import { type RefineReport, VERDICT_WORDS } from "../../stage/index.js";
import { between, columnDecimals, figure, fixed, percent, unitSign } from "../../text/index.js";
import type { Account, AccountSection, AccountStep, AccountTable } from "../account.js";
import { figuresOf } from "../keys.js";
import { typedDecimals } from "../plan/airflow-entry.js";
import { sumWords } from "../sums.js";
import { toUnit } from "../to-unit.js";
import { correctionFigure, intervalFigure, refinedCurveFigure } from "./correction-figures.js";
import { adviceFigure, usedFigure } from "./drive-figures.js";

/** Driven for less time than this [s], a cell counts as not driven. */
const DRIVEN = 0.5;

/** What a refinement has to say. Under "do not use" it offers nothing to type in. */
export function refineAccount(report: RefineReport): Account {
  const { verdict } = report;
  const usable = verdict.level !== "do not use";
  const spoken = report.refinement.drives.some((drive) => drive.refused === null);
  return {
    kind: "refine",
    label: "Refinement",
    title: report.title,
    verdict: { level: verdict.level, words: VERDICT_WORDS[verdict.level], sentence: verdict.sentence },
    figures: spoken ? figuresOf(report.keyFigures) : [],
    findings: verdict.findings,
    entry: usable ? [refinedEntry(report)] : [],
    lead: spoken ? [correctionFigure(report), intervalFigure(report)] : [],
    steps: usable ? refineSteps(report) : [],
    stop: usable ? stopWords(report) : null,
    sections: sectionsOf(report, spoken),
    cautions: report.cautions,
  };
}

function refinedEntry(report: RefineReport): AccountTable {
  const flow = toUnit(report.units.flow, "mass flow");
  const signal = toUnit(report.units.signal, report.signal);
  const { cells } = report.refinement;
  const values = cells.map((cell) => flow(cell.after));
  const decimals = columnDecimals(values, 6);
  const shown = Math.min(decimals, columnDecimals(values, 5));
  const axis = typedDecimals(cells.map((cell) => signal(cell.signal)));
  const typed = values.map((value) => Number(value.toFixed(decimals)));
  const unit = unitSign(report.units.flow);
  return {
    id: "airflow",
    caption: "Airflow table to type in",
    hint: `${cells.length} values. Low and high: 95 % interval.`,
    columns: [
      { name: "signal", unit: unitSign(report.units.signal), align: "right" },
      { name: "in the ECU", unit, align: "right" },
      { name: "new", unit, align: "right", strong: true },
      { name: "change", unit: "%", align: "right", wide: true },
      { name: "low", unit, align: "right" },
      { name: "high", unit, align: "right" },
      { name: "driven", unit: "s", align: "right", wide: true },
    ],
    rows: cells.map((cell, i) => ({
      dim: cell.seconds < DRIVEN,
      ...(i === 0 || cell.seconds < DRIVEN !== (cells[i - 1]?.seconds ?? 0) < DRIVEN
        ? { group: cell.seconds < DRIVEN ? "not driven: carried over from neighbouring cells" : "driven" }
        : {}),
      cells: [
        fixed(signal(cell.signal), axis),
        fixed(flow(cell.before), shown),
        fixed(values[i] as number, decimals),
        fixed(100 * (cell.after / cell.before - 1), 1),
        fixed(flow(cell.low), shown),
        fixed(flow(cell.high), shown),
        cell.seconds < DRIVEN ? "not driven" : fixed(cell.seconds, 0),
      ],
    })),
    sums: sumWords(typed, decimals),
    copy: [0, 2],
  };
}

function refineSteps(report: RefineReport): readonly AccountStep[] {
  const flow = toUnit(report.units.flow, "mass flow");
  const signal = toUnit(report.units.signal, report.signal);
  const { cells, next } = report.refinement;
  const first = cells.find((cell) => cell.seconds >= DRIVEN);
  const caution = report.verdict.findings.find(({ level }) => level === "caution");
  return [
    ...(caution === undefined ? [] : [{ head: "Decide first", text: caution.text }]),
    {
      head: "Save the table that is in the ECU",
      text: "Then type in this one, and compare both sums.",
    },
    { head: "Set long-term fuel trims to 0", text: "Otherwise the correction counts twice." },
    ...(first === undefined
      ? []
      : [
          {
            head: "Warm idle first",
            text: `Near ${figure(signal(first.signal))} ${unitSign(report.units.signal)} (${figure(flow(first.after))} ${unitSign(report.units.flow)}) trims should stay within ${figure(Math.max(1, 196 * first.u), 2)} %. If they do not, load the saved table.`,
          },
        ]),
    {
      head: "Drive again and refine again",
      text: "Stop when every change is smaller than its interval.",
    },
    ...next.slice(0, 3).map((one) => ({
      head: `Drive at ${between(flow(one.flow[0]), flow(one.flow[1]))} ${unitSign(report.units.flow)}`,
      text: adviceWords(one),
    })),
  ];
}

/** From this share of outside pressure on an engine counts as at full throttle [1]. */
const FULL = 0.85;

function adviceWords(one: RefineReport["refinement"]["next"][number]): string {
  const speed = one.speed === null ? "" : `engine near ${between(60 * one.speed[0], 60 * one.speed[1])} rpm`;
  const load =
    one.pressureRatio === null
      ? ""
      : `manifold at ${between(100 * one.pressureRatio[0], 100 * one.pressureRatio[1], 2)} % of outside pressure`;
  const where = [speed, load].filter((part) => part !== "").join(", ");
  const gain = `It would bring the 95 % interval there from ${percent(2 * 1.96 * one.uNow, 2)} to ${percent(2 * 1.96 * one.uAfter, 2)} wide.`;
  const full = one.pressureRatio !== null && one.pressureRatio[1] > FULL;
  return `${where === "" ? "" : `${where.slice(0, 1).toUpperCase()}${where.slice(1)}. `}${
    full
      ? `Full throttle: only on a closed course or a dynamometer, second person at the laptop, in short pulls with pauses, ${figure(one.seconds, 2)} s in all.`
      : `${figure(one.seconds, 2)} s of steady driving in all.`
  } ${gain}`;
}

function stopWords(report: RefineReport): string {
  const signal = toUnit(report.units.signal, report.signal);
  const driven = report.refinement.cells.filter((cell) => cell.seconds >= DRIVEN);
  const top = driven[driven.length - 1];
  return top === undefined
    ? "lift at the first knock, and when lambda under load reads leaner than its target."
    : `no full throttle beyond the driven cells yet: above ${figure(signal(top.signal))} ${unitSign(report.units.signal)} the values rest on the earlier table. Lift at the first knock, and when lambda under load reads leaner than its target.`;
}

function sectionsOf(report: RefineReport, spoken: boolean): readonly AccountSection[] {
  const { next } = report.refinement;
  return [
    ...(spoken
      ? [
          {
            id: "table",
            title: "The refined table",
            text: [],
            tables: [],
            figures: [refinedCurveFigure(report)],
          },
        ]
      : []),
    {
      id: "drives",
      title: "The drives",
      text: [],
      tables: [driveTable(report)],
      figures: [usedFigure(report)],
    },
    ...(next.length === 0
      ? []
      : [{ id: "next", title: "What to drive next", text: [], tables: [], figures: [adviceFigure(report)] }]),
    {
      id: "reading",
      title: "How the logs were read",
      text: report.logs.flatMap((log) => [
        `${log.name}: ${log.rows} rows. Time: ${log.time}.`,
        ...log.columns.map((column) => `${log.name}: ${columnLine(column)}`),
        ...log.questions.map(({ text }) => `${log.name}: asked, and not needed here: ${text}`),
        ...log.said.map((line) => `${log.name}: used from its own comments: ${line}`),
        ...log.findings.map(({ message }) => `${log.name}: ${channelWords(message)}`),
      ]),
      tables: [],
      figures: [],
    },
  ];
}

function driveTable({ refinement }: RefineReport): AccountTable {
  const right = { align: "right" } as const;
  return {
    id: "drives",
    caption: "Drives",
    hint: "Delay: from fuel to lambda at middling flow.",
    columns: [
      { name: "drive", unit: "", align: "left" },
      { name: "length", unit: "min", ...right },
      { name: "rows used", unit: "%", ...right },
      { name: "delay", unit: "s", ...right, wide: true },
      { name: "left out, or why not used", unit: "", align: "left", wide: true },
    ],
    rows: refinement.drives.map((drive) => ({
      cells: [
        drive.name,
        fixed(drive.seconds / 60, 1),
        fixed((100 * drive.gates.used) / Math.max(1, drive.gates.rows), 0),
        drive.delay === null ? "–" : fixed(drive.delay.value, 2),
        drive.refused?.text ??
          Object.entries(drive.gates.left)
            .map(([reason, count]) => `${reason} ${percent(count / Math.max(1, drive.gates.rows), 2)}`)
            .join(", "),
      ],
      dim: drive.refused !== null,
    })),
    brief: true,
  };
}
