export { biasRich, type RichBias } from "./bias-rich.js";
export { findMisprints, type Misprint, type MisprintOptions, type TableScatter } from "./find-misprints.js";
export {
  type ExecutedTable,
  type InspectOptions,
  inspectTable,
  type TableFinding,
  type TableInspection,
} from "./inspect-table.js";
export { type MadeRising, type MovedCell, madeRising } from "./made-rising.js";
