import { describe, expect, it } from "vitest";
import { type Housing, makeTransferCurve, rescaleTransferCurve } from "../../sensor/index.js";
import {
  celsius,
  gramsPerSecond,
  kilopascals,
  metres,
  mm,
  mm2,
  pascalsDifference,
  squareMetres,
  toMm,
} from "../../units/index.js";
import { chooseBore } from "./choose-bore.js";
import { type HousingLoss, housingDrop, housingMach } from "./housing-drop.js";
import { type BoreSweep, sweepBores } from "./sweep-bores.js";

const air = { temperature: celsius(20), pressure: kilopascals(100), relativeHumidity: 0 };
const housing = (bore: number): Housing => ({
  section: { shape: "round", bore: { value: mm(bore), u: mm(0.05) } },
  blockage: { value: mm2(300), u: mm2(15) },
  element: { from: 0, to: 0.25 },
  run: { value: mm(45), u: mm(10) },
  upstream: "bellmouth",
  step: mm(0),
});
/** An invented meter of 70 mm, 1 to 5 V, ending at 260 g/s. */
const curve = makeTransferCurve({
  signal: "voltage",
  outside: "hold",
  cells: Array.from({ length: 33 }, (_, i) => {
    const signal = 1 + i / 8;
    return {
      signal,
      flow: gramsPerSecond(260) * ((signal - 0.6) / 4.4) ** 3.2,
      origin: "measured" as const,
      budget: { element: 0.015 },
      flags: [],
    };
  }),
});
const sweep: BoreSweep = {
  curve,
  from: housing(70),
  to: housing(80),
  air,
  limits: { sensor: { from: 0, to: 4.85 }, capture: { from: 0, to: 5 } },
  demands: [
    { name: "now", flow: { value: gramsPerSecond(210), u: gramsPerSecond(4) } },
    { name: "after the next change", flow: { value: gramsPerSecond(270), u: gramsPerSecond(9) } },
  ],
  thresholds: { watchShare: 0.9, watchChance: 0.01, overChance: 0.2 },
  idle: { flow: gramsPerSecond(3.2), resolution: { kind: "step", step: 5 / 1023 } },
  loss: {
    kind: "drop",
    drop: { value: pascalsDifference(1200), u: 60 },
    flow: { value: gramsPerSecond(210), u: gramsPerSecond(3) },
    housing: housing(70),
  },
};
const bores = [66, 70, 74, 78, 82, 86, 90, 94].map((value) => mm(value));
const rows = sweepBores(sweep, bores);

