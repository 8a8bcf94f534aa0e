import {
  type Between,
  type Curve,
  curveEvaluator,
  evaluateCurve,
  evaluateInto,
  evaluateTable,
  executedError,
  inverseEvaluator,
  invertCurve,
  isotonic,
  makeCurve,
  makeTable,
  type Outside,
  prepareCurve,
  prepareInverse,
  quantise,
  regridCurve,
  regridTable,
  type StorageFormat,
  tableEvaluator,
} from "bellmouth/curve";
import fc from "fast-check";
import { describe, expect, it } from "vitest";

const settings = { seed: 1905, numRuns: 300 } as const;
const few = { ...settings, numRuns: 60 } as const;

/**
 * Numbers in steps of 2^-20 and without a negative zero: the least a double can hold have a test of their own. Drawn as
 * whole steps: `fc.double` draws bit patterns, of which nearly all that lie about zero are next to nothing.
 */
const numberIn = (min: number, max: number) =>
  fc
    .integer({ min: Math.ceil(min * 2 ** 20), max: Math.floor(max * 2 ** 20) })
    .map((steps) => steps / 2 ** 20 + 0);
/** Steps from a ten-thousandth to a thousand, so that breakpoints crowd and stretch. */
const step = numberIn(-4, 3).map((power) => Math.max(1, Math.round(10 ** power * 2 ** 20)) / 2 ** 20);
const rising = (steps: readonly number[], start: number): number[] => {
  const values = [start];
  for (const width of steps) values.push((values.at(-1) as number) + width);
  return values;
};
const between = fc.constantFrom<Between>("straight", "monotone cubic");
const outside = fc.constantFrom<Outside>("hold", "extend", "refuse");

const curveOf = (x: readonly number[], y: readonly number[], b: Between, o: Outside): Curve =>
  makeCurve({
    x: { quantity: "voltage", values: x },
    y: { quantity: "mass flow", values: y },
    between: b,
    outside: o,
  });

/** Any curve: 2 to 40 breakpoints, values going up and down. */
const anyCurve = fc
  .array(fc.record({ width: step, value: numberIn(-100, 100) }), { minLength: 1, maxLength: 39 })
  .chain((cells) =>
    fc
      .record({ start: numberIn(-50, 50), value: numberIn(-100, 100), between, outside })
      .map(({ start, value, ...rules }) =>
        curveOf(
          rising(
            cells.map((cell) => cell.width),
            start,
          ),
          [value, ...cells.map((cell) => cell.value)],
          rules.between,
          rules.outside,
        ),
      ),
  );

/** A rising or falling curve. */
const monotoneCurve = fc
  .record({
    cells: fc.array(fc.record({ width: step, rise: step }), { minLength: 1, maxLength: 39 }),
    start: numberIn(-50, 50),
    way: fc.constantFrom(1, -1),
    between,
  })
  .map(({ cells, start, way, between: b }) => {
    const y = rising(
      cells.map((cell) => cell.rise),
      1,
    ).map((value) => way * value);
    return curveOf(
      rising(
        cells.map((cell) => cell.width),
        start,
      ),
      y,
      b,
      "hold",
    );
  });

const shares = fc.array(numberIn(0, 1), { minLength: 1, maxLength: 30 });
const inside = (curve: Curve, share: number): number => {
  const xs = curve.x.values;
  const [first, last] = [xs[0] as number, xs[xs.length - 1] as number];
  return Math.min(last, first + share * (last - first));
};
const range = (values: readonly number[]): number => Math.max(...values) - Math.min(...values);

