import type { AirflowTable, SwapDocument } from "../../document/index.js";
import { at } from "../../fault/index.js";
import { findMisprints, type MovedCell, rescaleTransferCurve } from "../../sensor/index.js";
import { exactly, inUnit, percent, unitScale } from "../../text/index.js";
import type { Finding } from "../result-parts.js";
import { type AirflowStage, measuredCurve } from "./airflow.js";

/** A table of the document with the name of the block it belongs to. */
interface NamedTable {
  readonly block: string;
  readonly table: AirflowTable;
  readonly accuracy: number;
}

/** What the given airflow tables say against themselves and against each other. */
export function tableFindings(document: SwapDocument, stage: AirflowStage): readonly Finding[] {
  const { present, next } = document;
  const tables: NamedTable[] = [{ block: "present", table: present.table, accuracy: present.accuracy }];
  if (next.source === "donor") {
    tables.push({ block: "donor", table: next.donor.table, accuracy: next.donor.accuracy });
  }
  return [
    ...tables.flatMap(misprints),
    ...tables.flatMap((named) => moved(named, named.table.moved)),
    ...movedByLaw(document, stage),
    ...otherMeter(document),
    ...coarseAxis(document, stage),
    ...richBias(document),
  ];
}

const nameOf = ({ block, table }: NamedTable): string => table.file ?? `the ${block} table`;

const flowIn = (table: AirflowTable, value: number): string =>
  inUnit(value, table.units.flow, "mass flow", 4);
const signalIn = (table: AirflowTable, value: number): string =>
  exactly(value, table.units.signal, table.signalKind);

/** Step in which the flows of a table were written: the largest decimal one that all of them are multiples of. */
function writtenStep(table: AirflowTable): number {
  const { factor, offset } = unitScale(table.units.flow, "mass flow");
  const values = table.flow.map((flow) => (flow - offset) / factor);
  for (let decimals = 0; decimals < 9; decimals++) {
    const scale = 10 ** decimals;
    if (values.every((value) => Math.abs(value * scale - Math.round(value * scale)) < 1e-6)) {
      return factor / scale;
    }
  }
  return factor * 1e-9;
}

function misprints(named: NamedTable): readonly Finding[] {
  const { table } = named;
  const { misprints: found, detectable } = findMisprints(table.signal, table.flow, {
    step: writtenStep(table),
  });
  const told = found.map(
    ({ cell, flow, expected, deviation }): Finding => ({
      level: "caution",
      code: "misprint",
      text: `${nameOf(named)}, line ${table.lines[cell] ?? cell + 2}: ${flowIn(table, flow)} at ${signalIn(table, at(table.signal, cell))} does not fit the other cells, which lead to ${flowIn(table, expected)} (${percent(Math.abs(deviation), 2)} ${deviation < 0 ? "more" : "less"}). Check the source for a misprint.`,
      cells: [],
    }),
  );
  const seen =
    detectable === null
      ? `${nameOf(named)} has too few cells (or too many) to be checked for misprints.`
      : `A misprint of ${percent(detectable, 2)} or more in ${nameOf(named)} would have been found, of twice that in its first and last two cells.`;
  return [...told, { level: "note", code: "misprints-checked", text: seen, cells: [] }];
}

function moved(named: NamedTable, cells: readonly MovedCell[]): readonly Finding[] {
  if (cells.length === 0) return [];
  const { table } = named;
  const lines = cells.map(({ cell }) => table.lines[cell] ?? cell + 2).join(", ");
  return [
    {
      level: "note",
      code: "flows-made-rising",
      text: `${nameOf(named)}, line ${lines}: the flows fall there by no more than the stated accuracy of ${percent(named.accuracy)} explains; they were made to rise, by ${percent(furthest(cells), 2)} at most.`,
      cells: [],
    },
  ];
}

const furthest = (cells: readonly MovedCell[]): number =>
  cells.reduce((most, { from, to }) => Math.max(most, Math.abs(to / from - 1)), 0);

function movedByLaw(document: SwapDocument, { moved: cells, source }: AirflowStage): readonly Finding[] {
  if (cells.length === 0) return [];
  const signals = cells.map(({ cell }) =>
    exactly(at(source.cells, cell).signal, document.airflow.units.signal, document.signal),
  );
  return [
    {
      level: "note",
      code: "cells-made-rising",
      text: `Cells of the element's table and cells filled in by its law scatter past each other at ${signals.slice(0, 5).join(", ")}${signals.length > 5 ? ` and ${signals.length - 5} more` : ""}; they were moved within their uncertainty, by ${percent(furthest(cells), 2)} at most.`,
      cells: [],
    },
  ];
}

/** Standard uncertainties by which two meters may differ before it is told. */
const APART = 3;
/** Fewest signals that both tables must cover. */
const LEAST_SHARED = 3;

