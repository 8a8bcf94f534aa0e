export type { DriveResult, TraceBand } from "./drive-result.js";
export * from "./simulate-document.js";
export { simulateDocument } from "./simulate-kind.js";