describe("evaluation", () => {
  it("reproduces breakpoints exactly, forward and back", () => {
    fc.assert(
      fc.property(anyCurve, (curve) => {
        curve.x.values.forEach((x, i) => {
          expect(evaluateCurve(curve, x)).toBe(curve.y.values[i]);
        });
      }),
      settings,
    );
    fc.assert(
      fc.property(monotoneCurve, (curve) => {
        const back = inverseEvaluator(curve);
        curve.y.values.forEach((y, i) => {
          expect(back(y)).toBe(curve.x.values[i]);
        });
      }),
      settings,
    );
  });

  it("gives the same bits one by one, prepared and in batches, inside and outside", () => {
    fc.assert(
      fc.property(anyCurve, shares, (curve, list) => {
        const points = list.map((share) => inside(curve, share));
        if (curve.outside !== "refuse") {
          points.push((curve.x.values[0] as number) - 3, (curve.x.values.at(-1) as number) + 0.1, Number.NaN);
        }
        const read = curveEvaluator(curve);
        const out = new Float64Array(points.length);
        const counts = evaluateInto(prepareCurve(curve), Float64Array.from(points), out);
        points.forEach((x, i) => {
          expect(read(x)).toBe(evaluateCurve(curve, x));
          expect(out[i]).toBe(evaluateCurve(curve, x));
        });
        const outer = curve.outside === "refuse" ? 0 : 1;
        expect(counts).toEqual({ below: outer, above: outer, missing: outer });
      }),
      settings,
    );
  });

  it("never leaves the range of the two neighbouring breakpoints", () => {
    fc.assert(
      fc.property(anyCurve, shares, (curve, list) => {
        const xs = curve.x.values;
        for (const share of list) {
          const x = inside(curve, share);
          const next = xs.findIndex((knot) => knot > x);
          const k = next < 0 ? xs.length - 1 : next;
          const [a, b] = [curve.y.values[k - 1] as number, curve.y.values[k] as number];
          const value = evaluateCurve(curve, x);
          expect(value).toBeGreaterThanOrEqual(Math.min(a, b));
          expect(value).toBeLessThanOrEqual(Math.max(a, b));
        }
      }),
      settings,
    );
  });

  it("is monotone where the values are", () => {
    fc.assert(
      fc.property(monotoneCurve, shares, (curve, list) => {
        const way = (curve.y.values[1] as number) > (curve.y.values[0] as number) ? 1 : -1;
        const points = [...list.map((share) => inside(curve, share)), ...curve.x.values].sort(
          (a, b) => a - b,
        );
        // Straight lines to the last bit; a cubic to the rounding of its few operations.
        const slack = curve.between === "straight" ? 0 : 1e-14 * range(curve.y.values);
        let previous = Number.NEGATIVE_INFINITY;
        for (const x of points) {
          const value = way * evaluateCurve(curve, x);
          expect(value).toBeGreaterThanOrEqual(previous - slack);
          previous = value;
        }
      }),
      settings,
    );
  });

  it("follows the axes when they are mirrored, shifted or scaled by powers of two", () => {
    fc.assert(
      fc.property(anyCurve, shares, fc.integer({ min: -20, max: 20 }), (curve, list, power) => {
        const factor = 2 ** power;
        const { x, y, between: b, outside: o } = curve;
        const scaled = curveOf(
          x.values.map((v) => v * factor),
          y.values.map((v) => v * factor),
          b,
          o,
        );
        const falling = curveOf(
          x.values,
          y.values.map((v) => -v),
          b,
          o,
        );
        const turned = curveOf(
          [...x.values].reverse().map((v) => -v),
          [...y.values].reverse(),
          b,
          o,
        );
        for (const share of list) {
          const p = inside(curve, share);
          const value = evaluateCurve(curve, p);
          expect(Math.abs(evaluateCurve(scaled, p * factor) - value * factor)).toBe(0);
          expect(Math.abs(evaluateCurve(falling, p) + value)).toBe(0);
          // From the other end of a segment the same line is computed with other roundings.
          expect(Math.abs(evaluateCurve(turned, -p) - value)).toBeLessThanOrEqual(
            1e-9 * (1 + range(y.values)),
          );
        }
      }),
      settings,
    );
  });

  it("stays between its neighbours at the ends of what a double can hold", () => {
    const any = fc.double({ min: -1e300, max: 1e300, noNaN: true });
    fc.assert(
      fc.property(
        fc.uniqueArray(any, { minLength: 2, maxLength: 12 }),
        fc.array(any, { minLength: 12, maxLength: 12 }),
        between,
        numberIn(0, 1),
        (places, values, b, share) => {
          const x = [...places].sort((a, c) => a - c);
          let curve: Curve;
          try {
            curve = curveOf(x, values.slice(0, x.length), b, "hold");
          } catch (error) {
            // Repeated zeros, and slopes no double holds.
            expect(String(error)).toMatch(/E_DOMAIN|E_ORDER/);
            return;
          }
          for (let k = 0; k < x.length - 1; k++) {
            const [x0, x1] = [x[k] as number, x[k + 1] as number];
            const [y0, y1] = [values[k] as number, values[k + 1] as number];
            const value = evaluateCurve(curve, Math.min(x1, x0 + share * (x1 - x0)));
            expect(value).toBeGreaterThanOrEqual(Math.min(y0, y1));
            expect(value).toBeLessThanOrEqual(Math.max(y0, y1));
            expect(curveEvaluator(curve)(x0)).toBe(y0);
          }
        },
      ),
      settings,
    );
  });

  it("holds, extends or refuses outside", () => {
    fc.assert(
      fc.property(anyCurve, numberIn(1e-3, 1e3), (curve, far) => {
        const [first, last] = [curve.x.values[0] as number, curve.x.values.at(-1) as number];
        if (curve.outside === "refuse") {
          expect(() => evaluateCurve(curve, first - far)).toThrow(/E_OUTSIDE/);
          expect(() => evaluateCurve(curve, last + far)).toThrow(/E_OUTSIDE/);
        } else if (curve.outside === "hold") {
          expect(evaluateCurve(curve, first - far)).toBe(curve.y.values[0]);
          expect(evaluateCurve(curve, last + far)).toBe(curve.y.values.at(-1));
        } else {
          // Twice as far out changes twice as much.
          const end = curve.y.values.at(-1) as number;
          const [once, twice] = [1, 2].map((times) => evaluateCurve(curve, last + times * far) - end);
          expect(Math.abs((twice as number) - 2 * (once as number))).toBeLessThanOrEqual(
            1e-9 * (Math.abs(once as number) + Math.abs(end)),
          );
        }
      }),
      settings,
    );
  });
});

