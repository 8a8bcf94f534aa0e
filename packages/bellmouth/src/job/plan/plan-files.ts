import { writeTable } from "../table-write.js";
import { planMarkdown } from "./markdown.js";
import type { PlanResult, TemperaturePlan } from "./result.js";

/** A file of a result: name and text. */
export interface ResultFile {
  readonly name: string;
  readonly text: string;
}

/**
 * Files of a plan. A refused plan gives its summary and data, and no table that could be loaded by mistake.
 */
export function planFiles(plan: PlanResult): readonly ResultFile[] {
  const about: ResultFile[] = [
    { name: "summary.md", text: planMarkdown(plan) },
    { name: "plan.json", text: `${JSON.stringify(plan, null, 2)}\n` },
    { name: "cells.csv", text: cellTable(plan) },
    { name: "headroom.csv", text: headroomTable(plan) },
    ...(plan.sweep === null ? [] : [{ name: "bores.csv", text: boreTable(plan) }]),
  ];
  if (plan.verdict.level === "refused") return about;
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
  const flow = { unit: plan.units.flow, dimension: "mass flow" } as const;
  const ratio = { unit: "%", dimension: "ratio" } as const;
  const part = (name: keyof (typeof cells)[number]["budget"]) => ({
    name: `u ${name}`,
    ...ratio,
    values: of((cell) => rounded(cell.budget[name] ?? 0)),
  });
  return writeTable([
    { name: "signal", unit: plan.units.signal, dimension: plan.signal, values: of((cell) => cell.signal) },
    { name: "airflow", ...flow, values: of((cell) => cell.flow) },
    { name: "wanted", ...flow, values: of((cell) => rounded(cell.wanted)) },
    { name: "origin", text: of((cell) => cell.origin) },
    { name: "u", ...ratio, values: of((cell) => rounded(cell.u)) },
    part("bore"),
    part("blockage"),
    part("profile"),
    part("element"),
    part("law"),
    part("regrid"),
    part("storage"),
    {
      name: "over area only",
      unit: "",
      dimension: "ratio",
      values: of((cell) => rounded(cell.overAreaOnly)),
    },
    { name: "reads low", ...ratio, values: of((cell) => rounded(cell.readsLow)) },
    { name: "reads high", ...ratio, values: of((cell) => rounded(cell.readsHigh)) },
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
  const flow = { unit: plan.units.flow, dimension: "mass flow" } as const;
  const share = { unit: "%", dimension: "ratio" } as const;
  return writeTable([
    { name: "scenario", text: scenarios.map((scenario) => scenario.name) },
    { name: "demand", ...flow, values: scenarios.map((scenario) => rounded(scenario.demand)) },
    { name: "u", ...share, values: scenarios.map((scenario) => rounded(scenario.u)) },
    {
      name: "signal reached",
      unit: plan.units.signal,
      dimension: plan.signal,
      values: scenarios.map((scenario) => rounded(scenario.signal)),
    },
    { name: "share used", ...share, values: scenarios.map((scenario) => rounded(scenario.share)) },
    { name: "flow left", ...flow, values: scenarios.map((scenario) => rounded(scenario.flowLeft)) },
    { name: "chance over", ...share, values: scenarios.map((scenario) => probability(scenario.chanceOver)) },
    { name: "state", text: scenarios.map((scenario) => scenario.state) },
    {
      name: "share used before",
      ...share,
      values: scenarios.map((scenario) => rounded(scenario.before?.share ?? Number.NaN)),
    },
  ]);
}

function boreTable(plan: PlanResult): string {
  const rows = plan.sweep?.rows ?? [];
  const share = { unit: "%", dimension: "ratio" } as const;
  return writeTable([
    { name: "bore", unit: "mm", dimension: "length", values: rows.map((row) => rounded(row.bore)) },
    { name: "flow ratio", unit: "", dimension: "ratio", values: rows.map((row) => rounded(row.flowRatio)) },
    ...plan.headroom.scenarios.flatMap((scenario, i) => [
      {
        name: `share used, ${scenario.name}`,
        ...share,
        values: rows.map((row) => rounded(row.scenarios[i]?.share ?? Number.NaN)),
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
      values: rows.map((row) => rounded(row.idleStepShare ?? Number.NaN)),
    },
    {
      name: "drop",
      unit: "Pa",
      dimension: "pressure difference",
      values: rows.map((row) => rounded(row.drop?.value ?? Number.NaN)),
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

/** Six digits: what a person can use, and short in a table. */
const rounded = (value: number): number =>
  Number.isFinite(value) ? Number(value.toPrecision(6)) : Number.NaN;
