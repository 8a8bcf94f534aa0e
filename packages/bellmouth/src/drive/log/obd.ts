import { BellmouthError } from "../../fault/index.js";
import { ZERO_CELSIUS_K } from "../../units/index.js";
import type { LogChannel } from "./channel.js";

/** One quantity in the answer to a service-data request, in SI; ratios and trims as fractions. */
export interface ObdReading {
  /** What it is, in words. */
  readonly item: string;
  /** Channel it can be read into; null where no channel means this (a second bank, a cell voltage). */
  readonly channel: LogChannel | null;
  readonly value: number;
  /** SI unit; "1" for ratios. */
  readonly unit: "1" | "Pa" | "rev/s" | "K" | "kg/s" | "m/s" | "V" | "A";
}

type Bytes = readonly [a: number, b: number, c: number, d: number];
interface Scaling extends Omit<ObdReading, "value"> {
  readonly value: (bytes: Bytes) => number;
}
interface Service {
  readonly length: 1 | 2 | 4;
  readonly scalings: readonly Scaling[];
}

const word = (high: number, low: number): number => 256 * high + low;
const one = (
  item: string,
  channel: LogChannel | null,
  unit: ObdReading["unit"],
  value: (a: number) => number,
): Service => ({ length: 1, scalings: [{ item, channel, unit, value: ([a]) => value(a) }] });
const two = (
  item: string,
  channel: LogChannel | null,
  unit: ObdReading["unit"],
  value: (ab: number) => number,
): Service => ({ length: 2, scalings: [{ item, channel, unit, value: ([a, b]) => value(word(a, b)) }] });

const trim = (a: number): number => a / 128 - 1;
const share = (a: number): number => a / 255;
const temperature = (a: number): number => a - 40 + ZERO_CELSIUS_K;
const kilopascals = (a: number): number => 1000 * a;
const ratio = (ab: number): number => ab / 32_768;

const wideRange = (second: Omit<Scaling, "value"> & { value: (cd: number) => number }): Service => ({
  length: 4,
  scalings: [
    { item: "oxygen sensor, lambda", channel: "lambda", unit: "1", value: ([a, b]) => ratio(word(a, b)) },
    { ...second, value: ([, , c, d]) => second.value(word(c, d)) },
  ],
});
const byVoltage = wideRange({
  item: "oxygen sensor, voltage",
  channel: null,
  unit: "V",
  value: (cd) => cd / 8192,
});
const byCurrent = wideRange({
  item: "oxygen sensor, pump current",
  channel: null,
  unit: "A",
  value: (cd) => (cd / 256 - 128) * 1e-3,
});

const SERVICES: ReadonlyMap<number, Service> = new Map([
  [0x04, one("calculated load", "load", "1", share)],
  [0x05, one("coolant temperature", "coolant", "K", temperature)],
  [0x06, one("short-term trim, bank 1", "shortTrim", "1", trim)],
  [0x07, one("long-term trim, bank 1", "longTrim", "1", trim)],
  [0x08, one("short-term trim, bank 2", null, "1", trim)],
  [0x09, one("long-term trim, bank 2", null, "1", trim)],
  [0x0b, one("intake manifold absolute pressure", "manifoldPressure", "Pa", kilopascals)],
  [0x0c, two("engine speed", "engineSpeed", "rev/s", (ab) => ab / 240)],
  [0x0d, one("vehicle speed", "vehicleSpeed", "m/s", (a) => a / 3.6)],
  [0x0f, one("intake air temperature", "intakeAir", "K", temperature)],
  [0x10, two("mass air flow", "airflow", "kg/s", (ab) => ab * 1e-5)],
  [0x11, one("throttle position", "throttle", "1", share)],
  [0x33, one("barometric pressure", "barometer", "Pa", kilopascals)],
  [0x43, two("absolute load", null, "1", (ab) => ab / 255)],
  [0x44, two("commanded equivalence ratio, lambda", "lambdaTarget", "1", ratio)],
  ...[0x24, 0x25, 0x26, 0x27, 0x28, 0x29, 0x2a, 0x2b].map((pid) => [pid, byVoltage] as const),
  ...[0x34, 0x35, 0x36, 0x37, 0x38, 0x39, 0x3a, 0x3b].map((pid) => [pid, byCurrent] as const),
]);

/**
 * Quantities in the data bytes of a service 01 answer.
 *
 * @param pid  parameter identification, 0x04 to 0x44
 * @param data the bytes after it, each 0 to 255
 * @throws E_DOMAIN for a parameter that is not covered, or bytes that are not bytes
 * @throws E_SHAPE for a wrong number of bytes
 * @source SAE J1979 / ISO 15031-5, service 01.
 * @example decodeObd(0x10, [0x01, 0x2c])[0].value // ≈ 0.003
 */
export function decodeObd(pid: number, data: ArrayLike<number>): readonly ObdReading[] {
  const service = SERVICES.get(pid);
  if (service === undefined) {
    throw new BellmouthError({
      code: "E_DOMAIN",
      message: "this parameter is not covered",
      found: `0x${Number(pid).toString(16)}`,
      accepted: [...SERVICES.keys()].map((known) => `0x${known.toString(16).padStart(2, "0")}`).join(", "),
      at: { path: "pid" },
    });
  }
  if (data.length !== service.length) {
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "wrong number of data bytes",
      found: String(data.length),
      accepted: String(service.length),
      at: { path: "data" },
    });
  }
  const bytes = Array.from(data);
  const bad = bytes.findIndex((byte) => !(Number.isInteger(byte) && byte >= 0 && byte <= 255));
  if (bad >= 0) {
    throw new BellmouthError({
      code: "E_DOMAIN",
      message: "a data byte is a whole number from 0 to 255",
      found: String(bytes[bad]),
      at: { path: `data[${bad}]` },
    });
  }
  const [a = 0, b = 0, c = 0, d = 0] = bytes;
  return service.scalings.map(({ item, channel, unit, value }) => ({
    item,
    channel,
    unit,
    value: value([a, b, c, d]),
  }));
}