describe("inverse", () => {
  it("undoes the forward reading to rounding", () => {
    fc.assert(
      fc.property(monotoneCurve, shares, (curve, list) => {
        const prepared = prepareInverse(curve);
        const ys = Float64Array.from(list, (share) => evaluateCurve(curve, inside(curve, share)));
        const xs = new Float64Array(ys.length);
        evaluateInto(prepared, ys, xs);
        const size = Math.max(...curve.y.values.map(Math.abs));
        ys.forEach((y, i) => {
          const x = xs[i] as number;
          expect(invertCurve(curve, y)).toBe(x);
          // Held against y, because x is ill-determined where a cubic is flat. Steps of x end at its last bit, and the
          // steepest line here is 10^7 times steeper than wide, so that bit is worth up to 1e-9 of the size.
          const steepest = Math.max(
            ...curve.y.values.slice(1).map((v, k) => {
              const run = (curve.x.values[k + 1] as number) - (curve.x.values[k] as number);
              return Math.abs(v - (curve.y.values[k] as number)) / run;
            }),
          );
          const bit = 4 * Number.EPSILON * Math.max(...curve.x.values.map(Math.abs));
          expect(Math.abs(evaluateCurve(curve, x) - y)).toBeLessThanOrEqual(
            1e-14 * size + 3 * steepest * bit,
          );
        });
      }),
      settings,
    );
  });
});

