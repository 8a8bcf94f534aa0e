import { developmentCars, scenario, seededRandom, simulateDrive } from "@bellmouth/simulator";
import { addDrive, type Drive, mergeSums, refine, solveRefinement, sumsOf } from "bellmouth/drive";
import type { TransferCurve } from "bellmouth/sensor";
import { describe, expect, it } from "vitest";

interface Case {
  readonly curve: TransferCurve;
  readonly drive: Drive;
  readonly other: Drive;
  readonly truth: readonly number[];
}

const simulated = (seed: number): Case => {
  const car = developmentCars[seed % developmentCars.length]!;
  const { drive } = scenario(car, "8-minute drive", seed % 2 === 0, seededRandom(40 + seed));
  const log = (s: number): Drive => {
    const { time, ...rest } = simulateDrive({ ...drive, startCoolant: 350 }, seededRandom(s)).columns;
    return {
      name: `drive ${s}`,
      channels: Object.fromEntries(Object.entries(rest).map(([name, value]) => [name, { time, value }])),
    };
  };
  return {
    curve: drive.table,
    drive: log(100 + seed),
    other: log(200 + seed),
    truth: car.meter.trueCurve.cells.map((cell) => cell.flow),
  };
};
const cases = [0, 1].map(simulated);

const shifted = (drive: Drive, by: number): Drive => ({
  ...drive,
  channels: Object.fromEntries(
    Object.entries(drive.channels).map(([name, channel]) => [
      name,
      { time: channel.time.map((t) => t + by), value: channel.value },
    ]),
  ),
});

const rmsOff = (flows: readonly number[], truth: readonly number[], which: readonly boolean[]): number => {
  const off = flows.flatMap((flow, i) => (which[i] ? [Math.log(flow / truth[i]!) ** 2] : []));
  return Math.sqrt(off.reduce((sum, v) => sum + v, 0) / off.length);
};

describe.each(cases)("refinement of a simulated drive", ({ curve, drive, other, truth }) => {
  const a = sumsOf(drive, curve);
  const b = sumsOf(other, curve);
  const alone = solveRefinement(curve, a);

  it("brings the driven cells at least four times nearer to the truth", () => {
    const driven = alone.cells.map((cell) => cell.seconds > 1);
    const before = rmsOff(
      curve.cells.map((cell) => cell.flow),
      truth,
      driven,
    );
    const after = rmsOff(
      alone.cells.map((cell) => cell.after),
      truth,
      driven,
    );
    expect(driven.filter(Boolean).length).toBeGreaterThan(10);
    expect(after).toBeLessThan(Math.max(0.008, before / 4));
  });

  it("keeps what was known before out of the evidence: of cells far from every row it says nothing", () => {
    const [record] = a.drives;
    const { seconds, matrix, vector } = record!;
    const silent = seconds.flatMap((_, i) =>
      seconds.slice(Math.max(0, i - 6), i + 7).every((time) => time === 0) ? [i] : [],
    );
    expect(silent.length).toBeGreaterThan(0);
    for (const i of silent) {
      // A doubt of 3 % known before would stand here as 1,000.
      expect(matrix[(i * (i + 1)) / 2 + i]).toBeLessThan(1);
      expect(Math.abs(vector[i] as number)).toBeLessThan(1);
    }
  });

  it("shows near each driven cell what was seen there", () => {
    const seen = alone.cells.filter((cell) => cell.seconds > 10);
    expect(seen.length).toBeGreaterThan(3);
    for (const cell of seen)
      expect(Math.abs((cell.seen ?? 0) / (cell.mean / cell.before) - 1)).toBeLessThan(0.02);
  });

  it("gives the same from two logs at once as from their sums added, in either order", () => {
    const whole = refine(curve, [drive, other]);
    for (const sums of [mergeSums(a, b), mergeSums(b, a)]) {
      const merged = solveRefinement(curve, sums);
      merged.cells.forEach((cell, i) => {
        expect(cell.after / whole.cells[i]!.after).toBeCloseTo(1, 9);
        expect(cell.u / whole.cells[i]!.u).toBeCloseTo(1, 6);
      });
    }
  });

  it("finds nearly the same from a drive added to sums, whose law is where it starts", () => {
    const merged = solveRefinement(curve, mergeSums(a, b));
    const added = solveRefinement(curve, addDrive(a, other, curve));
    added.cells.forEach((cell, i) => {
      const beside = merged.cells[i]!;
      expect(Math.abs(Math.log(cell.after / beside.after))).toBeLessThan(0.5 * beside.u);
      expect(Math.abs(cell.u / beside.u - 1)).toBeLessThan(0.25);
    });
  });

  it("finds another delay in a drive added to sums", () => {
    const lambda = other.channels.lambda!;
    const late: Drive = {
      ...other,
      channels: {
        ...other.channels,
        lambda: { time: Float64Array.from(lambda.time, (t) => t + 0.3), value: lambda.value },
      },
    };
    const [own, added] = [b, addDrive(a, late, curve)].map(
      ({ drives }) => drives.at(-1)?.summary.delay?.value ?? 0,
    );
    expect(Math.abs(added! - own! - 0.3)).toBeLessThan(0.03);
  });

  it("survives a trip through JSON", () => {
    const back = solveRefinement(curve, JSON.parse(JSON.stringify(a)) as typeof a);
    expect(back.cells).toEqual(alone.cells);
  });

  it("does not depend on when the log's clock started", () => {
    const later = solveRefinement(curve, sumsOf(shifted(drive, 512), curve));
    later.cells.forEach((cell, i) => {
      expect(Math.abs(Math.log(cell.after / alone.cells[i]!.after))).toBeLessThan(2e-4);
    });
  });

  it("is not upset by missing samples: they cost certainty, not truth", () => {
    const random = seededRandom(7);
    const lambda = drive.channels.lambda!;
    const holed: Drive = {
      ...drive,
      channels: {
        ...drive.channels,
        lambda: {
          time: lambda.time,
          value: lambda.value.map((v) => (random.uniform() < 0.3 ? Number.NaN : v)),
        },
      },
    };
    const result = solveRefinement(curve, sumsOf(holed, curve));
    result.cells.forEach((cell, i) => {
      if (cell.seconds < 2) return;
      expect(Math.abs(Math.log(cell.after / alone.cells[i]!.after)) / cell.u).toBeLessThan(3);
    });
  });

  it("scales with the unit of flow: a table and an airflow ten times larger refine alike", () => {
    const ten: TransferCurve = {
      ...curve,
      cells: curve.cells.map((cell) => ({ ...cell, flow: 10 * cell.flow })),
    };
    const airflow = drive.channels.airflow!;
    const big: Drive = {
      ...drive,
      channels: {
        ...drive.channels,
        airflow: { time: airflow.time, value: airflow.value.map((v) => 10 * v) },
      },
    };
    const result = solveRefinement(ten, sumsOf(big, ten));
    result.cells.forEach((cell, i) => {
      expect(Math.abs(Math.log(cell.after / 10 / alone.cells[i]!.after))).toBeLessThan(1e-3);
    });
  });

  it("leaves its input as it was", () => {
    const copy = Float64Array.from(drive.channels.lambda!.value);
    sumsOf(drive, curve);
    expect(drive.channels.lambda!.value).toEqual(copy);
  });
});