describe("sweepBores", () => {
  it("the given bore is the given meter", () => {
    const row = rows[1];
    expect(row?.flowRatio).toBe(1);
    expect(row?.drop?.value).toBeCloseTo(1200 * (270 / 210) ** 2, 6);
    // N4: its own area cancels; 5 % of the drop, twice 1.43 % of the flow it was measured at, twice 3.3 % of the demand.
    expect((row?.drop?.u as number) / (row?.drop?.value as number)).toBeCloseTo(
      Math.hypot(0.05, 2 / 70, 2 / 30),
      9,
    );
  });
  it("each row is a rescale of its own", () => {
    const direct = rescaleTransferCurve(curve, { from: housing(70), to: housing(86), air });
    expect(rows[5]?.flowRatio).toBe(direct.cells[30]?.factor);
  });
  it("a larger bore: more flow a signal, more room, less drop and speed, a lower signal at idle, seen more coarsely", () => {
    for (let i = 1; i < rows.length; i++) {
      const [a, b] = [rows[i - 1], rows[i]];
      if (a === undefined || b === undefined) throw new Error("a row is missing");
      expect(b.flowRatio).toBeGreaterThan(a.flowRatio);
      expect(b.scenarios[1]?.share).toBeLessThan(a.scenarios[1]?.share as number);
      expect(b.scenarios[1]?.chanceOver).toBeLessThanOrEqual(a.scenarios[1]?.chanceOver as number);
      expect(b.drop?.value).toBeLessThan(a.drop?.value as number);
      expect(b.mach).toBeLessThan(a.mach);
      expect(b.idle?.signal).toBeLessThan(a.idle?.signal as number);
      expect(b.idle?.reynolds).toBeLessThan(a.idle?.reynolds as number);
    }
    expect(rows.at(-1)?.idle?.stepShare).toBeGreaterThan(rows[0]?.idle?.stepShare as number);
    // 3.2 g/s in 94 mm: Re 4 m / (pi mu D) = 2,380.
    expect(rows.at(-1)?.idle?.reynolds).toBeCloseTo((4 * 0.0032) / (Math.PI * 1.8206e-5 * 0.094), -1);
    // A short housing has no transition there; a long pipe has.
    expect(rows.at(-1)?.idle?.flags).toEqual([]);
    const long = {
      from: { ...sweep.from, run: "developed" },
      to: { ...sweep.to, run: "developed" },
    } as const;
    const [behind] = sweepBores({ ...sweep, ...long }, [mm(94)]);
    expect(behind?.idle?.flags).toEqual(["transition"]);
  });
  it("leaves out what it was not told", () => {
    const { idle: _idle, loss: _loss, ...bare } = sweep;
    const [row] = sweepBores(bare, [mm(80)]);
    expect(row?.idle).toBeNull();
    expect(row?.drop).toBeNull();
  });
  it("refuses no bore, no demand, a bore the probe fills, and a housing without a bore", () => {
    expect(() => sweepBores(sweep, [])).toThrow(/E_TOO_LITTLE_DATA/);
    expect(() => sweepBores({ ...sweep, demands: [] }, bores)).toThrow(/E_TOO_LITTLE_DATA/);
    expect(() => sweepBores(sweep, [mm(0)])).toThrow(/bores\[0\]/);
    expect(() => sweepBores(sweep, [mm(10)])).toThrow(/probe fills/);
    const square: Housing = {
      ...housing(80),
      section: { shape: "rectangle", width: { value: mm(70), u: 0 }, height: { value: mm(70), u: 0 } },
    };
    expect(() => sweepBores({ ...sweep, to: square }, bores)).toThrow(/only a round housing/);
  });
});