describe("quantise", () => {
  const format = fc
    .record({
      power: fc.integer({ min: -10, max: 3 }),
      offset: fc.integer({ min: -8, max: 8 }),
      codes: fc.integer({ min: 1, max: 300 }),
      tenths: fc.boolean(),
    })
    .map(({ power, offset, codes, tenths }): StorageFormat => {
      const width = tenths ? 10 ** Math.trunc(power / 2) : 2 ** power;
      return { step: width, offset: width * offset, from: width * offset, to: width * (offset + codes) };
    });
  const keep = fc.constantFrom("increasing", "decreasing", "nothing" as const);

  it("is idempotent and off by half a step at most, unless it says otherwise", () => {
    fc.assert(
      fc.property(format, fc.array(numberIn(-0.2, 1.2), { maxLength: 60 }), keep, (f, list, order) => {
        const values = list.map((share) => f.from + share * (f.to - f.from));
        const once = quantise(values, f, { keep: order as "nothing" });
        once.values.forEach((value, i) => {
          const flags = once.flags[i] as readonly string[];
          expect(value).toBeGreaterThanOrEqual(f.from - 1e-9 * f.step);
          expect(value).toBeLessThanOrEqual(f.to + 1e-9 * f.step);
          if (flags.includes("clipped") || flags.includes("moved")) return;
          expect(Math.abs(value - (values[i] as number))).toBeLessThanOrEqual(f.step * (0.5 + 1e-9));
        });
        expect(quantise(once.values, f, { keep: "nothing" }).values).toEqual(once.values);
      }),
      settings,
    );
  });

  it("keeps a rising list rising whenever the format has the codes, and moves nothing it need not", () => {
    fc.assert(
      fc.property(format, fc.array(numberIn(0, 1), { minLength: 1, maxLength: 60 }), (f, list) => {
        const values = [...list].sort((a, b) => a - b).map((share) => f.from + share * (f.to - f.from));
        const stored = quantise(values, f, { keep: "increasing" });
        const plain = quantise(values, f, { keep: "nothing" });
        const room = Math.round((f.to - f.from) / f.step) + 1 >= values.length;
        expect(stored.flags.flat().includes("out of order")).toBe(!room);
        const rises = plain.codes.every((code, i) => i === 0 || code > (plain.codes[i - 1] as number));
        if (rises) expect(stored.codes).toEqual(plain.codes);
        // Mirrored, the same list falls and is stored mirrored.
        const mirrored = { step: f.step, offset: -f.offset, from: -f.to, to: -f.from };
        const falling = quantise(
          values.map((v) => -v),
          mirrored,
          { keep: "decreasing" },
        );
        expect(falling.codes).toEqual(stored.codes.map((code) => 0 - code));
      }),
      settings,
    );
  });
});

describe("isotonic", () => {
  it("never falls, keeps the weighted mean, and leaves rising lists alone", () => {
    fc.assert(
      fc.property(
        fc.array(fc.record({ value: numberIn(-10, 10), weight: numberIn(0.01, 100) }), {
          minLength: 1,
          maxLength: 50,
        }),
        (list) => {
          const [values, weights] = [list.map((item) => item.value), list.map((item) => item.weight)];
          const fit = isotonic(values, weights);
          const mean = (of: readonly number[]): number =>
            of.reduce((sum, v, i) => sum + v * (weights[i] as number), 0);
          expect(fit.every((v, i) => i === 0 || v >= (fit[i - 1] as number))).toBe(true);
          expect(Math.abs(mean(fit) - mean(values))).toBeLessThanOrEqual(
            1e-9 * weights.reduce((a, b) => a + b),
          );
          const sorted = [...values].sort((a, b) => a - b);
          expect(isotonic(sorted, weights)).toEqual(sorted);
        },
      ),
      settings,
    );
  });
});

