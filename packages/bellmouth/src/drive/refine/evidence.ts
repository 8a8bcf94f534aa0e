import type { RefinedCell } from "./types.js";

/** Share of the prior variance that drives must take away before a cell counts as evidenced [1]. */
export const leastEvidence = 0.3;
/** Time near a cell from which it counts as driven [s]. */
export const leastSeconds = 0.5;

/** True when drives said enough about a cell to call it evidenced. */
export const evidenced = (cell: RefinedCell): boolean =>
  cell.seconds >= leastSeconds && cell.evidence >= leastEvidence;
