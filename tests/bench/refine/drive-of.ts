import { channelKeys, type SimulatedDrive } from "@bellmouth/simulator";
import type { Drive, DriveChannel } from "bellmouth/drive";

/** A printed simulated log as the library's drive: every channel with the log's time stamps, nothing of the truth. */
export function driveOf(columns: SimulatedDrive["columns"], name: string): Drive {
  const channels: Record<string, DriveChannel> = {};
  for (const key of channelKeys) {
    if (key !== "time") channels[key] = { time: columns.time, value: columns[key] };
  }
  return { channels, name };
}