describe("housingDrop and housingMach", () => {
  it("a coefficient on the dynamic head in the open area", () => {
    const bare: Housing = { ...housing(80), blockage: { value: mm2(0), u: 0 } };
    const drop = housingDrop(
      { kind: "coefficient", loss: { value: 0.6, u: 0.06 } },
      bare,
      gramsPerSecond(200),
      air,
    );
    const density = 100_000 / 287.05287 / 293.15;
    const area = (Math.PI / 4) * 0.08 ** 2;
    const head = (0.2 / area) ** 2 / (2 * density);
    expect(drop.value).toBeCloseTo(0.6 * head, 6);
    // The bore's 0.0625 % counts four times.
    expect(drop.u / drop.value).toBeCloseTo(Math.hypot(0.1, 4 * 0.000625), 6);
  });
  const bare: Housing = { ...housing(80), blockage: { value: mm2(0), u: 0 } };
  const round = (bore: number) => squareMetres((Math.PI / 4) * mm(bore) ** 2);
  it("N4: steps to ducts that stay count, on both sides", () => {
    // By hand, 200 g/s: 100 to 80 mm narrows, 0.5 (1 - 0.64) on 80 mm; 80 to 60 mm narrows, 0.5 (1 - 0.5625) on 60 mm.
    const density = 100_000 / 287.05287 / 293.15;
    const head = (area: number): number => (0.2 / area) ** 2 / (2 * density);
    const loss = {
      kind: "coefficient",
      loss: { value: 0, u: 0 },
      ducts: { before: round(100), after: round(60) },
    } as const;
    const drop = housingDrop(loss, bare, gramsPerSecond(200), air);
    const steps = 0.18 * head(round(80)) + 0.21875 * head(round(60));
    expect(drop.value).toBeCloseTo(steps, 6);
    expect(drop.u).toBeCloseTo(0.3 * steps, 6);
  });
  it("N4: steps stand once in a measured drop, and a larger bore between ducts that stay gains less", () => {
    const own = { ...sweep.loss, ducts: { before: round(70), after: round(70) } } as HousingLoss;
    const at = (loss: HousingLoss, bore: number): number =>
      housingDrop(loss, housing(bore), gramsPerSecond(210), air).value;
    expect(at(own, 70)).toBeCloseTo(1200, 9);
    // By hand at 90 mm: (1 - (70/90)^2)^2 and 0.5 (1 - (70/90)^2), both on 70 mm, on top of what the open area gives.
    const share = 1 - (70 / 90) ** 2;
    const head = (0.21 / round(70)) ** 2 / (2 * (100_000 / 287.05287 / 293.15));
    expect(at(own, 90) - at(sweep.loss as HousingLoss, 90)).toBeCloseTo((share ** 2 + share / 2) * head, 6);
    const narrow = { ...own, ducts: { before: round(150), after: round(150) } } as HousingLoss;
    expect(() =>
      at({ ...narrow, drop: { value: pascalsDifference(200), u: 10 } } as HousingLoss, 90),
    ).toThrow(/steps to the ducts alone/);
  });
  it("says 1 where the housing cannot pass the flow", () => {
    expect(housingMach(housing(30), gramsPerSecond(400), air)).toBe(1);
    expect(housingMach(housing(70), gramsPerSecond(0), air)).toBeCloseTo(0, 12);
  });
  it("refuses what cannot be measured", () => {
    const loss = { ...sweep.loss, flow: { value: gramsPerSecond(0), u: 0 } } as Extract<
      BoreSweep["loss"],
      { kind: "drop" }
    >;
    expect(() => housingDrop(loss, housing(80), gramsPerSecond(100), air)).toThrow(/loss\.flow\.value/);
    const k = { kind: "coefficient", loss: { value: -1, u: 0 } } as const;
    expect(() => housingDrop(k, housing(80), gramsPerSecond(100), air)).toThrow(/loss\.loss\.value/);
  });
});

describe("chooseBore", () => {
  it("the smallest that meets every limit, whatever their order", () => {
    const limits = { probabilityBelow: 0.01, dropBelow: pascalsDifference(1500) };
    const choice = chooseBore(rows, limits);
    const index = choice.index as number;
    expect(choice.bore).toBe(bores[index]);
    expect(choice.judged.slice(0, index).every(({ meets }) => !meets)).toBe(true);
    expect(rows[index]?.scenarios.every(({ chanceOver }) => chanceOver < 0.01)).toBe(true);
    expect(rows[index]?.drop?.value).toBeLessThan(1500);
    const turned = chooseBore([...rows].reverse(), limits);
    expect(turned.bore).toBe(choice.bore);
    expect(toMm(choice.bore ?? metres(0))).toBeGreaterThan(70);
  });
  it("says what each bore misses", () => {
    const { judged } = chooseBore(rows, { shareBelow: 0.9, idleResolutionBelow: 0.02 });
    expect(judged[0]?.fails[0]).toEqual({
      limit: "shareBelow",
      found: rows[0]?.scenarios[1]?.share,
      wanted: 0.9,
    });
  });
  it("none when limits pull apart", () => {
    const none = chooseBore(rows, { shareBelow: 0.7, idleSignalAbove: 1.9 });
    expect(none).toMatchObject({ bore: null, index: null });
    expect(none.judged.every(({ fails }) => fails.length > 0)).toBe(true);
  });
  it("refuses no limits, and limits on what the sweep does not hold", () => {
    expect(() => chooseBore(rows, {})).toThrow(/no limit to choose by/);
    expect(() => chooseBore(rows, { shareBelow: 0 })).toThrow(/limits\.shareBelow/);
    const bare = rows.map((row) => ({ ...row, drop: null, idle: null }));
    expect(() => chooseBore(bare, { dropBelow: pascalsDifference(900) })).toThrow(/measured drop/);
    expect(() => chooseBore(bare, { idleResolutionBelow: 0.01 })).toThrow(/resolution/);
  });
});
