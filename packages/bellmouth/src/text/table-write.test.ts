import { describe, expect, it } from "vitest";
import { writeTable } from "./table-write.js";

describe("a written table", () => {
  it("shows stored values as they are meant, not as doubles add up", () => {
    const stored = [86, 173, 301].map((count) => count * 0.000005);
    const text = writeTable([{ name: "airflow", unit: "g/s", dimension: "mass flow", values: stored }]);
    expect(text).toBe("airflow [g/s]\n0.43\n0.865\n1.505\n");
  });
  it("has as many digits as its column asks for, in the unit shown", () => {
    const values = [0.1 / 3, Number.NaN, Number.POSITIVE_INFINITY];
    const text = writeTable([{ name: "airflow", unit: "lb/min", dimension: "mass flow", digits: 5, values }]);
    // 0.0333... kg/s x 60 / 0.45359237 kg (NIST SP 811, Appendix B.8: 1 lb = 0.453 592 37 kg)
    expect(text).toBe("airflow [lb/min]\n4.4092\n\n\n");
  });
});
