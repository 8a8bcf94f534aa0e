import type { EcuLimitsPlan, PlanResult, TemperaturePlan } from "../../stage/index.js";
import { writeTable } from "../../text/index.js";
import { toMarkdown } from "../render-markdown.js";
import type { ResultFile } from "../result-file.js";
import { planAccount } from "./plan-account.js";

/**
 * Files of a plan. A refused plan gives its summary and data, and no table that could be loaded by mistake.
 */
export function planFiles(plan: PlanResult): readonly ResultFile[] {
  const about: ResultFile[] = [
    { name: "summary.md", text: toMarkdown(planAccount(plan)) },
    { name: "plan.json", text: `${JSON.stringify(plan, null, 2)}\n` },
    { name: "cells.csv", text: cellTable(plan) },
    { name: "headroom.csv", text: headroomTable(plan) },
    ...(plan.ecuLimits === null ? [] : [{ name: "ecu-limits.csv", text: ecuLimitsTable(plan.ecuLimits) }]),
    ...(plan.sweep === null ? [] : [{ name: "bores.csv", text: boreTable(plan) }]),
  ];
  if (plan.verdict.level === "do not use") return about;
  const { cells } = plan.airflow;
  const tables: ResultFile[] = [
    {
      name: "airflow-table.csv",
      text: writeTable([
        {
          name: "signal",
          unit: plan.units.signal,
          dimension: plan.signal,
          values: cells.map((cell) => cell.signal),
        },
        {
          name: "airflow",
          unit: plan.units.flow,
          dimension: "mass flow",
          values: cells.map((cell) => cell.flow),
          digits: TABLE_DIGITS,
        },
      ]),
    },
    ...(plan.temperature === null
      ? []
      : [{ name: "temperature-table.csv", text: temperatureTable(plan.temperature) }]),
  ];
  return [...tables, ...about];
}

function cellTable(plan: PlanResult): string {
  const { cells } = plan.airflow;
  const of = <T>(pick: (cell: (typeof cells)[number]) => T): T[] => cells.map(pick);
  const flow = { unit: plan.units.flow, dimension: "mass flow", digits: DIGITS } as const;
  const ratio = { unit: "%", dimension: "ratio", digits: DIGITS } as const;
  const part = (name: keyof (typeof cells)[number]["budget"]) => ({
    name: `u ${name}`,
    ...ratio,
    values: of((cell) => cell.budget[name] ?? 0),
  });
  return writeTable([
    { name: "signal", unit: plan.units.signal, dimension: plan.signal, values: of((cell) => cell.signal) },
    { name: "airflow", ...flow, digits: TABLE_DIGITS, values: of((cell) => cell.flow) },
    { name: "wanted", ...flow, values: of((cell) => cell.wanted) },
    { name: "origin", text: of((cell) => cell.origin) },
    { name: "u", ...ratio, values: of((cell) => cell.u) },
    part("bore"),
    part("blockage"),
    part("profile"),
    part("installation"),
    part("element"),
    part("law"),
    part("regrid"),
    part("storage"),
    {
      name: "over area only",
      unit: "",
      dimension: "ratio",
      digits: DIGITS,
      values: of((cell) => cell.overAreaOnly),
    },
    { name: "reads low", ...ratio, values: of((cell) => cell.readsLow) },
    { name: "reads high", ...ratio, values: of((cell) => cell.readsHigh) },
    {
      name: "Reynolds number",
      unit: "",
      dimension: "ratio",
      values: of((cell) => Math.round(cell.reynolds)),
    },
    { name: "flags", text: of((cell) => cell.flags.join("; ")) },
  ]);
}

function temperatureTable(temperature: TemperaturePlan): string {
  const { cells, axis, value } = temperature;
  return writeTable([
    { name: axis.name, unit: axis.unit, dimension: axis.dimension, values: cells.map((cell) => cell.x) },
    { name: value.name, unit: value.unit, dimension: value.dimension, values: cells.map((cell) => cell.y) },
  ]);
}

