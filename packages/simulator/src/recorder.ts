import { type ChannelKey, channelKeys, type LogSpec } from "./drive-spec.js";
import type { Random } from "./random.js";

export type LogRow = { readonly [channel in ChannelKey]: number };
export type Columns<Key extends string> = { readonly [key in Key]: Float64Array };

/** The logger: its clock with jitter and pauses, channels polled by turns, and the truth beside each row. */
export function makeRecorder<Truth extends { readonly [key: string]: number }>(log: LogSpec, random: Random) {
  const rows: number[][] = [];
  const hidden: Truth[] = [];
  const held: number[] = [];
  let next = 0;
  return {
    due: (time: number): boolean => time + 1e-9 >= next,
    add: (row: LogRow, truth: Truth): void => {
      const count = rows.length;
      rows.push(
        channelKeys.map((key, k) => {
          const every = log.refresh[key] ?? 1;
          if (held[k] === undefined || (count + k) % every === 0) held[k] = row[key];
          return held[k]!;
        }),
      );
      hidden.push(truth);
      const interval = 1 / log.rate;
      next += interval * Math.max(0.2, 1 + log.jitter * random.normal());
      if (log.gaps !== undefined && random.uniform() < interval / log.gaps.every) next += log.gaps.length;
    },
    columns: (): Columns<ChannelKey> =>
      Object.fromEntries(
        channelKeys.map((key, k) => [key, Float64Array.from(rows, (row) => row[k]!)]),
      ) as Columns<ChannelKey>,
    truth: (): Columns<keyof Truth & string> =>
      Object.fromEntries(
        Object.keys(hidden[0] ?? {}).map((key) => [key, Float64Array.from(hidden, (row) => row[key]!)]),
      ) as Columns<keyof Truth & string>,
  };
}
