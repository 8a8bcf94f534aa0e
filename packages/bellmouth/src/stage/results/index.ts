export { type AnyResult, RESULT_KINDS, readResult } from "./read-result.js";
