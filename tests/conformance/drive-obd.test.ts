import { decodeObd, type ObdReading } from "bellmouth/drive";
import { describe, expect, it } from "vitest";
import { accuracy } from "../support/accuracy.js";
import { dataCsv } from "../support/data.js";
import { worst } from "../support/worst.js";

/** SI back to the unit of the table. */
const inUnit: Record<string, (reading: ObdReading) => number> = {
  "%": ({ value }) => 100 * value,
  kPa: ({ value }) => value / 1000,
  rpm: ({ value }) => 60 * value,
  C: ({ value }) => value - 273.15,
  "g/s": ({ value }) => 1000 * value,
  ratio: ({ value }) => value,
  lambda: ({ value }) => value,
  V: ({ value }) => value,
  mA: ({ value }) => 1000 * value,
};

describe("raw service data", () => {
  it("scales as the standard says, every row of the table", () => {
    const w = worst();
    for (const row of dataCsv("reference/11-obd-scaling.csv")) {
      const bytes = (row["bytes_hex"] ?? "").split(" ").map((hex) => Number.parseInt(hex, 16));
      const units = (row["unit"] ?? "").split(";");
      const values = (row["value"] ?? "").split(";").map(Number);
      // A range of parameters (0x24-0x2B) scales alike from its first to its last.
      const pids = (row["pid"] ?? "").split("-").map(Number);
      for (const pid of pids) {
        const readings = decodeObd(pid, bytes);
        expect(readings.length).toBe(values.length);
        readings.forEach((reading, i) => {
          const convert = inUnit[units[i] ?? ""];
          if (convert === undefined) throw new Error(JSON.stringify(row));
          // Relative to at least one unit, so that zeros count.
          w.add(convert(reading), values[i] ?? Number.NaN, Math.max(1, Math.abs(values[i] ?? 0)));
        });
      }
    }
    accuracy({
      id: "drive-obd-scaling",
      area: "Drives",
      what: "scaling of raw service data, 58 rows",
      evidence: "other implementation",
      source: "SAE J1979 / ISO 15031-5, service 01",
      ...w.result(),
      // The table prints lambda to eight and load to six decimals.
      limit: 1e-6,
      unit: "relative or absolute, worst",
    });
  });

  it("shares scalings where the standard does", () => {
    // From memory: coolant as intake air, throttle as load, speed a byte of km/h.
    expect(decodeObd(0x05, [65])[0]?.value).toBe(decodeObd(0x0f, [65])[0]?.value);
    expect(decodeObd(0x11, [51])[0]?.value).toBe(decodeObd(0x04, [51])[0]?.value);
    expect(decodeObd(0x0d, [36])[0]?.value).toBeCloseTo(10, 12);
  });

  it("refuses what is not such an answer", () => {
    expect(() => decodeObd(0x01, [0])).toThrow(/E_DOMAIN/);
    expect(() => decodeObd(Number.NaN, [0])).toThrow(/E_DOMAIN/);
    expect(() => decodeObd(0x10, [1])).toThrow(/E_SHAPE/);
    expect(() => decodeObd(0x10, [1, 256])).toThrow(/E_DOMAIN/);
    expect(() => decodeObd(0x10, [1, Number.NaN])).toThrow(/E_DOMAIN/);
  });
});
