export { biasRich, type RichBias } from "./bias-rich.js";
export {
  type ExecutedTable,
  type InspectOptions,
  inspectTable,
  type TableFinding,
  type TableInspection,
} from "./inspect-table.js";
