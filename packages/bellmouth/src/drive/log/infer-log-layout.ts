import type { LogChannel } from "./channel.js";
import { CHANNEL_WORDS } from "./channel-words.js";
import { CHANNEL_DIMENSION, columnScale, unitsFor } from "./column-units.js";
import { guessLayout } from "./guess-layout.js";
import { judgeTime } from "./judge-time.js";
import type { LogEncoding, LogLayout } from "./layout.js";
import type { LogMapping, LogTime, MappedColumn } from "./mapping.js";
import { type ColumnSample, sampleColumns } from "./sample-columns.js";
import { decodeSample, encodingOf } from "./source.js";

/** A column that may be a channel, and why. */
export interface ChannelProposal {
  readonly channel: LogChannel;
  /** Column number, from 0. */
  readonly column: number;
  readonly name: string;
  /** As the file states it, or as service data usually have it; null when nothing says. */
  readonly unit: string | null;
  /** True when the file itself states the unit. */
  readonly unitStated: boolean;
  readonly evidence: readonly string[];
}

/** Something that only the log's owner can say. */
export interface LogQuestion {
  readonly about: LogChannel | "time";
  readonly question: string;
  readonly candidates: readonly ChannelProposal[];
}

/** What a sample of a log suggests. All of it is a proposal: look at it, correct it, then give it to `readLog`. */
export interface InferredLog {
  readonly layout: LogLayout;
  /** Time and the channels that are beyond doubt: one column each, its unit stated. Null when time is in doubt. */
  readonly mapping: LogMapping | null;
  readonly time: LogTime | null;
  readonly channels: readonly MappedColumn[];
  /** Every column that may be a channel, the likeliest first. */
  readonly proposals: readonly ChannelProposal[];
  readonly questions: readonly LogQuestion[];
  readonly evidence: readonly string[];
}

const CHANNELS = Object.keys(CHANNEL_WORDS) as readonly LogChannel[];

const extremes = (numbers: readonly number[]): readonly [number, number] =>
  numbers.reduce<[number, number]>(
    ([low, high], value) => [Math.min(low, value), Math.max(high, value)],
    [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY],
  );

interface Scored extends ChannelProposal {
  readonly score: number;
}

/** Judges one column as one channel; undefined where its name says nothing for it or its unit speaks against it. */
function judge(channel: LogChannel, column: ColumnSample): Scored | undefined {
  const { any, not, range, usual } = CHANNEL_WORDS[channel];
  const against = not.find((word) => column.words.includes(word));
  const match = any
    .filter((list) => list.every((word) => column.words.includes(word)))
    .sort((a, b) => b.length - a.length)[0];
  if (match === undefined || against !== undefined) return undefined;
  const dimension = CHANNEL_DIMENSION[channel];
  const evidence = [`its name has "${match.join(" ")}"`];
  let score = match.length;
  // The second bank's column is not wrong, only second.
  if (column.words.includes("2") || column.words.includes("b2")) score -= 0.5;
  let unit = column.unit;
  if (unit !== null) {
    if (columnScale(dimension, unit) === undefined) return undefined;
    score += 2;
    evidence.push(`its unit is ${unit}`);
  } else if (usual !== "") {
    unit = usual;
    evidence.push(`no unit is stated; ${usual} is usual`);
  } else if (match.length === 1 && match[0] === "maf") {
    // A bare "MAF" without a unit is a flow far more often than a signal.
    return undefined;
  }
  const scale = unit === null ? undefined : columnScale(dimension, unit);
  if (scale !== undefined && column.numbers.length > 0) {
    const [low, high] = extremes(column.numbers);
    const fits =
      low * scale.factor + scale.offset >= range[0] && high * scale.factor + scale.offset <= range[1];
    score += fits ? 1 : -2;
    evidence.push(`values from ${low} to ${high} ${fits ? "fit" : "do NOT fit"} ${channel} in ${unit}`);
  }
  return {
    channel,
    column: column.index,
    name: column.name,
    unit,
    unitStated: column.unit !== null,
    evidence,
    score,
  };
}

/**
 * Looks at the first lines of a log and proposes how it is laid out and which column is which channel, with the
 * evidence for each. Nothing it is unsure of goes into `mapping`: that is asked in `questions`.
 *
 * @param sample first 100 or more lines of the file, as text or bytes
 * @throws E_ENCODING for bytes that are not text
 * @throws E_SYNTAX for a sample that can be split in more than one way, or whose lines end in CR alone
 * @throws E_TOO_LITTLE_DATA for an empty sample
 * @example
 * const log = inferLogLayout("time [s];MAF [g/s];IAT\n0,0;4,1;20\n0,1;4,3;21\n0,2;4,2;21\n");
 * log.layout.decimal // => ","
 * log.channels.length // ≈ 1
 * log.questions[0].about // => "intakeAir"
 */
export function inferLogLayout(sample: string | Uint8Array): InferredLog {
  const encoding: LogEncoding = typeof sample === "string" ? "utf-8" : encodingOf(sample);
  const text = typeof sample === "string" ? sample : decodeSample(sample, encoding);
  if (text.includes("\0")) encodingOf(new TextEncoder().encode(text.slice(0, 4096)));
  const guess = guessLayout(text, encoding);
  const columns = sampleColumns(guess.layout, guess.rows, guess.layout.decimal);
  const time = judgeTime(columns);
  const timeColumn = columns.findIndex(
    ({ name, index }) =>
      time.time !== null &&
      "column" in time.time &&
      (time.time.column === name || time.time.column === index),
  );
  const scored = CHANNELS.flatMap((channel) =>
    columns.filter(({ index }) => index !== timeColumn).flatMap((column) => judge(channel, column) ?? []),
  );
  // A column speaks for the channel it fits best.
  const proposals = scored
    .filter((one) => !scored.some((other) => other.column === one.column && other.score > one.score))
    .sort((a, b) => b.score - a.score);

  const channels: MappedColumn[] = [];
  const questions: LogQuestion[] = [];
  if (time.doubt !== null) {
    questions.push({
      about: "time",
      question: `Which column is the time, or how far apart are rows? ${time.doubt}.`,
      candidates: [],
    });
  }
  for (const channel of CHANNELS) {
    const fits = proposals.filter((one) => one.channel === channel);
    const best = fits[0];
    if (best === undefined) continue;
    const rivals = fits.filter(({ score }) => score > best.score - 0.5);
    const repeated = columns.filter(({ name }) => name === best.name).length > 1;
    const unfit = best.evidence.some((line) => line.includes("do NOT fit"));
    if (rivals.length === 1 && best.unit !== null && best.unitStated && !unfit) {
      channels.push({ channel, column: repeated ? best.column : best.name, unit: best.unit });
      continue;
    }
    questions.push({
      about: channel,
      question:
        rivals.length > 1
          ? `Which of ${rivals.map(({ name }) => `"${name}"`).join(", ")} is ${channel}?`
          : unfit
            ? `Is "${best.name}" really ${channel}? ${best.evidence.at(-1)}.`
            : `In which unit is "${best.name}"? ${unitsFor(CHANNEL_DIMENSION[channel]).join(", ")}`,
      candidates: rivals.map(({ score: _, ...proposal }) => proposal),
    });
  }
  return {
    layout: guess.layout,
    mapping: time.time === null ? null : { time: time.time, channels },
    time: time.time,
    channels,
    proposals: proposals.map(({ score: _, ...proposal }) => proposal),
    questions,
    evidence: [
      ...(typeof sample === "string" ? [] : [`the bytes are ${encoding}`]),
      ...guess.evidence,
      ...time.evidence,
    ],
  };
}
