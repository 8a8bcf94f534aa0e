import * as z from "zod";
import { head, list, number, orNull, text, unit } from "./shape-parts.js";

const band = () =>
  z.looseObject({ low: list(orNull(number())), mean: list(orNull(number())), high: list(orNull(number())) });

export const driveShape = () =>
  z
    .looseObject({
      ...head("drive 1"),
      car: text(),
      meter: z.enum(["old", "new"]),
      seed: number(),
      signal: z.enum(["frequency", "voltage"]),
      units: z.looseObject({ flow: unit("mass flow"), signal: unit("frequency", "voltage") }),
      rows: number(),
      seconds: number(),
      peakFlow: number(),
      warm: number(),
      fuelCut: number(),
      tableError: number(),
      trace: z.looseObject({ time: list(number(), 1), airflow: band(), speed: band(), lambda: band() }),
      cells: list(z.looseObject({ signal: number(), truth: number(), table: orNull(number()) }), 1),
    })
    .refine(
      ({ trace }) =>
        [trace.airflow, trace.speed, trace.lambda].every((one) =>
          [one.low, one.mean, one.high].every((values) => values.length === trace.time.length),
        ),
      { error: "a value, or null, of each channel in each stretch", path: ["trace"] },
    );