describe("regridding", () => {
  const axisFor = (curve: Curve, list: readonly number[]): number[] => {
    const [first, last] = [curve.x.values[0] as number, curve.x.values.at(-1) as number];
    const inner = [...new Set(list.map((share) => inside(curve, share)))].filter(
      (x) => x > first && x < last,
    );
    return [first, ...inner.sort((a, b) => a - b), last];
  };
  const error = fc
    .constantFrom("relative", "absolute" as const)
    .map((kind) =>
      kind === "relative" ? ({ error: "relative", floor: 1 } as const) : ({ error: "absolute" } as const),
    );

  it("by smallest largest error is never worse than sampling, and close to its proven bound", () => {
    let fits = 0;
    let loose = 0;
    fc.assert(
      fc.property(anyCurve, shares, error, (target, list, measure) => {
        const axis = { quantity: "voltage", values: axisFor(target, list) } as const;
        const common = { ...measure, outside: "hold" } as const;
        const sampled = regridCurve(target, axis, { fit: "sample", ...common });
        const fitted = regridCurve(target, axis, { fit: "minimax", ...common });
        const [was, is] = [sampled, fitted].map((r) => Math.abs(r.executed.worst.error)) as [number, number];
        // Rounding: where sampling leaves no error, neither does the fit, up to the last bits of values of size 100. Tops of
        // a cubic in a sliver beside a corner are found to a part in 1000.
        const found = target.between === "straight" ? 1e-9 : 1e-3;
        expect(is).toBeLessThanOrEqual(was * (1 + found) + 1e-12);
        expect(fitted.lowerBound).toBeLessThanOrEqual(is * (1 + Math.max(found, 2e-6)) + 1e-9);
        if (!(is < was)) return;
        fits++;
        // Within a millionth: tops between readings of a cubic are found by parabolas; with straight lines all is exact.
        // A top in a sliver beside a corner, of a curve that hardly any table holds, may be found less sharply.
        if (!(is <= fitted.lowerBound * (1 + 3e-6) + 1e-9)) loose++;
        expect(is).toBeLessThanOrEqual(
          fitted.lowerBound * (1 + (target.between === "straight" ? 3e-6 : 1e-2)) + 1e-9,
        );
      }),
      settings,
    );
    expect(fits).toBeGreaterThan(100);
    expect(loose / fits).toBeLessThan(0.02);
  });

  it("halves the error of a convex curve in a single segment", () => {
    fc.assert(
      fc.property(numberIn(1.1, 6), numberIn(0.1, 5), numberIn(0.5, 20), (power, start, width) => {
        const target = { kind: "line", quantity: "mass flow", at: (x: number) => x ** power } as const;
        const axis = { quantity: "voltage", values: [start, start + width] } as const;
        const common = { error: "absolute", outside: "hold" } as const;
        const was = regridCurve(target, axis, { fit: "sample", ...common }).executed.worst.error;
        const is = Math.abs(regridCurve(target, axis, { fit: "minimax", ...common }).executed.worst.error);
        expect(Math.abs(is / was - 0.5)).toBeLessThan(1e-5);
      }),
      few,
    );
  });

  it("keeps rising targets rising and falling targets falling", () => {
    fc.assert(
      fc.property(monotoneCurve, shares, error, (target, list, measure) => {
        const axis = { quantity: "voltage", values: axisFor(target, list) } as const;
        const fit = regridCurve(target, axis, { fit: "minimax", ...measure, outside: "hold" });
        const way = (target.y.values[1] as number) > (target.y.values[0] as number) ? 1 : -1;
        const { values } = fit.ideal.y;
        // Where the target itself rises by less than doubles of its size tell apart, values may be equal.
        const least = 64 * Number.EPSILON * Math.max(...target.y.values.map(Math.abs));
        const wanted = axis.values.map((x) => evaluateCurve(target, x));
        values.forEach((value, i) => {
          if (i === 0) return;
          const rise = way * (value - (values[i - 1] as number));
          if (way * ((wanted[i] as number) - (wanted[i - 1] as number)) > least)
            expect(rise).toBeGreaterThan(0);
          else expect(rise).toBeGreaterThanOrEqual(0);
        });
      }),
      few,
    );
  });

  it("reports errors that no dense reading exceeds, and parts that add up", () => {
    fc.assert(
      fc.property(anyCurve, shares, numberIn(0.01, 3), (target, list, width) => {
        const axis = { quantity: "voltage", values: axisFor(target, list) } as const;
        const storage = { y: { step: width, offset: 0, from: -60, to: 60 } };
        const { stored, executed } = regridCurve(target, axis, {
          fit: "sample",
          error: "absolute",
          outside: "hold",
          storage,
        });
        const worst = Math.abs(executed.worst.error);
        for (const share of list) {
          const x = inside(target, share);
          const miss = Math.abs(evaluateCurve(stored.curve, x) - evaluateCurve(target, x));
          // Against a cubic the top is found by reading and narrowing down, not by proof.
          expect(miss).toBeLessThanOrEqual(worst * (target.between === "straight" ? 1 : 1.05) + 1e-9);
        }
        for (const cell of executed.cells) {
          for (const at of [cell.lowest, cell.highest]) {
            const sum = at.interpolation + at.storage + at.clipping;
            expect(Math.abs(sum - (at.executed - at.target))).toBeLessThanOrEqual(1e-9);
          }
        }
        const self = executedError(
          target,
          { executed: { ...target, outside: "hold" } },
          { error: "absolute" },
        );
        expect(self.worst.error).toBe(0);
      }),
      few,
    );
  });
});

