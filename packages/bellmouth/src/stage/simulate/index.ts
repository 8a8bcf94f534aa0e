export type { DriveResult, TraceBand } from "./drive-result.js";
