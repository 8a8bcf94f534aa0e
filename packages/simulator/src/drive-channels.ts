import { type ChannelKey, channelKeys } from "./drive-spec.js";
import type { SimulatedDrive } from "./simulate-drive.js";

/** One channel as a reader of logs gives it: time stamps [s] and values in SI. */
export interface LoggedChannel {
  readonly time: Float64Array;
  readonly value: Float64Array;
}

/**
 * Columns as channels by name, each with the log's time stamps: the form that the library's `drive` room takes, without
 * a detour over a file. Give it `printedColumns`, or a method sees more digits than a log holds.
 */
export function driveChannels(
  columns: SimulatedDrive["columns"],
  name: string,
): {
  readonly name: string;
  readonly channels: { readonly [channel in Exclude<ChannelKey, "time">]: LoggedChannel };
} {
  const entries = channelKeys
    .filter((key) => key !== "time")
    .map((key) => [key, { time: columns.time, value: columns[key] }] as const);
  return {
    name,
    channels: Object.fromEntries(entries) as {
      readonly [channel in Exclude<ChannelKey, "time">]: LoggedChannel;
    },
  };
}
