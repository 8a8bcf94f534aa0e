import { seededRandom } from "bellmouth/fit";
import { headroom, makeTransferCurve, robustPeak } from "bellmouth/sensor";
import { gramsPerSecond } from "bellmouth/units";
import { describe, expect, it } from "vitest";
import { accuracy } from "../support/accuracy.js";
import { dataCsv } from "../support/data.js";

const area = "Headroom";
const source =
  'M. Weber, Karlsruhe Institute of Technology, "Automotive OBD-II Dataset" (2023), turbo-diesel drive of 2017-08-04';

const rows = dataCsv("recordings/drive-turbo-diesel-2017-08-04-high-load-dropouts.csv");
const flowKey = Object.keys(rows[0]!).find((key) => key.startsWith("Air Flow Rate from Mass Flow Sensor"))!;
const seconds = (text: string): number => {
  const [h, m, s] = text.split(":").map(Number) as [number, number, number];
  return 3600 * h + 60 * m + s;
};
const times = rows.map((row) => seconds(row["Time"]!));
const flow = rows.map((row) => (row[flowKey] === "" ? Number.NaN : gramsPerSecond(Number(row[flowKey]))));

describe("robust peak of a real drive", () => {
  // The log refreshes its air flow every 0.75 to 0.9 s, so half a second is the shortest time it can vouch for.
  const peak = robustPeak(times, flow, { sustained: 0.5 });

  it("about 129 g/s once the dropouts are out", () => {
    expect(peak.removed.dropouts).toBe(788);
    accuracy({
      id: "headroom-real-peak",
      area,
      what: "robust peak (0.5 s) against the 129.2 g/s that its publisher's readings reach after zeros are removed",
      evidence: "measured data",
      source,
      compared: peak.used,
      measured: 100 * Math.abs(peak.value / gramsPerSecond(129.2) - 1),
      limit: 1,
      unit: "%",
    });
    // Readings come every 0.8 s and the pull moved 10 to 22 g/s from one to the next: what it may have missed.
    expect(peak.u).toBeGreaterThan(gramsPerSecond((129.22 - 118.86) / Math.sqrt(3)));
    expect(peak.u).toBeLessThan(gramsPerSecond(22 / Math.sqrt(3)));
  });

  it("stays where it is when the log is spoilt further", () => {
    const random = seededRandom(8);
    let spoilt = 0;
    const dirty = flow.map((value, i) => {
      if (Math.abs(times[i]! - peak.from) < 10) return value; // around the peak it stays as recorded
      const chance = random.uniform();
      if (chance < 0.01) return 0;
      if (chance < 0.02) return Number.NaN;
      if (chance < 0.022 && value > 0) {
        spoilt += 1;
        return value * 8 + 0.2;
      }
      return value;
    });
    expect(spoilt).toBeGreaterThan(40);
    const again = robustPeak(times, dirty, { sustained: 0.5 });
    expect(again.value).toBe(peak.value);
  });

  it("headroom on an invented meter agrees with the arithmetic by hand", () => {
    // 5 V table of an invented meter, straight lines, ends at 150 g/s; the sensor stops at 4.9 V: 144 g/s.
    const cells = [
      [1, 2],
      [2, 9],
      [3, 30],
      [4, 90],
      [5, 150],
    ].map(([signal, gps]) => ({
      signal: signal!,
      flow: gramsPerSecond(gps!),
      origin: "measured" as const,
      budget: { element: 0.02 },
      flags: [],
    }));
    const curve = makeTransferCurve({ signal: "voltage", outside: "hold", cells });
    const { usable, scenarios } = headroom(
      curve,
      { sensor: { from: 0.2, to: 4.9 } },
      [{ name: "the drive", flow: peak }],
      { watchShare: 0.9, watchChance: 0.01, overChance: 0.2 },
    );
    expect(usable.limitedBy).toBe("sensor");
    const one = scenarios[0]!;
    expect(one.signal).toBeCloseTo(4 + (129.22 - 90) / 60, 6);
    expect(one.flowLeft).toBeCloseTo(gramsPerSecond(144 - 129.22), 9);
    // ln(129.22/144) = -0.108 over the two doubts, 4.5 to 10 % of the log and 2 % of the curve: z from -2.2 to -1.06.
    expect(one.chanceOver).toBeGreaterThan(0.014);
    expect(one.chanceOver).toBeLessThan(0.145);
    expect(one.state).toBe("watch");
  });
});
