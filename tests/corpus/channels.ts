import type { Quantity } from "./meaning.js";

/** What a column of a log or a table can hold. */
export type ChannelName =
  | "time"
  | "signal"
  | "airflow"
  | "airflow 2"
  | "engine speed"
  | "lambda"
  | "lambda 2"
  | "lambda target"
  | "short trim"
  | "long trim"
  | "short trim 2"
  | "long trim 2"
  | "coolant"
  | "intake air"
  | "manifold pressure"
  | "barometer"
  | "throttle"
  | "vehicle speed"
  | "temperature"
  | "resistance"
  | "input voltage"
  | "pressure drop"
  | "extra";

export type SignalKind = "frequency" | "voltage";

interface ChannelRule {
  readonly quantity: Quantity | "signal";
  /** SI values outside these cannot be read from a running car. */
  readonly from: number;
  readonly to: number;
  /** In an ordinary drive the smallest value lies below `lowest`, the largest above `highest` (SI). */
  readonly lowest?: number;
  readonly highest?: number;
}

const trim: ChannelRule = { quantity: "trim", from: -0.35, to: 0.35 };
const mixture: ChannelRule = { quantity: "mixture", from: 0.6, to: 2, lowest: 1.05, highest: 0.9 };
const flow: ChannelRule = { quantity: "flow", from: 2e-4, to: 0.6, lowest: 0.025, highest: 0.01 };

/** Bounds of what is plausible: common practice, no source. */
export const CHANNELS: Readonly<Record<ChannelName, ChannelRule>> = {
  time: { quantity: "duration", from: -1e6, to: 4e9 },
  signal: { quantity: "signal", from: 0, to: 0 },
  airflow: flow,
  "airflow 2": flow,
  "engine speed": { quantity: "speed", from: 250 / 60, to: 9500 / 60, highest: 2000 / 60 },
  lambda: mixture,
  "lambda 2": mixture,
  "lambda target": mixture,
  "short trim": trim,
  "long trim": trim,
  "short trim 2": trim,
  "long trim 2": trim,
  coolant: { quantity: "temperature", from: 233, to: 403, highest: 333 },
  "intake air": { quantity: "temperature", from: 233, to: 358, highest: 263 },
  "manifold pressure": { quantity: "pressure", from: 12e3, to: 320e3, lowest: 90e3, highest: 60e3 },
  barometer: { quantity: "pressure", from: 65e3, to: 108e3 },
  throttle: { quantity: "share", from: -0.01, to: 1.02, highest: 0.05 },
  "vehicle speed": { quantity: "velocity", from: 0, to: 85, highest: 3 },
  temperature: { quantity: "temperature", from: 213, to: 443 },
  resistance: { quantity: "resistance", from: 5, to: 5e6 },
  "input voltage": { quantity: "voltage", from: 0, to: 5.5, highest: 1 },
  "pressure drop": { quantity: "drop", from: 5, to: 60e3 },
  extra: { quantity: "plain", from: Number.NEGATIVE_INFINITY, to: Number.POSITIVE_INFINITY },
};

export function ruleOf(
  channel: ChannelName,
  kind: SignalKind,
): ChannelRule & { readonly quantity: Quantity } {
  const rule = CHANNELS[channel];
  if (rule.quantity !== "signal") return rule as ChannelRule & { quantity: Quantity };
  return kind === "frequency"
    ? { quantity: "frequency", from: 20, to: 20_000, lowest: 8000, highest: 500 }
    : { quantity: "voltage", from: 0, to: 5.5, lowest: 2.5, highest: 1 };
}
