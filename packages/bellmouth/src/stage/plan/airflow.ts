import {
  type Curve,
  curveEvaluator,
  type ErrorAt,
  makeCurve,
  placeBreakpoints,
  type Regridded,
  regridCurve,
} from "../../curve/index.js";
import type { AirflowTable, SwapDocument } from "../../document/index.js";
import { at, atKey, omitUndefined } from "../../fault/index.js";
import {
  biasRich,
  type CellFlag,
  combinedUncertainty,
  type ExtendedCurve,
  type Housing,
  inspectTable,
  type LawChoice,
  type MovedCell,
  type RescaledCell,
  rescaleTransferCurve,
  type TableInspection,
  type TransferCell,
  type TransferCurve,
} from "../../sensor/index.js";
import type { Finding } from "../result-parts.js";
import { type WithPairs, withMeasuredPairs } from "./measured-pairs.js";
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
  /** Cells of `source` that were moved so that flows rise. */
  readonly moved: readonly MovedCell[];
  /** What is to be said of measured pairs. */
  readonly findings: readonly Finding[];
}

/** Half-width of an even spread over its standard uncertainty. */
const EVEN = Math.sqrt(3);

/** A place of the wanted curve: what stands there before and after a bias, and how the rescaling came to it. */
interface WantedRow {
  readonly unbiased: TransferCell;
  readonly aimed: TransferCell;
  readonly scaling: RescaledCell;
}

/**
 * From the element's own table to the engine computer's: extended by law where the table's axis asks for more than was
 * measured, rescaled to the new housing, fitted to the axis as straight lines, stored.
 */
export function planAirflow(document: SwapDocument): AirflowStage {
  const { present, next, airflow } = document;
  const own = ownTable(document);
  const axis = axisSignals(document, own);
  const { extended, rescaled, aimed, findings } = wantedCurves(document, own, axis);
  const wanted = rescaled.curve;
  const { highFlowFrom } = document.safety;
  const rows = rowsOn(axis, wanted.cells, aimed.cells, rescaled.cells);
  const { regridded, sampled } = atKey("ecu.airflow", () => fitted(airflow, aimed, axis));
  const cells = rows.map((row, i) => plannedCell(row, regridded, i, airflow.storage?.step));
  const table: TransferCurve = {
    kind: "transfer curve",
    signal: wanted.signal,
    outside: airflow.outside,
    cells: cells.map(({ signal, flow, origin, budget, flags }) => ({ signal, flow, origin, budget, flags })),
  };
  const inspection = inspectTable(wanted, table, { highFlowFrom, readsLow: "danger" });
  return {
    wanted,
    source: extended.curve,
    sourceHousing: own.housing,
    stored: { ...table, cells: inspection.cells },
    inspection,
    moved: extended.moved,
    findings,
    plan: {
      source: {
        kind: next.source === "donor" ? "donor" : "same element",
        points: pointsOf(own.curve),
        law: lawOf(extended.laws),
      },
      present: {
        signal: present.table.signalKind,
        points: pointsOf(measuredCurve(present.table, present.accuracy, airflow.outside)),
      },
      areaRatio: rescaled.areaRatio,
      wanted: finely(wanted, smooth(wanted)),
      cells: cells.map((cell, i) => ({ ...cell, flags: at(inspection.cells, i).flags })),
      outside: airflow.outside,
      executed: {
        fit: airflow.fit,
        worst: worstOf(regridded),
        sampledWorst: worstOf(sampled),
        judgedFrom: at(axis, 0),
        placed: betterAxis(document, own, axis, Math.abs(regridded.executed.worst.error)),
      },
    },
  };
}

interface OwnTable {
  readonly curve: TransferCurve;
  readonly housing: Housing;
  /** Key of the document that the table comes from. */
  readonly key: string;
}

