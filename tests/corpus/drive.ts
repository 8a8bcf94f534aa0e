import type { ChannelName, SignalKind } from "./channels.js";
import { random } from "./random.js";

/** An invented drive in SI: one array a channel, all of one length; time counts from the first row. */
export type DriveValues = Partial<Record<ChannelName, Float64Array>>;

export interface DriveOptions {
  readonly seed: number;
  readonly rows: number;
  /** [s] */
  readonly step: number;
  readonly kind: SignalKind;
  /** `pull`: full throttle alone; `mixed`: idle, cruise and a pull. */
  readonly shape?: "mixed" | "pull";
  /** Manifold pressure reached at full load over the outside air, [Pa]. */
  readonly boost?: number;
  readonly barometer?: number;
}

/** Throttle (0 to 1) and engine speed [1/s] at a share (0 to 1) of the drive. */
function driver(shape: "mixed" | "pull", share: number): { throttle: number; speed: number } {
  if (shape === "pull") return { throttle: 0.97, speed: (2000 + 4300 * share) / 60 };
  if (share < 0.2) return { throttle: 0.03, speed: 850 / 60 };
  if (share < 0.6) {
    const wave = Math.sin((share - 0.2) * 25);
    return { throttle: 0.2 + 0.1 * wave, speed: (2100 + 500 * wave) / 60 };
  }
  if (share < 0.85) return { throttle: 0.96, speed: (2100 + 4100 * ((share - 0.6) / 0.25)) / 60 };
  return { throttle: 0.08, speed: (6200 - 4800 * ((share - 0.85) / 0.15)) / 60 };
}

/** Frequency [Hz] or voltage [V] of the invented meter at a flow [kg/s]; rises with it. */
export function meterSignal(flow: number, kind: SignalKind): number {
  return kind === "frequency" ? 1500 + 21_000 * flow ** 0.55 : Math.sqrt(0.6 + 42 * flow ** 0.55);
}

export function inventDrive(options: DriveOptions): DriveValues {
  const { rows, step, kind, shape = "mixed", boost = 0, barometer = 98_600 } = options;
  const chance = random(options.seed);
  const make = (): Float64Array => new Float64Array(rows);
  const channels: ChannelName[] = [
    "time",
    "signal",
    "airflow",
    "airflow 2",
    "engine speed",
    "lambda",
    "lambda 2",
  ];
  channels.push(
    "lambda target",
    "short trim",
    "long trim",
    "short trim 2",
    "long trim 2",
    "coolant",
    "intake air",
  );
  channels.push("manifold pressure", "barometer", "throttle", "vehicle speed", "extra");
  const out = Object.fromEntries(channels.map((c) => [c, make()])) as Record<ChannelName, Float64Array>;
  let manifold = 35e3;
  for (let i = 0; i < rows; i++) {
    const share = i / rows;
    const { throttle, speed } = driver(shape, share);
    const full = barometer - 900 + boost * Math.min(1, speed / 60);
    const aim = throttle > 0.9 ? full : 24e3 + throttle * 130e3;
    manifold = shape === "pull" ? full : manifold + (aim - manifold) * 0.5;
    const pressure = manifold * (1 + 0.004 * chance.normal());
    const intake = 299.4 + 6 * share + 0.2 * chance.normal();
    const flow = ((0.0022 / 2) * speed * 0.87 * pressure) / (287.05 * intake);
    const target = throttle > 0.9 ? 0.88 : 1;
    const miss = 0.03 - 0.5 * flow;
    const trim = throttle > 0.9 ? 0 : 0.6 * miss + 0.012 * chance.normal();
    const rich = throttle > 0.9 ? 0.88 * (1 + miss) : 1 + 0.012 * chance.normal();
    out.time[i] = i * step;
    out.airflow[i] = flow;
    out["airflow 2"][i] = flow * (1 + 0.01 * chance.normal());
    out.signal[i] = meterSignal(flow, kind);
    out["engine speed"][i] = speed * (1 + 0.004 * chance.normal());
    out.lambda[i] = rich;
    out["lambda 2"][i] = rich + 0.01 * chance.normal();
    out["lambda target"][i] = target;
    out["short trim"][i] = trim;
    out["long trim"][i] = 0.023 + 0.008 * Math.sin(6 * share);
    out["short trim 2"][i] = trim + 0.01 * chance.normal();
    out["long trim 2"][i] = 0.031 - 0.008 * Math.sin(5 * share);
    out.coolant[i] = 352 + 13 * share;
    out["intake air"][i] = intake;
    out["manifold pressure"][i] = pressure;
    out.barometer[i] = barometer;
    out.throttle[i] = throttle + 0.004 * chance.next();
    out["vehicle speed"][i] = throttle < 0.05 ? 0 : speed * 0.42;
    out.extra[i] = 40 + 20 * chance.next();
  }
  return out;
}
