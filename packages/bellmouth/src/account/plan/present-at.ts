import type { PlanResult } from "../../stage/index.js";

/** Flow [kg/s] that the present table gives at a signal; null without a present table of that kind of signal, or past its ends. */
export function presentAt({ signal: kind, airflow }: PlanResult, signal: number): number | null {
  const { present } = airflow;
  if (present === null || present.signal !== kind) return null;
  const { points } = present;
  const right = points.findIndex((point) => point.signal >= signal);
  const b = points[right];
  if (b === undefined) return null;
  if (b.signal === signal) return b.flow;
  const a = points[right - 1];
  return a === undefined ? null : a.flow + ((b.flow - a.flow) * (signal - a.signal)) / (b.signal - a.signal);
}