/** The element's table on its own signals and the axis, in its housing and in the new one with what was measured, and with the bias asked for. */
function wantedCurves(
  document: SwapDocument,
  own: OwnTable,
  axis: readonly number[],
): WithPairs & { readonly extended: ExtendedCurve; readonly aimed: TransferCurve } {
  const extended = atKey(own.key, () => ontoAxis(own.curve, axis));
  const { rescaled, findings } = atKey("new", () => {
    const predicted = rescaleTransferCurve(extended.curve, {
      from: own.housing,
      to: document.next.housing,
      air: { temperature: document.air.temperature },
      elsewhere: document.next.source === "donor",
    });
    return withMeasuredPairs(document, predicted, own.housing);
  });
  const { richBias, highFlowFrom, richBiasFrom } = document.safety;
  // A bias asked for is part of what the table should hold; the wanted curve stays the unbiased one.
  const aimed = biasRich(rescaled.curve, { k: richBias, from: highFlowFrom, blendFrom: richBiasFrom });
  return { extended, rescaled, aimed, findings };
}

/** The table of the element that will be in the new housing, and the housing it holds for. */
function ownTable({ present, next, airflow }: SwapDocument): OwnTable {
  const meter = next.source === "donor" ? next.donor : present;
  return {
    curve: measuredCurve(meter.table, meter.accuracy, airflow.outside),
    housing: next.source === "donor" && next.asInstalled ? next.housing : meter.housing,
    key: next.source === "donor" ? "new.donor.table" : "present.table",
  };
}

/** The rows of the wanted curve that stand on the table's axis, in its order; every axis signal has a cell of its own there. */
function rowsOn(
  axis: readonly number[],
  unbiased: readonly TransferCell[],
  aimed: readonly TransferCell[],
  scaling: readonly RescaledCell[],
): readonly WantedRow[] {
  const place = new Map(unbiased.map((cell, i) => [cell.signal, i]));
  return axis.map((signal) => {
    const i = place.get(signal) ?? -1;
    return { unbiased: at(unbiased, i), aimed: at(aimed, i), scaling: at(scaling, i) };
  });
}

/** The aimed curve as straight lines over the axis, by the fit asked for, and by copied values for comparison. */
function fitted(
  airflow: SwapDocument["airflow"],
  aimed: TransferCurve,
  axis: readonly number[],
): { readonly regridded: Regridded; readonly sampled: Regridded } {
  const target = smooth(aimed);
  const onto = { quantity: aimed.signal, values: axis } as const;
  const options = omitUndefined({
    error: "relative",
    floor: floorOf(airflow),
    least: 0,
    outside: airflow.outside,
    storage: airflow.storage === undefined ? undefined : { y: airflow.storage },
  });
  const regridded = regridCurve(target, onto, { fit: airflow.fit, ...options });
  return {
    regridded,
    sampled: airflow.fit === "sample" ? regridded : regridCurve(target, onto, { fit: "sample", ...options }),
  };
}

/** No straight line follows a curve to zero in relative terms: below two storage steps the error is counted against two steps. */
const floorOf = (airflow: SwapDocument["airflow"]): number =>
  Math.max(2 * (airflow.storage?.step ?? 0), 1e-6);

