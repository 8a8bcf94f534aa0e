import {
  channelKeys,
  developmentCars,
  driveCsv,
  printedColumns,
  scenario,
  seededRandom,
  simulateDrive,
} from "@bellmouth/simulator";
import { type ChannelName, inferLogLayout, readLog } from "bellmouth/drive";
import { describe, expect, it } from "vitest";

// A simulated drive, written as a log and read again: what is read must be what was written. Channels that the
// logger polls every n-th row must come back once a poll.
const car = developmentCars[0];
if (car === undefined) throw new Error("no car");
const { drive: usual } = scenario(car, "8-minute drive", true, seededRandom(11));
// Warm, so that the trims are in use from the start.
const spec = { ...usual, duration: 200, startCoolant: 362 };
const signal = car.meter.trueCurve.signal === "frequency" ? "frequency" : "voltage";

describe("a simulated log", () => {
  it("is understood from its header alone, and read back exactly", () => {
    const log = { rate: 20, jitter: 0, refresh: {}, decimals: {} };
    const drive = simulateDrive({ ...spec, log }, seededRandom(12));
    const text = driveCsv(drive, signal, log);
    const { layout, mapping, questions } = inferLogLayout(text.slice(0, 30_000));
    expect(questions).toEqual([]);
    if (mapping === null) throw new Error("no mapping");
    const mapped = mapping.channels.map(({ channel }) => channel).sort();
    expect(mapped).toEqual(channelKeys.filter((key) => key !== "time").sort());
    const read = readLog(text, layout, mapping, { stale: "keep" });
    const written = printedColumns(drive, signal, log);
    expect(read.rows).toBe(written.time.length);
    for (const name of ["signal", "airflow", "lambda", "manifoldPressure", "engineSpeed"] as const) {
      const channel = read.channels[name];
      expect(channel?.value.length, name).toBe(read.rows);
      let worst = 0;
      channel?.value.forEach((value, i) => {
        const want = written[name][i] as number;
        worst = Math.max(worst, Math.abs(value - want) / Math.max(1e-9, Math.abs(want)));
      });
      expect(worst, name).toBeLessThan(1e-12);
      expect(channel?.refresh).toBeCloseTo(0.05, 6);
    }
  });

  it("gives channels that are polled more slowly at their own rate", () => {
    const log = {
      rate: 20,
      jitter: 0.05,
      refresh: { signal: 2, airflow: 2, lambda: 4, manifoldPressure: 5, engineSpeed: 2, shortTrim: 4 },
      decimals: {},
    };
    const drive = simulateDrive({ ...spec, log }, seededRandom(13));
    const text = driveCsv(drive, signal, log);
    const { layout, mapping } = inferLogLayout(text.slice(0, 30_000));
    if (mapping === null) throw new Error("no mapping");
    const read = readLog(text, layout, mapping);
    for (const [name, every] of Object.entries(log.refresh) as [ChannelName, number][]) {
      const channel = read.channels[name as keyof typeof log.refresh];
      expect(channel?.refresh, name).toBeGreaterThan(0.05 * every * 0.95);
      expect(channel?.refresh, name).toBeLessThan(0.05 * every * 1.05);
      // A sample a poll, give or take those at the ends and beside repeated values.
      expect(channel?.time.length, name).toBeGreaterThan((0.93 * read.rows) / every);
      expect(channel?.time.length, name).toBeLessThan((1.05 * read.rows) / every);
    }
  });
});
