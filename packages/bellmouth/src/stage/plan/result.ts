import type { BudgetComponent, CellFlag, CellOrigin, SignalKind } from "../../sensor/index.js";

/**
 * Result of planning a swap: plain JSON-ready data in SI, from which tables, summary and pictures are made. Field names
 * end without units; every number is in the SI unit of its quantity (flow kg/s, signal Hz or V, temperature K, pressure
 * Pa, length m, ratios 1).
 */
export interface PlanResult {
  readonly bellmouth: "plan 1";
  readonly title: string;
  /** Kind of the new sensor's signal. */
  readonly signal: SignalKind;
  /** Unit that the tables are written in, for example `g/s`: how the user's own engine computer counts. */
  readonly units: { readonly flow: string; readonly signal: string; readonly temperature: string };
  readonly verdict: Verdict;
  /** The three numbers that matter most. */
  readonly keyFigures: readonly KeyFigure[];
  readonly cautions: readonly string[];
  readonly airflow: AirflowPlan;
  readonly temperature: TemperaturePlan | null;
  readonly headroom: HeadroomPlan;
  readonly sweep: SweepPlan | null;
}

/** What may be done with the table, and why; see `verdictLevel`. */
export interface Verdict {
  readonly level: "ready" | "decision needed" | "do not use";
  /** One sentence that answers the user's question. */
  readonly sentence: string;
  readonly findings: readonly Finding[];
}

export interface Finding {
  readonly level: "note" | "caution" | "danger";
  /** Stable, kebab-case: `extrapolated-cells`, `reads-low`, … */
  readonly code: string;
  /** One sentence with its figures and units. */
  readonly text: string;
  /** Indices of the cells it speaks of, into `airflow.cells`. */
  readonly cells: readonly number[];
}

export interface KeyFigure {
  readonly name: string;
  /** In `unit`, for people: `87.4` of `%`. */
  readonly value: number;
  /** Ends of the 95 % interval in `unit`; null where there is none. */
  readonly low: number | null;
  readonly high: number | null;
  readonly unit: string;
  /** What it means, in one sentence. */
  readonly meaning: string;
}

export interface AirflowPlan {
  /** Where the new table comes from. */
  readonly source: {
    readonly kind: "same element" | "donor";
    readonly points: readonly CurvePoint[];
    /** The law used past the last measured cells and how well it fits; null where nothing was extrapolated. */
    readonly law: { readonly form: string; readonly rms: number; readonly leaveOneOut: number } | null;
  };
  /** The present table; null for a plan without one. */
  readonly present: { readonly signal: SignalKind; readonly points: readonly CurvePoint[] } | null;
  readonly areaRatio: number;
  /** The wanted curve in the new housing, finely, with its relative standard uncertainty. */
  readonly wanted: readonly { readonly signal: number; readonly flow: number; readonly u: number }[];
  readonly cells: readonly PlannedCell[];
  readonly outside: "hold" | "extend";
  readonly executed: {
    readonly fit: "minimax" | "sample";
    /** Largest executed error of the planned table, and of one that copies the curve's values [1]. */
    readonly worst: { readonly signal: number; readonly error: number };
    readonly sampledWorst: { readonly signal: number; readonly error: number };
    /** Cells below this signal are left out of `worst`: there the storage step alone is a large share of the flow. */
    readonly judgedFrom: number;
  };
}

export interface CurvePoint {
  readonly signal: number;
  readonly flow: number;
}

export interface PlannedCell {
  readonly signal: number;
  /** As the engine computer will hold it. */
  readonly flow: number;
  /** The wanted curve at this breakpoint. */
  readonly wanted: number;
  readonly origin: CellOrigin;
  readonly budget: { readonly [component in BudgetComponent]?: number };
  /** Combined relative standard uncertainty [1]. */
  readonly u: number;
  /** Wanted flow over what scaling by area alone would give [1]. */
  readonly overAreaOnly: number;
  /** Pipe Reynolds number in the new housing [1]. */
  readonly reynolds: number;
  /** Executed error around this cell, lowest and highest [1]. */
  readonly readsLow: number;
  readonly readsHigh: number;
  readonly flags: readonly CellFlag[];
}

