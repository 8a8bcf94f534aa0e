import { describe, expect, it } from "vitest";
import { developmentCars } from "./development-cars.js";
import { driveCsv } from "./drive-csv.js";
import { seededRandom } from "./random.js";
import { scenario } from "./scenario.js";
import { simulateDrive } from "./simulate-drive.js";

const short = (seed: number, feedback = true) => {
  const random = seededRandom(seed);
  const { drive } = scenario(developmentCars[0]!, "town and pulls", feedback, random);
  const spec = { ...drive, duration: 120 };
  return { spec, drive: simulateDrive(spec, random) };
};

describe("simulateDrive", () => {
  it("gives the same log for the same seed, and another for another", () => {
    const [a, b, c] = [short(5), short(5), short(6)].map(({ spec, drive }) =>
      driveCsv(drive, "frequency", spec.log),
    );
    expect(a).toBe(b);
    expect(a).not.toBe(c);
  });

  it("keeps every channel finite", () => {
    for (const column of Object.values(short(9).drive.columns)) {
      expect(column.every((value) => Number.isFinite(value))).toBe(true);
    }
  });
});
