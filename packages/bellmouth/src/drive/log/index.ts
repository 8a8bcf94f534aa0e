export type {
  ColumnScale,
  DecimalMark,
  FileColumn as LogColumn,
  FileEncoding as LogEncoding,
  FileLayout as LogLayout,
} from "../../columns/index.js";
export type * from "./channel.js";
export * from "./for-each-block.js";
export * from "./log-mapping.js";
export type { ColumnRef, DerivedChannel, LogMapping, LogTime, MappedColumn } from "./mapping.js";
export * from "./obd.js";
export * from "./read-log.js";
export type { LogSource, LogStream } from "./source.js";
