import { type ChannelKey, channelKeys, type LogSpec } from "./drive-spec.js";
import type { Random } from "./random.js";

export type LogRow = { readonly [channel in ChannelKey]: number };
export type Columns<Key extends string> = { readonly [key in Key]: Float64Array };

/** Much faster than `Float64Array.from` with a mapping. */
function columnOf(count: number, at: (i: number) => number): Float64Array {
  const column = new Float64Array(count);
  for (let i = 0; i < count; i++) column[i] = at(i);
  return column;
}

/** The logger: its clock with jitter and pauses, channels polled by turns, and the truth beside each row. */
export function makeRecorder<Truth extends { readonly [key: string]: number }>(log: LogSpec, random: Random) {
  const rows: number[][] = [];
  const hidden: Truth[] = [];
  const held: number[] = [];
  const interval = 1 / log.rate;
  /** Time from one channel of a row to the next [s]. */
  const apart = log.inTurn === true ? interval / channelKeys.length : 0;
  let next = 0;
  let now: number[] = [];
  const finish = (): void => {
    rows.push(now);
    now = [];
    next += interval * Math.max(0.2, 1 + log.jitter * random.normal());
    if (log.gaps !== undefined && random.uniform() < interval / log.gaps.every) next += log.gaps.length;
  };
  return {
    due: (time: number): boolean => time + 1e-9 >= next + apart * now.length,
    /** Takes the channels whose turn it is; truth is that of the row's first channel. */
    add: (row: LogRow, truth: Truth): void => {
      if (now.length === 0) hidden.push(truth);
      do {
        const k = now.length;
        const key = channelKeys[k]!;
        const every = log.refresh[key] ?? 1;
        if (held[k] === undefined || (rows.length + k) % every === 0) held[k] = row[key];
        now.push(held[k]!);
      } while (now.length < channelKeys.length && row.time + 1e-9 >= next + apart * now.length);
      if (now.length === channelKeys.length) finish();
    },
    columns: (): Columns<ChannelKey> =>
      Object.fromEntries(
        channelKeys.map((key, k) => [key, columnOf(rows.length, (i) => rows[i]![k]!)]),
      ) as Columns<ChannelKey>,
    truth: (): Columns<keyof Truth & string> =>
      Object.fromEntries(
        Object.keys(hidden[0] ?? {}).map((key) => [key, columnOf(rows.length, (i) => hidden[i]![key]!)]),
      ) as Columns<keyof Truth & string>,
  };
}
