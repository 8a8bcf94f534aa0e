export type { VerifyResult } from "./result.js";
export { verifyTable } from "./verify-table.js";
