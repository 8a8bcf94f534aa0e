import type { ColumnChannel } from "./channel-rules.js";
import type { PressureReference } from "./unit-words.js";

/** A column by its name, or by its number from 1 where names repeat or are missing. */
export type GivenRef = string | number;

/** Where one channel stands and what its numbers are. */
export interface GivenChannel {
  readonly columns: readonly GivenRef[];
  /** As in the header when left out. */
  readonly unit?: string | undefined;
  /** Of each column in turn, where those of several banks differ. */
  readonly units?: readonly string[] | undefined;
  /** Several columns (banks): airflow of both is summed, lambda and trims of both are averaged. */
  readonly combine?: "sum" | "mean" | undefined;
  /** Air-fuel ratio of lambda 1. */
  readonly stoichiometric?: number | undefined;
  /** Volts or hertz a count. */
  readonly perCount?: { readonly value: number; readonly unit: "V" | "Hz" } | undefined;
  readonly reads?: PressureReference | undefined;
  /** Outside pressure [Pa], for a pressure that is read against it. */
  readonly barometer?: number | undefined;
  readonly formula?:
    | { readonly text: string; readonly names: { readonly [name: string]: GivenRef } }
    | undefined;
}

/** What a file does not say, as its owner answers it: the `columns` block of a document as data. */
export interface GivenColumns {
  /** Every column without a unit has the unit of service data (SAE J1979): g/s, rpm, kPa, %, degC, km/h. */
  readonly serviceData?: boolean | undefined;
  readonly time?: { readonly column: GivenRef; readonly unit?: string | undefined } | undefined;
  /** Rows without a time stand this far apart [s]. */
  readonly rowsEvery?: number | undefined;
  /** Rows are taken on their own: their order is known, their time is not. */
  readonly untimed?: boolean | undefined;
  /** A change in this column begins another drive. */
  readonly split?: GivenRef | undefined;
  readonly longTrim?: "reset to 0" | undefined;
  readonly channels: { readonly [channel in ColumnChannel]?: GivenChannel | undefined };
  readonly ignore?: readonly GivenRef[] | undefined;
  /** What pressures are measured from that do not say it. */
  readonly pressureReads?: PressureReference | undefined;
  /** Outside pressure during the file [Pa], for pressures that are read against it where the file itself has no barometer. */
  readonly outsidePressure?: number | undefined;
  /** What is placed nowhere is ignored, whatever its name says. */
  readonly others?: "ignore" | undefined;
}

export const NOTHING_GIVEN: GivenColumns = { channels: {} };

/** Keys of a `columns` block, by channel. */
export const CHANNEL_KEYS = {
  signal: "signal",
  airflow: "airflow",
  "engine-speed": "engineSpeed",
  lambda: "lambda",
  "lambda-target": "lambdaTarget",
  "short-trim": "shortTrim",
  "long-trim": "longTrim",
  coolant: "coolant",
  "intake-air": "intakeAir",
  "ambient-air": "ambientAir",
  "manifold-pressure": "manifoldPressure",
  barometer: "barometer",
  throttle: "throttle",
  load: "load",
  "vehicle-speed": "vehicleSpeed",
  battery: "battery",
  "closed-loop": "closedLoop",
  "fuel-cut": "fuelCut",
} as const satisfies { readonly [key: string]: ColumnChannel };
export type ChannelKey = keyof typeof CHANNEL_KEYS;

const KEYS = new Map<string, ChannelKey>(
  (Object.entries(CHANNEL_KEYS) as [ChannelKey, ColumnChannel][]).map(([key, channel]) => [channel, key]),
);
/** The key that places a channel. */
export const channelKey = (channel: string): string => KEYS.get(channel) ?? channel;
/** A channel's name in a sentence: `engine speed`. */
export const channelName = (channel: string): string => channelKey(channel).replaceAll("-", " ");

/** Names of channels in a sentence as people write them: `engineSpeed` becomes `engine speed`. */
export const channelWords = (text: string): string =>
  text.replace(
    /\b(?:engine|vehicle)Speed\b|\blambdaTarget\b|\b(?:short|long)Trim\b|\b(?:intake|ambient)Air\b|\bmanifoldPressure\b|\bclosedLoop\b|\bfuelCut\b/gu,
    (name) => name.replace(/[A-Z]/u, (letter) => ` ${letter.toLowerCase()}`),
  );
