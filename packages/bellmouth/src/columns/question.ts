import type { ColumnChannel } from "./channel-rules.js";
import { channelKey, type GivenRef } from "./given.js";

/** What a question is about. */
export type QuestionKind =
  | "unit" // of a column's numbers
  | "which column" // of several that may be one channel
  | "which channel" // of several that one column may be
  | "scale" // of an air-fuel ratio or of counts
  | "sense" // of an equivalence ratio
  | "reference" // what a pressure is measured from
  | "banks" // two columns that may be parts of one quantity
  | "long trim"
  | "time"
  | "split"
  | "names"; // no line names the columns

/** One answer: the part of a `columns` block that says so, as data and as the lines to paste. */
export interface Choice {
  readonly text: string;
  /** Keys of a `columns` block with their values: what the library takes, spread into what it was given before. */
  readonly answer: { readonly [key: string]: AnswerValue };
  /** The same as lines of a document, below `columns:`. */
  readonly paste: string;
  /** A value in it must be replaced by the file's own (a stoichiometric ratio, a barometer). */
  readonly fill?: true;
}
export type AnswerValue =
  | string
  | number
  | readonly GivenRef[]
  | { readonly [key: string]: string | number | readonly GivenRef[] };

/** Something that only the file's owner can say. Plain data. */
export interface ColumnQuestion {
  readonly kind: QuestionKind;
  readonly about: ColumnChannel | "time" | "split" | "names";
  /** The columns it is about, by number from 1. */
  readonly columns: readonly { readonly number: number; readonly name: string }[];
  readonly text: string;
  readonly choices: readonly Choice[];
}

const scalar = (value: string | number): string =>
  typeof value === "number"
    ? String(value)
    : /^[A-Za-z][\w ./°%^()-]*$/u.test(value) &&
        !/ #|: |^(?:yes|no|true|false|null|on|off)$/iu.test(value) &&
        !value.endsWith(" ") &&
        !value.includes("%")
      ? value
      : JSON.stringify(value);
const written = (value: AnswerValue): string =>
  typeof value !== "object"
    ? scalar(value)
    : Array.isArray(value)
      ? `[${(value as readonly GivenRef[]).map(scalar).join(", ")}]`
      : `{ ${Object.entries(value)
          .map(([key, one]) => `${key}: ${written(one)}`)
          .join(", ")} }`;

/** A choice whose answer is one or more keys of the `columns` block. */
export const choice = (text: string, answer: Choice["answer"], fill = false): Choice => ({
  text,
  answer,
  paste: Object.entries(answer)
    .map(([key, value]) => `${key}: ${written(value)}`)
    .join("\n"),
  ...(fill ? { fill: true as const } : {}),
});

/** A choice that places a channel. */
export const placing = (
  text: string,
  channel: ColumnChannel,
  column: GivenRef,
  more: { readonly [key: string]: string | number } = {},
  fill = false,
): Choice => choice(text, { [channelKey(channel)]: { column, ...more } }, fill);
