import * as z from "zod";
import { BUDGET_COMPONENTS, type BudgetComponent, CELL_FLAGS, CELL_ORIGINS } from "../../sensor/index.js";
import {
  head,
  keyFigures,
  list,
  number,
  type Out,
  orNull,
  record,
  signalKind,
  tableVerdict,
  text,
  uncertain,
  unit,
  whole,
  word,
  yes,
} from "../result-parts.js";

const curvePoint = () => record({ signal: number(), flow: number() });
const state = () => word("clear", "watch", "over");

const plannedCell = () =>
  record({
    signal: number(),
    /** As the engine computer will hold it. */
    flow: number(),
    /** The wanted curve at this breakpoint. */
    wanted: number(),
    origin: z.enum(CELL_ORIGINS),
    budget: budget(),
    /** Combined relative standard uncertainty [1]. */
    u: number(),
    /** Wanted flow over what scaling by area alone would give [1]. */
    overAreaOnly: number(),
    /** Pipe Reynolds number in the new housing [1]. */
    reynolds: number(),
    /** Executed error around this cell, lowest and highest [1]. */
    readsLow: number(),
    readsHigh: number(),
    flags: list(z.enum(CELL_FLAGS)),
  });

const budget = () =>
  z.partialRecord(z.enum(BUDGET_COMPONENTS), number()) as z.ZodType<{
    readonly [component in BudgetComponent]?: number;
  }>;

const airflowPlan = () =>
  record({
    /** Where the new table comes from. */
    source: record({
      kind: word("same element", "donor"),
      points: list(curvePoint()),
      /** The law used past the last measured cells and how well it fits; null where nothing was extrapolated. */
      law: orNull(record({ form: text(), rms: number(), leaveOneOut: number() })),
    }),
    /** The present table; null for a plan without one. */
    present: orNull(record({ signal: signalKind(), points: list(curvePoint()) })),
    areaRatio: number(),
    /** The wanted curve in the new housing, finely, with its relative standard uncertainty. */
    wanted: list(record({ signal: number(), flow: number(), u: number() }), 1),
    cells: list(plannedCell(), 2),
    outside: word("hold", "extend"),
    executed: record({
      fit: word("minimax", "sample"),
      /** Largest executed error of the planned table, and of one that copies the curve's values [1]. */
      worst: record({ signal: number(), error: number() }),
      sampledWorst: record({ signal: number(), error: number() }),
      /** Cells below this signal are left out of `worst`: there the storage step alone is a large share of the flow. */
      judgedFrom: number(),
      /** Where as many breakpoints would follow the curve, and its largest executed error then [1]; null where the axis serves. */
      placed: orNull(record({ signals: list(number(), 2), worst: number() })),
    }),
  });

const tableSide = () =>
  record({ name: text(), unit: text(), dimension: word("voltage", "count", "resistance", "temperature") });

const checkedSide = () =>
  tableSide().refine((one) => unit(one.dimension).safeParse(one.unit).success, {
    error: "a unit of its dimension",
  });

const temperaturePlan = () =>
  record({
    /** What the table is read with, and what it gives; cells are in SI, the units are for people. */
    axis: checkedSide(),
    value: checkedSide(),
    cells: list(
      record({
        x: number(),
        y: number(),
        /** Standard uncertainty of the temperature [K] at this cell. */
        u: number(),
        flags: list(text()),
      }),
      1,
    ),
    /** How well the element's law fits its points [K]; zero points where the law itself was given. */
    fit: record({
      law: text(),
      rms: number(),
      worst: number(),
      points: whole(),
      /** Points that look like misprints or slips; they were used all the same. */
      outliers: list(record({ temperature: number(), resistance: number(), kelvin: number() })),
    }),
    band: record({ coldest: number(), hottest: number() }),
    /** Largest executed error inside the band [K]. */
    worst: record({ temperature: number(), error: number() }),
    /** What the table shows with the element disconnected and shorted [K]. */
    shown: record({ open: orNull(number()), short: orNull(number()) }),
    /** What the table reads at true temperatures a little past the band's ends [K]. */
    pastBand: list(record({ true: number(), read: number() })),
    /** If the old table were left in: what it would say for the new element's true temperature [K]; null without a present element. */
    leftAlone: orNull(list(record({ true: number(), read: number() }), 1)),
  });

const usableSignal = () =>
  record({
    from: number(),
    to: number(),
    /** Flow at `to` [kg/s]. */
    flow: number(),
    limitedBy: text(),
  });

const scenarioHeadroom = () =>
  record({
    name: text(),
    /** Flow asked for [kg/s] and its relative standard uncertainty [1]. */
    demand: number(),
    u: number(),
    how: text(),
    /** Signal reached with the new meter, share of the usable span, flow left, and chance of running past it. */
    signal: number(),
    share: number(),
    flowLeft: number(),
    chanceOver: number(),
    state: state(),
    /** The same with the present meter; null without one. */
    before: orNull(record({ signal: number(), share: number(), chanceOver: number(), state: state() })),
  });

const idleEnd = () =>
  record({
    flow: number(),
    signal: number(),
    /** Flow that one step of the signal input is worth at idle, over idle flow [1]. */
    stepShare: orNull(number()),
    /** Idle lies under the usable signal: the meter does not see it. */
    below: yes(),
    /** Pipe Reynolds number at idle [1]; under about 4,000 the velocity profile is not settled. */
    reynolds: number(),
  });