/** The donor's element, rescaled into the present housing, against the present table: what their sizes and tables say of each other. */
function otherMeter(document: SwapDocument): readonly Finding[] {
  const { present, next } = document;
  if (next.source !== "donor" || next.donor.table.signalKind !== present.table.signalKind) return [];
  const donor = measuredCurve(next.donor.table, next.donor.accuracy, "hold");
  const { curve } = rescaleTransferCurve(donor, {
    from: next.asInstalled ? next.housing : next.donor.housing,
    to: present.housing,
    air: { temperature: document.air.temperature },
    elsewhere: true,
  });
  const apart = ratiosOver(curve.cells, present.table);
  if (apart.length < LEAST_SHARED) return [];
  const median = at(
    apart.sort((a, b) => a.ratio - b.ratio),
    apart.length >> 1,
  );
  const u = Math.hypot(median.u, present.accuracy);
  const families = [present.housing.family, next.donor.housing.family];
  const same = families[0] !== undefined && families[0] === families[1];
  const share = Math.abs(median.ratio - 1);
  const text = `In the present housing the donor's element would put out the present meter's signals at flows ${percent(share, 2)} ${median.ratio < 1 ? "lower" : "higher"} than the present table says (in the middle of ${apart.length} cells)`;
  if (!same) {
    const how = `${text}. Elements of one make agree within what their tables and sizes explain, ${percent(APART * u, 2)} here; where both are of one make, say so by 'family' in both housings, and bores and tables are held against each other.`;
    return [{ level: "note", code: "element-against-present", text: how, cells: [] }];
  }
  if (share <= APART * u) return [];
  return [
    {
      level: "caution",
      code: "bores-contradict-tables",
      text: `${text}. Both are of the family '${families[0]}', and their tables and sizes explain ${percent(APART * u, 2)}: a bore, a blockage or a table is wrong. Bores given: ${boreText(present.housing)} (present), ${boreText(next.donor.housing)} (donor).`,
      cells: [],
    },
  ];
}

const boreText = (housing: SwapDocument["present"]["housing"]): string =>
  housing.section.shape === "round"
    ? inUnit(housing.section.bore.value, "mm", "length", 4)
    : housing.section.shape;

/** Flows of a curve over those of a table, at the table's signals that the curve covers. */
function ratiosOver(
  cells: readonly { readonly signal: number; readonly flow: number; readonly budget: object }[],
  table: AirflowTable,
): { ratio: number; u: number }[] {
  let k = 0;
  return table.signal.flatMap((signal, i) => {
    while (k < cells.length && at(cells, k).signal < signal) k++;
    const [left, right] = [cells[k - 1], cells[k]];
    const flow = at(table.flow, i);
    if (left === undefined || right === undefined || !(flow > 0) || !(left.flow > 0)) return [];
    const share = (signal - left.signal) / (right.signal - left.signal);
    // Along the logarithm, which bends less.
    const there = Math.exp((1 - share) * Math.log(left.flow) + share * Math.log(right.flow));
    const u = Math.sqrt(
      Object.values(right.budget).reduce((sum: number, part: number) => sum + part ** 2, 0),
    );
    return [{ ratio: there / flow, u }];
  });
}

/** Executed error from which an axis is too coarse [1]: what a careful table of flows is known to. */
const COARSE = 0.02;

function coarseAxis(document: SwapDocument, stage: AirflowStage): readonly Finding[] {
  const { cells, executed } = stage.plan;
  const { placed } = executed;
  // An error that the cell's own uncertainty hides is told in the budget.
  const coarse = cells.flatMap((cell, i) => {
    const { regrid: _regrid, storage: _storage, ...others } = cell.budget;
    const own = Math.sqrt(Object.values(others).reduce((sum, part) => sum + (part ?? 0) ** 2, 0));
    const error = Math.max(-cell.readsLow, cell.readsHigh);
    return error > Math.max(COARSE, own) && !cell.flags.includes("clipped") ? [{ i, error, cell }] : [];
  });
  const worst = coarse.reduce<(typeof coarse)[number] | undefined>(
    (a, b) => (a === undefined || b.error > a.error ? b : a),
    undefined,
  );
  if (worst === undefined) return [];
  const signal = (value: number): string => exactly(value, document.airflow.units.signal, document.signal);
  const low = -worst.cell.readsLow > worst.cell.readsHigh;
  const better =
    placed === null
      ? " More breakpoints are needed there."
      : ` ${placed.signals.length} breakpoints at ${placed.signals.map((value) => signal(value).replace(/ \S+$/u, "")).join(", ")} ${document.airflow.units.signal} would hold it to ${percent(placed.worst, 2)} (\`axis: { count: ${placed.signals.length}, place: best }\`).`;
  return [
    {
      level: "caution",
      code: "coarse-axis",
      text: `The axis is too coarse for the curve: around ${signal(worst.cell.signal)} the straight lines read ${percent(worst.error, 2)} ${low ? "low" : "high"} (${coarse.length === 1 ? "1 cell" : `${coarse.length} cells`} by more than both ${percent(COARSE)} and their own uncertainty).${better}`,
      cells: coarse.map(({ i }) => i),
    },
  ];
}

function richBias(document: SwapDocument): readonly Finding[] {
  const { richBias: k, highFlowFrom, richBiasFrom } = document.safety;
  if (!(k > 0)) return [];
  const flow = (value: number): string => inUnit(value, document.airflow.units.flow, "mass flow");
  return [
    {
      level: "note",
      code: "rich-bias",
      text: `The rich bias begins at ${flow(richBiasFrom)} and is whole from ${flow(highFlowFrom)} on. Where mixture feedback is active its trims learn the bias out; it lasts only where fuel is metered without feedback.`,
      cells: [],
    },
  ];
}
