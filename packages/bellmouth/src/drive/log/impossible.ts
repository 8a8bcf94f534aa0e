import { ruleOf } from "../../columns/index.js";
import type { LogChannel, LogFinding, LoggedChannel } from "./channel.js";

type Channels = { readonly [channel in LogChannel]?: LoggedChannel };

/** Samples that were set missing: how many, when first and last. */
interface Removed {
  count: number;
  from: number;
  to: number;
}
const none = (): Removed => ({ count: 0, from: 0, to: 0 });
function remove(channel: LoggedChannel, i: number, removed: Removed): void {
  channel.value[i] = Number.NaN;
  const time = channel.time[i] as number;
  if (removed.count === 0) removed.from = time;
  removed.to = time;
  removed.count += 1;
}

/** Steps that air, water and the barometer do not make between samples: [SI], and per second beside it. Common practice, no source. */
const SLOW: { readonly [channel in LogChannel]?: readonly [step: number, perSecond: number] } = {
  coolant: [12, 2],
  intakeAir: [15, 3],
  ambientAir: [12, 1],
  barometer: [3000, 50],
};
/** How long a spike of a slow quantity may last to be one [s]. */
const SPIKE = 40;
const RUNNING = 5;

/** Values that the quantity cannot have. */
function beyond(name: LogChannel, channel: LoggedChannel): Removed {
  const [low, high] = ruleOf(name).possible;
  const removed = none();
  const { value } = channel;
  for (let i = 0; i < value.length; i++) {
    const v = value[i] as number;
    if (v < low || v > high) remove(channel, i, removed);
  }
  return removed;
}

/** Readings of a slow quantity that leave its course and come back to it. */
function spikes(channel: LoggedChannel, [step, perSecond]: readonly [number, number]): Removed {
  const { time, value } = channel;
  const removed = none();
  const first: number[] = [];
  for (let i = 0; i < value.length && first.length < 9; i++)
    if (!Number.isNaN(value[i] as number)) first.push(value[i] as number);
  const head = Float64Array.from(first).sort();
  let course = head[head.length >> 1] ?? Number.NaN;
  let at = time[0] ?? 0;
  for (let i = 0; i < value.length; i++) {
    const v = value[i] as number;
    if (Number.isNaN(v)) continue;
    const limit = step + perSecond * ((time[i] as number) - at);
    if (Math.abs(v - course) > limit && comesBack(channel, i, course, step)) {
      remove(channel, i, removed);
      continue;
    }
    course = v;
    at = time[i] as number;
  }
  return removed;
}
function comesBack({ time, value }: LoggedChannel, from: number, course: number, step: number): boolean {
  const until = (time[from] as number) + SPIKE;
  for (let j = from + 1; j < value.length && ((time[j] as number) <= until || j <= from + 3); j++) {
    if (Math.abs((value[j] as number) - course) <= step) return true;
  }
  return false;
}

/** Walks a channel beside another in time: the other's samples just before and after an instant. */
function beside(other: LoggedChannel): (time: number) => readonly [before: number, after: number] {
  let k = 0;
  const { time, value } = other;
  return (at) => {
    while (k < time.length && (time[k] as number) <= at) k += 1;
    return [value[k - 1] ?? Number.NaN, value[k] ?? Number.NaN];
  };
}

/** No air, and no signal, while the engine turns before and after. */
function zeros(channel: LoggedChannel, speed: LoggedChannel): Removed {
  const removed = none();
  const around = beside(speed);
  for (let i = 0; i < channel.value.length; i++) {
    if (channel.value[i] !== 0) continue;
    const [before, after] = around(channel.time[i] as number);
    if (before >= RUNNING && (after >= RUNNING || Number.isNaN(after))) remove(channel, i, removed);
  }
  return removed;
}

/** Whether a pressure is back within 6 s, up to 3 s of them spent low. */
function risesAgain({ time, value }: LoggedChannel, from: number): boolean {
  const v = value[from] as number;
  const at = time[from] as number;
  let next = from + 1;
  while (next < value.length && !((value[next] as number) > 1.6 * v) && (time[next] as number) - at < 3)
    next += 1;
  return (value[next] as number) > 1.6 * v && (time[next] as number) - at < 6;
}

/** A manifold pressure that falls to half and comes back at once, while the engine draws its air as before. */
function dropouts(pressure: LoggedChannel, flow: LoggedChannel): Removed {
  const removed = none();
  const around = beside(flow);
  const { time, value } = pressure;
  let held = Number.NaN;
  let heldFlow = Number.NaN;
  let heldAt = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < value.length; i++) {
    const v = value[i] as number;
    if (Number.isNaN(v)) continue;
    const [before, after] = around(time[i] as number);
    const least = Math.min(before, after);
    if (
      v < 0.55 * held &&
      (time[i] as number) - heldAt < 6 &&
      least > 0.75 * heldFlow &&
      risesAgain(pressure, i)
    )
      remove(pressure, i, removed);
    else {
      held = v;
      heldFlow = before;
      heldAt = time[i] as number;
    }
  }
  return removed;
}

/**
 * Sets samples that are no readings of their channel missing, one by one, and says how many and when. Changes `channels` in place.
 *
 * @param what names a time of the log for people, `12.3 s` or `row 12`
 */
export function removeImpossible(channels: Channels, what: (time: number) => string): readonly LogFinding[] {
  const found: LogFinding[] = [];
  const tell = (channel: LogChannel, removed: Removed, why: string): void => {
    if (removed.count === 0) return;
    const when =
      removed.count === 1 ? `at ${what(removed.from)}` : `from ${what(removed.from)} to ${what(removed.to)}`;
    found.push({
      kind: "impossible",
      channel,
      count: removed.count,
      from: removed.from,
      to: removed.to,
      message: `${removed.count} ${removed.count === 1 ? "sample" : "samples"} of ${channel} ${when} ${removed.count === 1 ? "is" : "are"} missing: ${why}`,
    });
  };
  for (const [name, channel] of Object.entries(channels) as [LogChannel, LoggedChannel][]) {
    tell(name, beyond(name, channel), "beyond what it can read");
    const slow = SLOW[name];
    if (slow !== undefined) tell(name, spikes(channel, slow), "a jump that comes back at once");
  }
  const { airflow, signal, engineSpeed, manifoldPressure } = channels;
  if (engineSpeed !== undefined) {
    if (airflow !== undefined) tell("airflow", zeros(airflow, engineSpeed), "no air while the engine turns");
    if (signal !== undefined) tell("signal", zeros(signal, engineSpeed), "no signal while the engine turns");
  }
  if (manifoldPressure !== undefined && airflow !== undefined)
    tell(
      "manifoldPressure",
      dropouts(manifoldPressure, airflow),
      "it falls and comes back while the air flows on",
    );
  return found;
}