const scenarioLimits = () =>
  record({
    name: text(),
    /** Signal reached, and flow that the table as stored reads there [kg/s]; past the table as if it went on. */
    signal: number(),
    reads: number(),
    /** Joint relative standard uncertainty of demand and curve [1]. */
    u: number(),
    /** Probability of meeting the airflow field's end [1]; null without one. */
    chanceAirflow: orNull(number()),
    /** Air per cylinder and intake stroke [kg], what the ECU reads of it, chance of passing the axis, shift in cells of the axis. */
    cylinderAir: orNull(
      record({ value: number(), reads: number(), chance: number(), cells: orNull(number()) }),
    ),
    /** Why air per cylinder cannot be told; null where it is, or no axis is given. */
    cylinderAirUnknown: orNull(text()),
    /** Probability of a signal below and above the fault thresholds [1]; null without one. */
    chanceLow: orNull(number()),
    chanceHigh: orNull(number()),
  });

const ecuLimitsPlan = () =>
  record({
    /** Greatest value of the airflow field [kg/s], end of the load axis [kg], fault thresholds; null where not given. */
    airflow: orNull(number()),
    cylinderAir: orNull(number()),
    signal: record({ low: orNull(number()), high: orNull(number()) }),
    /** Factor on airflow table, injector data and load axes alike that keeps every demand in the field [1]; null where none is needed. */
    scale: orNull(number()),
    /** In the order of `headroom.scenarios`. */
    scenarios: list(scenarioLimits(), 1),
    /** Idle against the low threshold; null where either is not given. */
    idleLow: orNull(record({ signal: number(), chance: number() })),
  });

const headroomPlan = () =>
  record({
    /** Usable signal of the new meter, and what limits it. */
    usable: usableSignal(),
    /** The same of the present meter; null without a present table. */
    usableBefore: orNull(usableSignal()),
    scenarios: list(scenarioHeadroom(), 1),
    /** One per cell of `airflow.cells`: over is past the usable signal, watch in its top part. */
    cells: list(record({ state: state(), reachedBy: list(text()) })),
    idle: orNull(idleEnd()),
    idleBefore: orNull(idleEnd()),
  });

const sweepRow = () =>
  record({
    bore: number(),
    /** Flow at one signal over the present one's [1]. */
    flowRatio: number(),
    /** By scenario, in the order of `headroom.scenarios`. */
    scenarios: list(record({ share: number(), chanceOver: number() })),
    idleStepShare: orNull(number()),
    /** Signal at idle, and pipe Reynolds number there. */
    idleSignal: orNull(number()),
    idleReynolds: orNull(number()),
    /** Predicted pressure drop of the housing at the greatest demand [Pa], with standard uncertainty; null where no drop was measured. */
    drop: orNull(uncertain()),
    /** Mach number in the housing at the greatest demand [1]. */
    mach: number(),
    meets: yes(),
    fails: list(text()),
  });

const sweepPlan = () =>
  record({
    rows: list(sweepRow()),
    /** Smallest bore that meets the limits named; null when none does. */
    chosen: orNull(number()),
    limits: list(text()),
    sentence: text(),
  });

/** Schema of a plan, which a stored one is read back through. */
export const planResult = () =>
  record({
    ...head("plan 1"),
    /** Kind of the new sensor's signal. */
    signal: signalKind(),
    /** Unit that the tables are written in, for example `g/s`: how the user's own engine computer counts. */
    units: record({ flow: unit("mass flow"), signal: unit("frequency", "voltage"), temperature: text() }),
    verdict: tableVerdict(),
    /** The three numbers that matter most. */
    keyFigures: keyFigures(),
    cautions: list(text()),
    /** What typing the table in needs: storage step [kg/s], null where the ECU's is not given, and the safety margins asked for. */
    entry: record({ step: orNull(number()), highFlowFrom: number(), richBias: number() }),
    airflow: airflowPlan(),
    temperature: orNull(temperaturePlan()),
    headroom: headroomPlan(),
    /** Demands against the ECU's own limits; null where none is given. */
    ecuLimits: orNull(ecuLimitsPlan()),
    sweep: orNull(sweepPlan()),
  });

/**
 * Result of planning a swap: plain JSON-ready data in SI, from which tables, summary and pictures are made. Field names
 * end without units; every number is in the SI unit of its quantity (flow kg/s, signal Hz or V, temperature K, pressure
 * Pa, length m, ratios 1).
 */
export type PlanResult = Out<typeof planResult>;
export type AirflowPlan = Out<typeof airflowPlan>;
export type PlannedCell = Out<typeof plannedCell>;
export type TemperaturePlan = Out<typeof temperaturePlan>;
export type TableSide = Out<typeof tableSide>;
export type HeadroomPlan = Out<typeof headroomPlan>;
export type UsableSignal = Out<typeof usableSignal>;
export type ScenarioHeadroom = Out<typeof scenarioHeadroom>;
export type EcuLimitsPlan = Out<typeof ecuLimitsPlan>;
export type ScenarioLimits = Out<typeof scenarioLimits>;
export type IdleEnd = Out<typeof idleEnd>;
export type SweepPlan = Out<typeof sweepPlan>;
