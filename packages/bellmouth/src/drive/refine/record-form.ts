import { nodeCount } from "./field.js";
import { knotCount } from "./reference.js";
import { possibleCauses } from "./types.js";

/** Hats in ln flow over which a drive's own offset is kept [1]: they add to a constant. */
export const offsetHats = 4;

/** Places in a record's form: knots, field, the drive's own offset, causes. */
export const parts = {
  nodes: knotCount,
  offset: knotCount + nodeCount,
  causes: knotCount + nodeCount + offsetHats,
  size: knotCount + nodeCount + offsetHats + possibleCauses.length,
} as const;
