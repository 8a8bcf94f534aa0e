export { type LogOutcome, refineOptions, SAMPLE_BYTES, sumUpLog } from "./refine-logs.js";
export { refineFromLogs } from "./refine-report.js";
export type * from "./result.js";
