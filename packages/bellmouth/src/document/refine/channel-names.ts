import type { LogChannel } from "../../drive/index.js";

/** Channels that a refine document can place, by the key it places them with. */
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
  "manifold-pressure": "manifoldPressure",
  barometer: "barometer",
  throttle: "throttle",
  "vehicle-speed": "vehicleSpeed",
} as const satisfies { readonly [key: string]: LogChannel };

export type ChannelKey = keyof typeof CHANNEL_KEYS;

/** The key that places a channel. */
export const channelKey = (channel: string): string =>
  Object.entries(CHANNEL_KEYS).find(([, name]) => name === channel)?.[0] ?? channel;

/** Names of channels in a sentence as people write them: `engineSpeed` becomes `engine speed`. */
export const channelWords = (text: string): string =>
  text.replace(
    /\b(?:engine|vehicle)Speed\b|\blambdaTarget\b|\b(?:short|long)Trim\b|\b(?:intake|ambient)Air\b|\bmanifoldPressure\b|\bclosedLoop\b|\bfuelCut\b/gu,
    (name) => name.replace(/[A-Z]/u, (letter) => ` ${letter.toLowerCase()}`),
  );