export interface TemperaturePlan {
  /** What the table is read with, and what it gives; cells are in SI, the units are for people. */
  readonly axis: TableSide;
  readonly value: TableSide;
  readonly cells: readonly {
    readonly x: number;
    readonly y: number;
    /** Standard uncertainty of the temperature [K] at this cell. */
    readonly u: number;
    readonly flags: readonly string[];
  }[];
  /** How well the element's law fits its points [K]; zero points where the law itself was given. */
  readonly fit: {
    readonly law: string;
    readonly rms: number;
    readonly worst: number;
    readonly points: number;
    /** Points that look like misprints or slips; they were used all the same. */
    readonly outliers: readonly {
      readonly temperature: number;
      readonly resistance: number;
      readonly kelvin: number;
    }[];
  };
  readonly band: { readonly coldest: number; readonly hottest: number };
  /** Largest executed error inside the band [K]. */
  readonly worst: { readonly temperature: number; readonly error: number };
  /** What the table shows with the element disconnected and shorted [K]. */
  readonly shown: { readonly open: number | null; readonly short: number | null };
  /** If the old table were left in: what it would say for the new element's true temperature [K]. */
  readonly leftAlone: readonly { readonly true: number; readonly read: number }[] | null;
}

export interface TableSide {
  readonly name: string;
  readonly unit: string;
  readonly dimension: "voltage" | "count" | "resistance" | "temperature";
}

export interface HeadroomPlan {
  /** Usable signal of the new meter, and what limits it. */
  readonly usable: UsableSignal;
  /** The same of the present meter; null without a present table. */
  readonly usableBefore: UsableSignal | null;
  readonly scenarios: readonly ScenarioHeadroom[];
  /** One per cell of `airflow.cells`: over is past the usable signal, watch in its top part. */
  readonly cells: readonly {
    readonly state: "clear" | "watch" | "over";
    readonly reachedBy: readonly string[];
  }[];
  readonly idle: IdleEnd | null;
  readonly idleBefore: IdleEnd | null;
}

export interface UsableSignal {
  readonly from: number;
  readonly to: number;
  /** Flow at `to` [kg/s]. */
  readonly flow: number;
  readonly limitedBy: string;
}

export interface ScenarioHeadroom {
  readonly name: string;
  /** Flow asked for [kg/s] and its relative standard uncertainty [1]. */
  readonly demand: number;
  readonly u: number;
  readonly how: string;
  /** Signal reached with the new meter, share of the usable span, flow left, and chance of running past it. */
  readonly signal: number;
  readonly share: number;
  readonly flowLeft: number;
  readonly chanceOver: number;
  readonly state: "clear" | "watch" | "over";
  /** The same with the present meter; null without one. */
  readonly before: {
    readonly signal: number;
    readonly share: number;
    readonly chanceOver: number;
    readonly state: "clear" | "watch" | "over";
  } | null;
}

export interface IdleEnd {
  readonly flow: number;
  readonly signal: number;
  /** Flow that one step of the signal input is worth at idle, over idle flow [1]. */
  readonly stepShare: number | null;
  /** Idle lies under the usable signal: the meter does not see it. */
  readonly below: boolean;
  /** Pipe Reynolds number at idle [1]; under about 4,000 the velocity profile is not settled. */
  readonly reynolds: number;
}

export interface SweepPlan {
  readonly rows: readonly SweepRow[];
  /** Smallest bore that meets the limits named; null when none does. */
  readonly chosen: number | null;
  readonly limits: readonly string[];
  readonly sentence: string;
}

export interface SweepRow {
  readonly bore: number;
  /** Flow at one signal over the present one's [1]. */
  readonly flowRatio: number;
  /** By scenario, in the order of `headroom.scenarios`. */
  readonly scenarios: readonly { readonly share: number; readonly chanceOver: number }[];
  readonly idleStepShare: number | null;
  /** Signal at idle, and pipe Reynolds number there. */
  readonly idleSignal: number | null;
  readonly idleReynolds: number | null;
  /** Predicted pressure drop of the housing at the greatest demand [Pa], with standard uncertainty; null where no drop was measured. */
  readonly drop: { readonly value: number; readonly u: number } | null;
  /** Mach number in the housing at the greatest demand [1]. */
  readonly mach: number;
  readonly meets: boolean;
  readonly fails: readonly string[];
}
