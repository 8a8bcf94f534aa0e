import type * as z from "zod";
import type { Resistance, Temperature, TemperatureDifference } from "../../units/index.js";
import type { BuildContext } from "../document.js";
import { block, exactlyOne, numberField, quantityField } from "../fields.js";
import { readThermistorTable } from "../sensor-tables.js";
import { openTable, tableFileField } from "../table-file.js";

/** Resistance of a temperature element over temperature. */
export type TemperatureElement = {
  /** standard uncertainty of the temperature it means [K] */
  readonly accuracy: TemperatureDifference;
} & (
  | {
      readonly kind: "points";
      readonly temperature: readonly number[];
      readonly resistance: readonly number[];
    }
  /** Steinhart-Hart: 1/T = a + b ln R + c (ln R)^3, T in K and R in ohm */
  | { readonly kind: "coefficients"; readonly a: number; readonly b: number; readonly c: number }
  /** R = resistance * exp(beta * (1/T - 1/temperature)) */
  | {
      readonly kind: "beta";
      readonly resistance: Resistance;
      readonly temperature: Temperature;
      readonly beta: TemperatureDifference;
    }
);

/** A block of `temperature-element`. */
export const elementBlock = () =>
  block({
    points: tableFileField(
      "Text with columns temperature [degC, …] and resistance [ohm, …], in any words that leave no doubt.",
      "new-element.csv",
      "temperature, resistance",
    ).optional(),
    coefficients: block({
      a: numberField("1/K", -1, 1),
      b: numberField("1/K", -1, 1),
      c: numberField("1/K", -1, 1),
    })
      .meta({ description: "Steinhart-Hart: 1/T = a + b ln R + c (ln R)^3 with T in K, R in ohm." })
      .optional(),
    beta: block({
      resistance: quantityField("resistance", {
        about: "At the reference temperature.",
        example: "2.5 kohm",
        range: { over: 0 },
      }),
      at: quantityField("temperature", { about: "Reference temperature.", example: "20 degC" }),
      beta: quantityField("temperature difference", {
        about: "Material constant.",
        example: "3500 K",
        range: { over: 0, to: 10_000 },
      }),
    }).optional(),
    accuracy: quantityField("temperature difference", {
      about: "One standard uncertainty of the temperature the element means.",
      example: "0.5 K",
      range: { from: 0, to: 20 },
    }),
  }).check(exactlyOne([["points"], ["coefficients"], ["beta"]]));

export function buildElement(
  raw: z.output<ReturnType<typeof elementBlock>>,
  path: string,
  context: BuildContext,
): TemperatureElement | undefined {
  const accuracy = raw.accuracy.value;
  if (raw.coefficients !== undefined) return { kind: "coefficients", accuracy, ...raw.coefficients };
  if (raw.beta !== undefined) {
    const { resistance, at, beta } = raw.beta;
    return {
      kind: "beta",
      accuracy,
      resistance: resistance.value,
      temperature: at.value,
      beta: beta.value,
    };
  }
  const { points } = raw;
  if (points === undefined) return undefined;
  const table = context.attempt(`${path}.points`, () => {
    const { text, ...options } = openTable(points, context);
    return readThermistorTable(text, options);
  });
  return table === undefined ? undefined : { kind: "points", accuracy, ...table };
}