/** Cell `i` of the new table, with the share of its budget that the table's own form brings. */
function plannedCell(
  { unbiased, aimed, scaling }: WantedRow,
  { stored, executed }: Regridded,
  i: number,
  step: number | undefined,
): PlannedCell {
  const flow = at(stored.curve.y.values, i);
  const error = at(executed.cells, i);
  const budget = omitUndefined({
    ...aimed.budget,
    regrid: Math.max(share(error.lowest, "interpolation"), share(error.highest, "interpolation")) / EVEN,
    storage: step === undefined || !(flow > 0) ? aimed.budget.storage : step / 2 / EVEN / flow,
  });
  const flags: CellFlag[] = [...aimed.flags];
  if (at(stored.yFlags, i).includes("clipped")) flags.push("clipped");
  if (i > 0 && !(flow > at(stored.curve.y.values, i - 1))) flags.push("not increasing");
  return {
    signal: at(stored.curve.x.values, i),
    flow,
    wanted: unbiased.flow,
    origin: aimed.origin,
    budget,
    u: combinedUncertainty(budget),
    overAreaOnly: scaling.overAreaOnly,
    reynolds: scaling.reynoldsTo,
    readsLow: error.lowest.error,
    readsHigh: error.highest.error,
    flags,
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

/** Signals nearer to each other than this share of the axis' end are one: the rest is rounding. */
const ONE_SIGNAL = 1e-9;

/** Signals of the new table. One that is a signal of the element's own table up to rounding is that signal. */
function axisSignals(document: SwapDocument, own: OwnTable): readonly number[] {
  const { axis } = document.airflow;
  const signals =
    axis.kind === "values"
      ? axis.values
      : axis.kind === "as-present"
        ? document.present.table.signal
        : placedBetween(
            document,
            own,
            axis.from ?? at(own.curve.cells, 0).signal,
            axis.to ?? at(own.curve.cells, own.curve.cells.length - 1).signal,
            axis.count,
          ).signals;
  const known = own.curve.cells.map(({ signal }) => signal);
  const near = ONE_SIGNAL * Math.max(at(signals, signals.length - 1), at(known, known.length - 1));
  let k = 0;
  return signals.map((signal) => {
    while (k < known.length && at(known, k) < signal - near) k++;
    const same = known[k];
    return same !== undefined && same <= signal + near ? same : signal;
  });
}

/** How often breakpoints are placed anew on the curve that those before gave. */
const PLACINGS = 3;

/**
 * Breakpoints where straight lines follow the wanted curve with equal error, and the largest error then [1]. What the law
 * fills in depends a little on where it is asked, so the curve is made anew for each try and the best one kept.
 */
function placedBetween(
  document: SwapDocument,
  own: OwnTable,
  from: number,
  to: number,
  count: number,
): { readonly signals: readonly number[]; readonly worst: number } {
  const { airflow } = document;
  let signals: readonly number[] = Array.from({ length: count }, (_, i) =>
    i === count - 1 ? to : from + ((to - from) * i) / (count - 1),
  );
  let best = { signals, worst: Number.POSITIVE_INFINITY };
  for (let turn = 0; turn <= PLACINGS; turn++) {
    const { aimed } = wantedCurves(document, own, signals);
    const worst = Math.abs(fitted(airflow, aimed, signals).regridded.executed.worst.error);
    if (worst < best.worst) best = { signals, worst };
    signals = placeBreakpoints(smooth(aimed), {
      from,
      to,
      count,
      error: "relative",
      floor: floorOf(airflow),
    });
  }
  return best;
}

/** Executed error [1] up to which no other axis is proposed. */
const FINE = 0.02;
/** Most breakpoints that are worth naming one by one. */
const MOST_NAMED = 64;
/** Fewest of which some can be placed. */
const LEAST_PLACED = 3;

/** Where as many breakpoints would follow the curve better, and its largest error then [1]; null where that is no help. */
function betterAxis(
  document: SwapDocument,
  own: OwnTable,
  axis: readonly number[],
  worst: number,
): AirflowPlan["executed"]["placed"] {
  if (!(worst > FINE) || axis.length > MOST_NAMED || axis.length < LEAST_PLACED) return null;
  const placed = placedBetween(document, own, at(axis, 0), at(axis, axis.length - 1), axis.length);
  return placed.worst < worst / 2 ? placed : null;
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

const worstOf = ({ executed }: Regridded) => ({ signal: executed.worst.x, error: executed.worst.error });

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
  const flowAt = curveEvaluator(target);
  return wanted.cells.flatMap((cell, i) => {
    const right = wanted.cells[i + 1];
    const u = combinedUncertainty(cell.budget);
    if (right === undefined) return [{ signal: cell.signal, flow: cell.flow, u }];
    const uRight = combinedUncertainty(right.budget);
    return Array.from({ length: PIECES }, (_, k) => {
      const part = k / PIECES;
      const signal = cell.signal + part * (right.signal - cell.signal);
      return { signal, flow: flowAt(signal), u: u + part * (uRight - u) };
    });
  });
}
