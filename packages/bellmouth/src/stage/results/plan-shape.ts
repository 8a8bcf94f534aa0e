import * as z from "zod";
import {
  head,
  keyFigures,
  list,
  number,
  orNull,
  tableVerdict,
  text,
  uncertain,
  unit,
} from "./shape-parts.js";

const point = () => z.looseObject({ signal: number(), flow: number() });
const state = () => z.enum(["clear", "watch", "over"]);

const airflow = () =>
  z.looseObject({
    present: orNull(z.looseObject({ signal: z.enum(["frequency", "voltage"]), points: list(point()) })),
    areaRatio: number(),
    wanted: list(z.looseObject({ signal: number(), flow: number(), u: number() }), 1),
    cells: list(
      z.looseObject({
        signal: number(),
        flow: number(),
        wanted: number(),
        origin: text(),
        budget: z.record(text(), number()),
        u: number(),
        overAreaOnly: number(),
        reynolds: number(),
        readsLow: number(),
        readsHigh: number(),
        flags: list(text()),
      }),
      2,
    ),
    executed: z.looseObject({
      worst: z.looseObject({ signal: number(), error: number() }),
      sampledWorst: z.looseObject({ signal: number(), error: number() }),
    }),
  });

const headroom = () =>
  z.looseObject({
    usable: z.looseObject({ from: number(), to: number(), flow: number(), limitedBy: text() }),
    scenarios: list(
      z.looseObject({
        name: text(),
        demand: number(),
        u: number(),
        how: text(),
        signal: number(),
        share: number(),
        flowLeft: number(),
        chanceOver: number(),
        state: state(),
        before: orNull(z.looseObject({ share: number(), chanceOver: number(), state: state() })),
      }),
      1,
    ),
  });

const side = () =>
  z
    .looseObject({
      name: text(),
      unit: text(),
      dimension: z.enum(["voltage", "count", "resistance", "temperature"]),
    })
    .refine((one) => unit(one.dimension).safeParse(one.unit).success, { error: "a unit of its dimension" });

const temperature = () =>
  z.looseObject({
    axis: side(),
    value: side(),
    cells: list(z.looseObject({ x: number(), y: number(), u: number(), flags: list(text()) }), 1),
    worst: z.looseObject({ temperature: number(), error: number() }),
    leftAlone: orNull(list(z.looseObject({ true: number(), read: number() }), 1)),
  });

const sweep = () =>
  z.looseObject({
    rows: list(
      z.looseObject({
        bore: number(),
        scenarios: list(z.looseObject({ share: number(), chanceOver: number() })),
        idleStepShare: orNull(number()),
        drop: orNull(uncertain()),
        meets: z.boolean(),
        fails: list(text()),
      }),
    ),
    chosen: orNull(number()),
    sentence: text(),
  });

export const planShape = () =>
  z.looseObject({
    ...head("plan 1"),
    signal: z.enum(["frequency", "voltage"]),
    units: z.looseObject({ flow: unit("mass flow"), signal: unit("frequency", "voltage") }),
    verdict: tableVerdict(),
    keyFigures: keyFigures(),
    airflow: airflow(),
    temperature: orNull(temperature()),
    headroom: headroom(),
    sweep: orNull(sweep()),
  });
