// File 1 of 3: what the user writes, and the SI data that it becomes.
import type { MoistAir } from "bellmouth/air";
import type { Uncertain } from "bellmouth/sensor";
import type { Length, MassFlow } from "bellmouth/units";
import { airKeys, buildAir } from "../../../packages/bellmouth/src/document/air-fields.js";
import { defineDocument } from "../../../packages/bellmouth/src/document/document.js";
import {
  block,
  quantityField,
  textLineField,
  uncertainField,
} from "../../../packages/bellmouth/src/document/fields.js";
import { headerField } from "../../../packages/bellmouth/src/document/header-field.js";

/** A round duct and a flow through it, read: SI. */
export interface DuctDocument {
  readonly kind: "duct";
  readonly title: string;
  readonly bore: Uncertain<Length>;
  readonly flow: MassFlow;
  readonly air: MoistAir;
}

const ductSchema = () =>
  block({
    bellmouth: headerField("duct", 1),
    title: textLineField("Names the duct in results."),
    bore: uncertainField("length", {
      about: "Inner diameter.",
      example: "76 mm ± 0.2 mm",
      range: { over: 0, to: 0.5 },
    }),
    flow: quantityField("mass flow", {
      about: "Flow through it.",
      example: "120 g/s",
      range: { over: 0, to: 5 },
    }),
    air: block(airKeys(), "Outside air."),
  });

/** `bellmouth: duct 1`. */
export const ductDocument = defineDocument({
  name: "duct",
  version: 1,
  about: "A round duct and a flow through it.",
  schema: ductSchema,
  build: (raw): DuctDocument => ({
    kind: "duct",
    title: raw.title,
    bore: { value: raw.bore.value, u: raw.bore.u as Length },
    flow: raw.flow.value,
    air: buildAir(raw.air),
  }),
});
