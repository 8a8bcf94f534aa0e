export * from "./cell.js";
export * from "./channel-rules.js";
export * from "./clock.js";
export type * from "./column-read.js";
export { conceptsOf, wordsOf } from "./concept-words.js";
export { decodeSample, encodingOf, otherKind, requireText } from "./file-kind.js";
export * from "./given.js";
export type { TimeSource } from "./judge-time.js";
export * from "./layout.js";
export type * from "./question.js";
export { columnIndex, type ReadColumnsOptions, readColumns } from "./read-columns.js";
export * from "./read-table-columns.js";
export { splitRow } from "./split-row.js";
export { TABLE_QUANTITIES, type TableQuantity } from "./table-rules.js";
export {
  type ColumnDimension,
  type ColumnUnit,
  columnUnit,
  looksLikeUnit,
  type PressureReference,
  unitNames,
} from "./unit-words.js";
