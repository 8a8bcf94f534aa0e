export { type ExecutedCell, type ExecutedTable, executedTable } from "./executed-table.js";
export { type Pair, pairsOf } from "./pairs.js";