describe("tables", () => {
  const anyTable = fc
    .record({
      x: fc.array(step, { minLength: 1, maxLength: 6 }),
      y: fc.array(step, { minLength: 1, maxLength: 6 }),
      seeds: fc.array(numberIn(1, 100), { minLength: 49, maxLength: 49 }),
    })
    .map(({ x, y, seeds }) =>
      makeTable({
        x: { quantity: "voltage", values: rising(x, 0) },
        y: { quantity: "mass flow", values: rising(y, 0) },
        z: { quantity: "temperature", values: seeds.slice(0, (x.length + 1) * (y.length + 1)) },
        outside: "hold",
      }),
    );
  const point = fc.record({ u: numberIn(-0.2, 1.2), w: numberIn(-0.2, 1.2) });

  it("give the same bits prepared, their own values at breakpoints, and nothing beyond their values", () => {
    fc.assert(
      fc.property(anyTable, fc.array(point, { maxLength: 20 }), (table, points) => {
        const read = tableEvaluator(table);
        const [xs, ys] = [table.x.values, table.y.values];
        xs.forEach((x, i) => {
          ys.forEach((y, j) => {
            expect(read(x, y)).toBe(table.z.values[i * ys.length + j]);
          });
        });
        for (const { u, w } of points) {
          const [x, y] = [u * (xs.at(-1) as number), w * (ys.at(-1) as number)];
          const value = evaluateTable(table, x, y);
          expect(read(x, y)).toBe(value);
          expect(value).toBeGreaterThanOrEqual(Math.min(...table.z.values));
          expect(value).toBeLessThanOrEqual(Math.max(...table.z.values));
        }
      }),
      settings,
    );
  });

  it("regridded by smallest largest error are never worse than sampled", () => {
    fc.assert(
      fc.property(anyTable, shares, (table, list) => {
        const axis = (values: readonly number[]): number[] => {
          const last = values.at(-1) as number;
          const inner = [...new Set(list.slice(0, 4).map((share) => share * last))].filter(
            (v) => v > 0 && v < last,
          );
          return [0, ...inner.sort((a, b) => a - b), last];
        };
        const x = { quantity: "voltage", values: axis(table.x.values) } as const;
        const y = { quantity: "mass flow", values: axis(table.y.values) } as const;
        const common = { error: "relative", outside: "hold" } as const;
        const was = regridTable(table, x, y, { fit: "sample", ...common }).executed.worst.error;
        const is = regridTable(table, x, y, { fit: "minimax", ...common }).executed.worst.error;
        expect(Math.abs(is)).toBeLessThanOrEqual(Math.abs(was) * (1 + 1e-12));
      }),
      few,
    );
  });
});
