import type * as z from "zod";
import { type BuildContext, type DocumentKind, defineDocument } from "../document.js";
import { readMeterTable } from "../sensor-tables.js";
import type { SimulateDocument } from "./simulate-document.js";
import { buildFaults } from "./simulate-faults.js";
import { buildFeedback } from "./simulate-feedback.js";
import { simulateSchema } from "./simulate-schema.js";

type RawSimulate = z.output<ReturnType<typeof simulateSchema>>;

/** `bellmouth: simulate 1`, the document of a drive of an invented car. */
export const simulateDocument: DocumentKind<SimulateDocument> = defineDocument({
  name: "simulate",
  version: 1,
  about: "A drive of an invented car with a known true curve: what to log, and what is wrong with the car.",
  schema: simulateSchema,
  build: buildSimulate,
});

function buildSimulate(raw: RawSimulate, context: BuildContext): SimulateDocument | undefined {
  const table = buildTable(raw, context);
  if (table === undefined) return undefined;
  return {
    kind: "simulate",
    title: raw.title,
    car: raw.car,
    meter: raw.meter,
    seed: raw.seed,
    duration: raw.duration.value,
    roads: raw.roads,
    feedback: raw.trims === "closed-loop",
    table,
    barometer: raw.barometer.value,
    outside: raw.outside.value,
    coolant: raw.coolant.value,
    logRate: raw["log-rate"].value,
    inTurn: raw["log-channels"] === "in-turn",
    control: buildFeedback(raw.feedback),
    betweenDrives: raw["between-drives"]?.value ?? 0,
    faults: buildFaults(raw.faults),
  };
}

function buildTable(raw: RawSimulate, context: BuildContext): SimulateDocument["table"] | undefined {
  const error = raw["planned-error"];
  if (raw.meter === "present") {
    for (const key of ["table", "planned-error"] as const) {
      if (raw[key] === undefined) continue;
      context.fault(key, {
        code: "E_SCHEMA",
        message: "the present meter is driven on its own table",
        accepted: "no 'table' and no 'planned-error' beside 'meter: present'",
      });
      return undefined;
    }
    return { kind: "factory" };
  }
  if ((raw.table === undefined) === (error === undefined)) {
    context.fault(raw.table === undefined ? "meter" : "planned-error", {
      code: "E_SCHEMA",
      message:
        raw.table === undefined ? "the new meter needs a table" : "'planned-error' does not go with 'table'",
      accepted: "either 'table' or 'planned-error'",
    });
    return undefined;
  }
  if (error !== undefined) return { kind: "planned", error: error.value };
  const name = raw.table as string;
  return context.attempt("table", () => {
    const text = context.open(name);
    // The header's unit says which kind of signal it is; the car is checked when it is driven.
    const kind = /\[\s*m?V\s*\]/.test(text.split("\n", 1)[0] ?? "") ? "voltage" : "frequency";
    return { kind: "file", table: readMeterTable(text, kind, { file: name }) };
  });
}
