import {
  type Curve,
  type CurveStorage,
  curveEvaluator,
  type ErrorAt,
  type ExecutedError,
  makeCurve,
  regridCurve,
} from "../../curve/index.js";
import type { AirflowTable, SwapDocument } from "../../document/index.js";
import {
  biasRich,
  combinedUncertainty,
  type Housing,
  inspectTable,
  type LawChoice,
  rescaleTransferCurve,
  type TableInspection,
  type TransferCell,
  type TransferCurve,
} from "../../sensor/index.js";
import { ontoAxis } from "./onto-axis.js";
import type { AirflowPlan, PlannedCell } from "./result.js";

/** The planned airflow table in both forms: as data for results, and as the curves that later steps compute with. */
export interface AirflowStage {
  readonly plan: AirflowPlan;
  /** What the element says in the new housing, on the union of the source's and the table's signals. */
  readonly wanted: TransferCurve;
  /** The table as the engine computer will hold and read it. */
  readonly stored: TransferCurve;
  /** The element's own table on the union of its signals and the axis, and the housing it holds for. */
  readonly source: TransferCurve;
  readonly sourceHousing: Housing;
  /** What the safety checks found in it. */
  readonly inspection: TableInspection;
}

/** Half-width of an even spread over its standard uncertainty. */
const EVEN = Math.sqrt(3);

/**
 * From the element's own table to the engine computer's: extended by law where the table's axis asks for more than was
 * measured, rescaled to the new housing, fitted to the axis as straight lines, stored.
 */
export function planAirflow(document: SwapDocument): AirflowStage {
  const { present, next, airflow } = document;
  const meter = next.source === "donor" ? next.donor : present;
  const from = next.source === "donor" && next.asInstalled ? next.housing : meter.housing;
  const source = measuredCurve(meter.table, meter.accuracy, airflow.outside);
  const axis = axisSignals(document);
  const extended = ontoAxis(source, axis);
  const rescaled = rescaleTransferCurve(extended.curve, {
    from,
    to: next.housing,
    air: { temperature: document.air.temperature },
  });
  const wanted = rescaled.curve;
  const { richBias, highFlowFrom } = document.safety;
  // A bias asked for is part of what the table should hold; the wanted curve stays the honest one.
  const aimed = biasRich(wanted, { k: richBias, from: highFlowFrom });
  const target = smooth(aimed);
  const quantityOf = { quantity: wanted.signal, values: axis } as const;
  const storage: { readonly storage?: CurveStorage } =
    airflow.storage === undefined ? {} : { storage: { y: airflow.storage } };
  // No straight line follows a curve to zero in relative terms: below two storage steps the error is counted against two steps.
  const floor = Math.max(2 * (airflow.storage?.step ?? 0), 1e-6);
  const options = { error: "relative", floor, outside: airflow.outside, ...storage } as const;
  const regridded = regridCurve(target, quantityOf, { fit: airflow.fit, ...options });
  const sampled =
    airflow.fit === "sample" ? regridded : regridCurve(target, quantityOf, { fit: "sample", ...options });
  const { stored } = regridded;
  const { executed } = regridded;
  const cells = stored.curve.x.values.map((signal, i): PlannedCell => {
    const near = cellAt(aimed, signal);
    const note = rescaled.cells[aimed.cells.indexOf(near)];
    const flow = stored.curve.y.values[i] as number;
    const error = executed.cells[i] as ExecutedError["cells"][number];
    const budget = {
      ...near.budget,
      regrid: Math.max(share(error.lowest, "interpolation"), share(error.highest, "interpolation")) / EVEN,
      ...(airflow.storage === undefined || !(flow > 0)
        ? {}
        : { storage: airflow.storage.step / 2 / EVEN / flow }),
    };
    return {
      signal,
      flow,
      wanted: cellAt(wanted, signal).flow,
      origin: near.origin,
      budget,
      u: combinedUncertainty(budget),
      overAreaOnly: note?.overAreaOnly ?? 1,
      reynolds: note?.reynoldsTo ?? 0,
      readsLow: error.lowest.error,
      readsHigh: error.highest.error,
      flags: [
        ...near.flags,
        ...((stored.yFlags[i] ?? []).includes("clipped") ? (["clipped"] as const) : []),
        ...(flow > (stored.curve.y.values[i - 1] ?? Number.NEGATIVE_INFINITY)
          ? []
          : (["not increasing"] as const)),
      ],
    };
  });
  const executedTable: TransferCurve = {
    kind: "transfer curve",
    signal: wanted.signal,
    outside: airflow.outside,
    cells: cells.map(({ signal, flow, origin, budget, flags }) => ({ signal, flow, origin, budget, flags })),
  };
  const inspection = inspectTable(wanted, executedTable, { highFlowFrom, readsLow: "danger" });
  const inspected = cells.map((cell, i) => ({ ...cell, flags: inspection.cells[i]?.flags ?? cell.flags }));
  return {
    wanted,
    source: extended.curve,
    sourceHousing: from,
    stored: { ...executedTable, cells: inspection.cells },
    inspection,
    plan: {
      source: {
        kind: next.source === "donor" ? "donor" : "same element",
        points: pointsOf(source),
        law: lawOf(extended.laws),
      },
      present: {
        signal: present.table.signalKind,
        points: pointsOf(measuredCurve(present.table, present.accuracy, airflow.outside)),
      },
      areaRatio: rescaled.areaRatio,
      wanted: finely(wanted, smooth(wanted)),
      cells: inspected,
      outside: airflow.outside,
      executed: {
        fit: airflow.fit,
        worst: { signal: executed.worst.x, error: executed.worst.error },
        sampledWorst: { signal: sampled.executed.worst.x, error: sampled.executed.worst.error },
        judgedFrom: axis[0] as number,
      },
    },
  };
}

