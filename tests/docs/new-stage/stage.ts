// File 2 of 3: document -> result. The result's schema is its type and what a stored result is read back through.
import { airDensity } from "bellmouth/air";
import {
  head,
  number,
  type Out,
  record,
  uncertain,
} from "../../../packages/bellmouth/src/stage/result-parts.js";
import type { DuctDocument } from "./document.js";

/** Schema of a duct's result. */
export const ductResult = () =>
  record({
    ...head("duct 1"),
    /** Mean velocity [m/s], with the bore's share of its standard uncertainty. */
    velocity: uncertain(),
    /** Dynamic head of the mean velocity [Pa]. */
    head: number(),
  });

/** What the air does in a duct: plain JSON-ready data in SI. */
export type DuctResult = Out<typeof ductResult>;

/**
 * Velocity and dynamic head in a round duct.
 *
 * @param document as `readDocument` gives it, SI
 * @returns velocity [m/s], head [Pa]
 */
export function planDuct(document: DuctDocument): DuctResult {
  const { bore, flow, air } = document;
  const density = airDensity(air);
  const velocity = flow / (density * (Math.PI / 4) * bore.value ** 2);
  return {
    bellmouth: "duct 1",
    title: document.title,
    velocity: { value: velocity, u: (2 * velocity * bore.u) / bore.value },
    head: (density * velocity ** 2) / 2,
  };
}