function headroomTable(plan: PlanResult): string {
  const { scenarios } = plan.headroom;
  const flow = { unit: plan.units.flow, dimension: "mass flow", digits: DIGITS } as const;
  const share = { unit: "%", dimension: "ratio", digits: DIGITS } as const;
  return writeTable([
    { name: "scenario", text: scenarios.map((scenario) => scenario.name) },
    { name: "demand", ...flow, values: scenarios.map((scenario) => scenario.demand) },
    { name: "u", ...share, values: scenarios.map((scenario) => scenario.u) },
    {
      name: "signal reached",
      unit: plan.units.signal,
      dimension: plan.signal,
      digits: DIGITS,
      values: scenarios.map((scenario) => scenario.signal),
    },
    { name: "share used", ...share, values: scenarios.map((scenario) => scenario.share) },
    { name: "flow left", ...flow, values: scenarios.map((scenario) => scenario.flowLeft) },
    { name: "chance over", ...share, values: scenarios.map((scenario) => probability(scenario.chanceOver)) },
    { name: "state", text: scenarios.map((scenario) => scenario.state) },
    {
      name: "share used before",
      ...share,
      values: scenarios.map((scenario) => scenario.before?.share ?? Number.NaN),
    },
  ]);
}

function ecuLimitsTable({ scenarios }: EcuLimitsPlan): string {
  const share = { unit: "%", dimension: "ratio", digits: DIGITS } as const;
  const air = { unit: "mg", dimension: "mass", digits: DIGITS } as const;
  const of = (pick: (one: (typeof scenarios)[number]) => number | null | undefined): number[] =>
    scenarios.map((one) => pick(one) ?? Number.NaN);
  const chanceOf = (pick: (one: (typeof scenarios)[number]) => number | null | undefined): number[] =>
    of(pick).map(probability);
  return writeTable([
    { name: "scenario", text: scenarios.map(({ name }) => name) },
    { name: "reads", unit: "g/s", dimension: "mass flow", digits: DIGITS, values: of(({ reads }) => reads) },
    { name: "chance of the airflow field's end", ...share, values: chanceOf((one) => one.chanceAirflow) },
    { name: "air per cylinder", ...air, values: of((one) => one.cylinderAir?.value) },
    { name: "air per cylinder as read", ...air, values: of((one) => one.cylinderAir?.reads) },
    { name: "chance of the load axis' end", ...share, values: chanceOf((one) => one.cylinderAir?.chance) },
    {
      name: "shift of the load axis in cells",
      unit: "",
      dimension: "ratio",
      digits: DIGITS,
      values: of((one) => one.cylinderAir?.cells),
    },
    { name: "chance of the low fault", ...share, values: chanceOf((one) => one.chanceLow) },
    { name: "chance of the high fault", ...share, values: chanceOf((one) => one.chanceHigh) },
  ]);
}

function boreTable(plan: PlanResult): string {
  const rows = plan.sweep?.rows ?? [];
  const share = { unit: "%", dimension: "ratio", digits: DIGITS } as const;
  return writeTable([
    { name: "bore", unit: "mm", dimension: "length", digits: DIGITS, values: rows.map((row) => row.bore) },
    {
      name: "flow ratio",
      unit: "",
      dimension: "ratio",
      digits: DIGITS,
      values: rows.map((row) => row.flowRatio),
    },
    ...plan.headroom.scenarios.flatMap((scenario, i) => [
      {
        name: `share used, ${scenario.name}`,
        ...share,
        values: rows.map((row) => row.scenarios[i]?.share ?? Number.NaN),
      },
      {
        name: `chance over, ${scenario.name}`,
        ...share,
        values: rows.map((row) => probability(row.scenarios[i]?.chanceOver ?? Number.NaN)),
      },
    ]),
    {
      name: "idle step",
      ...share,
      values: rows.map((row) => row.idleStepShare ?? Number.NaN),
    },
    {
      name: "drop",
      unit: "Pa",
      dimension: "pressure difference",
      digits: DIGITS,
      values: rows.map((row) => row.drop?.value ?? Number.NaN),
    },
    {
      name: "meets the limits",
      text: rows.map((row) => (row.meets ? "yes" : `no: ${row.fails.join("; ")}`)),
    },
  ]);
}

/** A probability to a millionth: below that the tails of a normal law are a fiction. */
const probability = (value: number): number =>
  Number.isFinite(value) ? Math.round(value * 1e6) / 1e6 : Number.NaN;

/** Digits of figures: what a person can use, and short in a table. */
const DIGITS = 6;

/** Digits of the table's own values: finer than any number format steps, and nothing more to type. */
const TABLE_DIGITS = 8;
