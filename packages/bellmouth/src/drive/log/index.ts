export type * from "./channel.js";
export { CHANNEL_DIMENSION, type ChannelDimension, unitsFor } from "./column-units.js";
export type { DecimalMark } from "./field.js";
export * from "./infer-log-layout.js";
export type { ColumnRef, LogColumn, LogDelimiter, LogEncoding, LogLayout } from "./layout.js";
export type { DerivedChannel, LogMapping, LogTime, MappedColumn } from "./mapping.js";
export * from "./obd.js";
export * from "./read-log.js";
export type { LogSource, LogStream } from "./source.js";
