import type { PlanResult } from "./result.js";

/** False where a table holds for its new housing as it is, such as of a meter fitted whole. */
export const isRescaled = ({ airflow }: PlanResult): boolean =>
  airflow.areaRatio !== 1 || airflow.cells.some(({ overAreaOnly }) => overAreaOnly !== 1);