/** A table as given, each cell with its stated accuracy. */
export function measuredCurve(
  table: AirflowTable,
  accuracy: number,
  outside: TransferCurve["outside"],
): TransferCurve {
  return {
    kind: "transfer curve",
    signal: table.signalKind,
    outside,
    cells: table.signal.map((signal, i) => ({
      signal,
      flow: table.flow[i] as number,
      origin: "measured",
      budget: { element: accuracy },
      flags: [],
    })),
  };
}

/** Signals of the new table. */
export function axisSignals(document: SwapDocument): readonly number[] {
  const { axis } = document.airflow;
  return axis.kind === "values" ? axis.values : document.present.table.signal;
}

/** The cells as one smooth rising curve: what the straight lines of the table are to stand for. */
const smooth = (curve: TransferCurve): Curve =>
  makeCurve({
    x: { quantity: curve.signal, values: curve.cells.map((cell) => cell.signal) },
    y: { quantity: "mass flow", values: curve.cells.map((cell) => cell.flow) },
    between: "monotone cubic",
    outside: "extend",
  });

const pointsOf = (curve: TransferCurve) => curve.cells.map(({ signal, flow }) => ({ signal, flow }));

function cellAt(curve: TransferCurve, signal: number): TransferCell {
  // Stored axes may lie a rounding step off the wanted signals.
  return curve.cells.reduce((a, b) => (Math.abs(b.signal - signal) < Math.abs(a.signal - signal) ? b : a));
}

/** A part of an executed error, over the flow wanted there [1]. */
const share = (at: ErrorAt, part: "interpolation" | "storage" | "clipping"): number =>
  at.target > 0 ? Math.abs(at[part]) / at.target : 0;

function lawOf(laws: {
  readonly above?: LawChoice;
  readonly within?: LawChoice;
  readonly below?: LawChoice;
}) {
  // The law that carries the table past its top matters most; then the one below; then the one between.
  const choice = laws.above ?? laws.below ?? laws.within;
  if (choice === undefined) return null;
  const { law } = choice;
  return { form: law.curve.form, rms: law.rms, leaveOneOut: law.leaveOneOutRms };
}

/** Points between two cells of the wanted curve, for pictures. */
const PIECES = 6;

/** The wanted curve, finely, with the uncertainty of its cells carried along straight lines. */
function finely(wanted: TransferCurve, target: Curve): AirflowPlan["wanted"] {
  const at = curveEvaluator(target);
  return wanted.cells.flatMap((cell, i) => {
    const right = wanted.cells[i + 1];
    const u = combinedUncertainty(cell.budget);
    if (right === undefined) return [{ signal: cell.signal, flow: cell.flow, u }];
    const uRight = combinedUncertainty(right.budget);
    return Array.from({ length: PIECES }, (_, k) => {
      const part = k / PIECES;
      const signal = cell.signal + part * (right.signal - cell.signal);
      return { signal, flow: at(signal), u: u + part * (uRight - u) };
    });
  });
}
