import { describe, expect, it } from "vitest";
import { channelKeys, type LogSpec } from "./drive-spec.js";
import { seededRandom } from "./random.js";
import { type LogRow, makeRecorder } from "./recorder.js";

/** A log of a world in which every channel's value is the time, stepped by 10 ms. */
function recorded(log: Partial<LogSpec>) {
  const recorder = makeRecorder<{ readonly time: number }>(
    { rate: 1, jitter: 0, refresh: {}, decimals: {}, ...log },
    seededRandom(1),
  );
  for (let i = 0; i < 1000; i++) {
    const time = i / 100;
    const row = Object.fromEntries(channelKeys.map((key) => [key, time])) as LogRow;
    if (recorder.due(time)) recorder.add(row, { time });
  }
  return { columns: recorder.columns(), truth: recorder.truth() };
}

describe("the logger", () => {
  it("reads all channels at once, truth beside them", () => {
    const { columns, truth } = recorded({});
    expect([...columns.battery]).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 8, 9]);
    expect(truth.time).toEqual(columns.time);
  });

  it("reads them in turn over the row's interval where asked for", () => {
    const { columns, truth } = recorded({ inTurn: true });
    expect(truth.time).toEqual(columns.time);
    channelKeys.forEach((key, k) => {
      const late = Math.ceil((100 * k) / channelKeys.length - 1e-6) / 100;
      for (let row = 0; row < 10; row++) expect(columns[key][row]).toBeCloseTo(row + late, 9);
    });
  });

  it("leaves out a row that was not finished", () => {
    const { columns, truth } = recorded({ inTurn: true, rate: 1 / 4 });
    expect(columns.time).toHaveLength(2);
    expect(truth.time).toHaveLength(2);
  });
});
