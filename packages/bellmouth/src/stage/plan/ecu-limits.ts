import type { EcuLimits, Scenario, SwapDocument } from "../../document/index.js";
import { at } from "../../fault/index.js";
import { normalQuantile } from "../../fit/index.js";
import { airPerCylinder } from "../../intake/index.js";
import { chanceAbove, flowAt, signalAt, type TransferCurve, uncertaintyAt } from "../../sensor/index.js";
import { kilogramsPerSecond } from "../../units/index.js";
import { idleFlow, type ScenarioDemand, scenarioDemands } from "./headroom.js";
import { LIMITS } from "./limits.js";
import type { AirflowPlan, EcuLimitsPlan, ScenarioLimits } from "./result.js";

/**
 * Each demand against what the ECU holds besides its tables; null where the document names no such limit.
 *
 * @param curve the wanted curve at the breakpoints, with its budgets, which the sensor answers by
 */
export function planEcuLimits(
  document: SwapDocument,
  curve: TransferCurve,
  airflow: AirflowPlan,
): EcuLimitsPlan | null {
  const { ecuLimits } = document;
  if (ecuLimits === undefined) return null;
  const demands = scenarioDemands(document);
  const scenarios = demands.map((demand, i) =>
    scenarioLimits(ecuLimits, { demand, scenario: at(document.scenarios, i), curve, airflow }),
  );
  return {
    airflow: ecuLimits.airflow ?? null,
    scale: ecuLimits.airflow === undefined ? null : commonFactor(ecuLimits.airflow, scenarios),
    cylinderAir: ecuLimits.cylinderAir?.end ?? null,
    signal: {
      low: ecuLimits.signalRationality?.low ?? null,
      high: ecuLimits.signalRationality?.high ?? null,
    },
    scenarios,
    idleLow: idleLow(document, ecuLimits, curve),
  };
}

interface Asked {
  readonly demand: ScenarioDemand;
  readonly scenario: Scenario;
  readonly curve: TransferCurve;
  readonly airflow: AirflowPlan;
}

function scenarioLimits(limits: EcuLimits, { demand, scenario, curve, airflow }: Asked): ScenarioLimits {
  const flow = demand.flow.value;
  const reads = flow * readingFactor(airflow, flow);
  const own = demand.flow.u / flow;
  /** What demand and curve, at the flow `there`, leave in doubt between them. */
  const joint = (there: number): number => {
    const u = uncertaintyAt(curve, signalAt(curve, there));
    const shared = Math.min(demand.shared ?? 0, own, u);
    return Math.sqrt(own * own + u * u - 2 * shared * shared);
  };
  const chanceOf = (value: number, limit: number): number =>
    chanceAbove(value, limit, joint((flow * limit) / value));
  const { low, high } = limits.signalRationality ?? {};
  const atHigh = high === undefined ? null : flowAt(curve, high);
  const atLow = low === undefined ? null : flowAt(curve, low);
  return {
    name: demand.name,
    signal: signalAt(curve, flow),
    reads,
    u: joint(flow),
    chanceAirflow: limits.airflow === undefined ? null : chanceOf(reads, limits.airflow),
    ...cylinderAirOf(limits, scenario, { flow, reads }, chanceOf),
    chanceLow: atLow === null ? null : 1 - chanceOf(flow, atLow),
    chanceHigh: atHigh === null ? null : chanceOf(flow, atHigh),
  };
}

/** Air per cylinder, where cylinders and engine speed are known; otherwise why it cannot be told. */
function cylinderAirOf(
  { cylinderAir: axis }: EcuLimits,
  scenario: Scenario,
  { flow, reads }: { readonly flow: number; readonly reads: number },
  chanceOf: (value: number, limit: number) => number,
): Pick<ScenarioLimits, "cylinderAir" | "cylinderAirUnknown"> {
  if (axis === undefined) return { cylinderAir: null, cylinderAirUnknown: null };
  const unknown = (why: string) => ({ cylinderAir: null, cylinderAirUnknown: why });
  if (scenario.kind !== "engine") return unknown("it names no engine speed");
  const { cylinders, strokes, speed } = scenario.engine;
  if (cylinders === undefined)
    return unknown("the number of cylinders ('cylinders' in 'engine') is not given");
  const engine = { cylinders, strokes, speed };
  const value = airPerCylinder(kilogramsPerSecond(flow), engine);
  const read = airPerCylinder(kilogramsPerSecond(reads), engine);
  const { breakpoints } = axis;
  return {
    cylinderAir: {
      value,
      reads: read,
      chance: chanceOf(read, axis.end),
      cells: breakpoints === undefined ? null : place(breakpoints, read) - place(breakpoints, value),
    },
    cylinderAirUnknown: null,
  };
}

/** Place on an axis in cells, held at its ends as the ECU holds them. */
function place(axis: readonly number[], value: number): number {
  const right = axis.findIndex((point) => point > value);
  if (right === 0) return 0;
  if (right < 0) return axis.length - 1;
  const [a, b] = [at(axis, right - 1), at(axis, right)];
  return right - 1 + (value - a) / (b - a);
}

/** What the stored table reads over the true flow [1]: rich bias, straight lines and storage; past the table's end as at its end. */
function readingFactor({ wanted, cells }: AirflowPlan, flow: number): number {
  const line = (from: readonly { readonly x: number; readonly y: number }[], x: number): number => {
    const right = from.findIndex((point) => point.x >= x);
    if (right === 0) return at(from, 0).y;
    if (right < 0) return at(from, from.length - 1).y;
    const [a, b] = [at(from, right - 1), at(from, right)];
    return a.y + ((b.y - a.y) * (x - a.x)) / (b.x - a.x);
  };
  const last = at(cells, cells.length - 1);
  const curve = wanted.map((point) => ({ x: point.flow, y: point.signal }));
  const signal = line(curve, flow);
  if (!(signal < last.signal)) return last.flow / last.wanted;
  const reached = line(
    wanted.map((point) => ({ x: point.signal, y: point.flow })),
    signal,
  );
  return (
    line(
      cells.map((cell) => ({ x: cell.signal, y: cell.flow })),
      signal,
    ) / reached
  );
}

/**
 * The factor [1] that, put on airflow table, injector data and load axes alike, leaves every demand no more than the accepted
 * chance of passing the airflow field; null where none does.
 */
function commonFactor(greatest: number, scenarios: readonly ScenarioLimits[]): number | null {
  const z = normalQuantile(1 - LIMITS.chance);
  const over = scenarios.filter(({ chanceAirflow }) => (chanceAirflow ?? 0) >= LIMITS.chance);
  if (over.length === 0) return null;
  return over.reduce((least, { reads, u }) => Math.min(least, greatest / (reads * Math.exp(z * u))), 1);
}

function idleLow(document: SwapDocument, limits: EcuLimits, curve: TransferCurve): EcuLimitsPlan["idleLow"] {
  const low = limits.signalRationality?.low;
  const flow = idleFlow(document);
  if (low === undefined || flow === undefined) return null;
  const { idle } = document;
  const own = idle?.kind === "flow" ? idle.flow.u / idle.flow.value : 0;
  const there = flowAt(curve, low);
  const u = Math.hypot(own, uncertaintyAt(curve, low));
  return { signal: signalAt(curve, flow), chance: 1 - chanceAbove(flow, there, u) };
}
