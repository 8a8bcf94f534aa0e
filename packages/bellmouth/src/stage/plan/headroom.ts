import type { Scenario, SwapDocument } from "../../document/index.js";
import { atKey } from "../../fault/index.js";
import { engineDemand } from "../../intake/index.js";
import {
  type Demand,
  type Housing,
  headroom,
  housingReynolds,
  idleEnd,
  type IdleEnd as MeterIdle,
  type MeterLimits,
  type UsableSignal as MeterUsable,
  type RobustPeak,
  robustPeak,
  type TransferCurve,
} from "../../sensor/index.js";
import { percent } from "../../text/index.js";
import type { MassFlow } from "../../units/index.js";
import type { HeadroomPlan, IdleEnd, ScenarioHeadroom, UsableSignal } from "./result.js";

/**
 * When a plan calls a scenario to attention: at nine tenths of the usable signal, or at one chance in fifty of running past
 * it; at one in five it counts as over. Shown in the summary, because it is a choice.
 */
export const THRESHOLDS = { watchShare: 0.9, watchChance: 0.02, overChance: 0.2 } as const;

/** A scenario as a demand on any meter, with how it was come by. */
export interface ScenarioDemand extends Demand {
  readonly how: string;
}

/** What the document's scenarios ask of the meter [kg/s]. */
export function scenarioDemands(document: SwapDocument): readonly ScenarioDemand[] {
  return document.scenarios.map((scenario, i) =>
    atKey(`scenarios[${i}]`, () => ({
      name: scenario.name,
      ...demandOf(scenario, document.present.accuracy),
    })),
  );
}

/** @param accuracy of the present meter's table, which a logged flow was read through [1] */
function demandOf(scenario: Scenario, accuracy: number): Omit<ScenarioDemand, "name"> {
  switch (scenario.kind) {
    case "peak":
      return { flow: scenario.flow, how: "as stated" };
    case "log": {
      const peak = robustPeak(scenario.time, scenario.flow, {
        sustained: scenario.sustained,
        table: accuracy,
      });
      const { missing, dropouts, spikes } = peak.removed;
      return {
        flow: { value: peak.value, u: peak.u },
        shared: scenario.shared,
        how: `highest flow sustained for ${scenario.sustained} s in ${scenario.file}; ${dropouts + spikes + missing} of ${peak.used + dropouts + spikes + missing} samples left out${doubtOf(peak)}`,
      };
    }
    case "engine":
      return { flow: engineFlow(scenario), how: howEngine(scenario.engine) };
  }
}

/** The highest reading that was left out though it may have been a short pull. */
function doubtOf({ doubtful: [highest] }: RobustPeak): string {
  if (highest === undefined) return "";
  const flow = Math.round(1000 * highest.value);
  return `, among them ${flow} g/s at ${highest.time.toFixed(1)} s, which may have been a short pull: the log is too slow to tell`;
}

function howEngine({ measured }: Extract<Scenario, { kind: "engine" }>["engine"]): string {
  if (measured === undefined) return "engine at that speed, on that day";
  const { efficiency, gain, file, samples } = measured;
  const added =
    gain.value === 0 && gain.u === 0 ? "" : `, ${percent(gain.value)} added (± ${percent(gain.u, 2)})`;
  return `engine at that speed, on that day; volumetric efficiency ${percent(efficiency.value)} ± ${percent(efficiency.u, 2)} by ${samples} samples near full load in ${file}${added}`;
}

const engineFlow = ({ engine, day }: Extract<Scenario, { kind: "engine" }>) => engineDemand(engine, day).flow;

/** Idle flow [kg/s]; undefined where the document says nothing of idle. */
export function idleFlow(document: SwapDocument): MassFlow | undefined {
  const { idle } = document;
  if (idle === undefined) return undefined;
  return idle.kind === "flow"
    ? idle.flow.value
    : atKey("idle", () => engineDemand(idle.engine, idle.day)).flow.value;
}

/** Room of the new meter, and of the present one for comparison. */
export function planHeadroom(
  document: SwapDocument,
  tables: { readonly planned: TransferCurve; readonly present: TransferCurve },
): HeadroomPlan {
  const demands = scenarioDemands(document);
  const after = atKey("new", () => headroom(tables.planned, limitsOf(document, "next"), demands, THRESHOLDS));
  const before = atKey("present", () =>
    headroom(tables.present, limitsOf(document, "present"), demands, THRESHOLDS),
  );
  const idle = (curve: TransferCurve, usable: MeterUsable, housing: Housing): IdleEnd | null => {
    const flow = idleFlow(document);
    const resolution = document.airflow.capture?.resolution;
    if (flow === undefined) return null;
    const reynolds = housingReynolds(housing.section, flow, document.air.temperature);
    return idleOf(
      // Without a known resolution only the place of idle is told; any step serves to find it.
      idleEnd(curve, usable, flow, resolution ?? { kind: "step", step: usable.to / 1e6 }),
      resolution !== undefined && sameSignal(document, curve),
      reynolds,
    );
  };
  return {
    usable: usableOf(after.usable),
    usableBefore: usableOf(before.usable),
    scenarios: after.scenarios.map((scenario, i): ScenarioHeadroom => {
      const old = before.scenarios[i];
      return {
        name: scenario.name,
        demand: scenario.demand,
        u: scenario.u,
        how: demands[i]?.how ?? "",
        signal: scenario.signal,
        share: scenario.share,
        flowLeft: scenario.flowLeft,
        chanceOver: scenario.chanceOver,
        state: scenario.state,
        before:
          old === undefined
            ? null
            : { signal: old.signal, share: old.share, chanceOver: old.chanceOver, state: old.state },
      };
    }),
    cells: after.cells,
    idle: idle(tables.planned, after.usable, document.next.housing),
    idleBefore: idle(tables.present, before.usable, document.present.housing),
  };
}

/** The input's resolution is stated for the new sensor's signal; it says nothing of a present sensor of the other kind. */
const sameSignal = (document: SwapDocument, curve: TransferCurve): boolean =>
  curve.signal === document.signal;

function idleOf(end: MeterIdle, resolved: boolean, reynolds: number): IdleEnd {
  return {
    flow: end.flow,
    signal: end.signal,
    below: end.below,
    stepShare: resolved ? end.stepShare : null,
    reynolds,
  };
}

const usableOf = (usable: MeterUsable): UsableSignal => ({
  from: usable.from,
  to: usable.to,
  flow: usable.flowTo,
  limitedBy: usable.limitedBy,
});

/** Limits of a meter: the sensor's own, the input's and the storage's where they are known and of its kind. */
export function limitsOf(document: SwapDocument, which: "present" | "next"): MeterLimits {
  const { present, next, airflow } = document;
  const meter = which === "next" && next.source === "donor" ? next.donor : present;
  const sameKind = meter.table.signalKind === document.signal;
  return {
    ...(meter.range === undefined ? {} : { sensor: meter.range }),
    ...(airflow.capture === undefined || !sameKind
      ? {}
      : { capture: { from: airflow.capture.from, to: airflow.capture.to } }),
    ...(airflow.storage === undefined
      ? {}
      : { storage: { from: airflow.storage.from, to: airflow.storage.to } }),
  };
}
