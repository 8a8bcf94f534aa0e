import { describe, expect, it } from "vitest";
import { seededRandom } from "../../fit/index.js";
import { localValue } from "./local-regression.js";

const x = Array.from({ length: 60 }, (_, i) => 60 + i * 0.9);

describe("localValue", () => {
  it("reads a parabola exactly", () => {
    const y = x.map((place) => 4000 - 3 * place + 0.7 * place * place);
    const { value, n } = localValue(x, y, 80, 6);
    expect(value).toBeCloseTo(4000 - 240 + 0.7 * 6400, 8);
    expect(n).toBe(13);
  });
  it("reads a straight line from few samples", () => {
    expect(localValue([1, 2, 4], [10, 20, 40], 3, 3).value).toBeCloseTo(30, 10);
  });
  it("has no value outside the samples, in a hole, or from too few", () => {
    const y = x.map(() => 1);
    expect(localValue(x, y, 59, 6).value).toBeNaN();
    expect(localValue(x, y, 114, 6).value).toBeNaN();
    expect(localValue([1, 3], [1, 1], 2, 5).value).toBeNaN();
    expect(localValue([2, 2, 2, 2], [1, 2, 3, 4], 2, 5).value).toBeNaN();
    expect(localValue([], [], 2, 5)).toEqual({ value: Number.NaN, n: 0, slope: 0, bend: 0 });
  });
  it("skips missing samples", () => {
    const y = x.map((place, i) => (i % 3 === 0 ? Number.NaN : 2 * place));
    expect(localValue(x, y, 90, 8).value).toBeCloseTo(180, 8);
  });
  it("averages noise without bias", () => {
    const random = seededRandom(3);
    let sum = 0;
    for (let i = 0; i < 400; i++) {
      const y = x.map((place) => place * place + 30 * random.normal());
      sum += localValue(x, y, 85, 7).value / 400;
    }
    expect(Math.abs(sum - 7225)).toBeLessThan(2.5);
  });
});
