import { describe, expect, it } from "vitest";
import { openingFlow } from "./cause-columns.js";
import { type Bench, mixed } from "./model.js";
import { lagRecursion, lowPass } from "./transport.js";

describe("flow through a small opening", () => {
  // Closed form for gamma 1.4: choked below 0.5283 (NACA Report 1135); at 0.8 the share is
  // sqrt((0.8^(2/1.4) - 0.8^(2.4/1.4)) / (0.52828^(2/1.4) - 0.52828^(2.4/1.4))), worked by hand to 0.8221.
  it.each([
    [0.2, 1],
    [0.52, 1],
    [1, 0],
  ])("at a pressure ratio of %s is %s", (ratio, share) => {
    expect(openingFlow(ratio)).toBeCloseTo(share, 6);
  });
  it("falls steadily from choked to none", () => {
    const shares = [0.53, 0.6, 0.7, 0.8, 0.9, 0.99].map(openingFlow);
    for (let i = 1; i < shares.length; i++) expect(shares[i]!).toBeLessThan(shares[i - 1]!);
    expect(shares[3]).toBeCloseTo(Math.sqrt((0.8 ** (2 / 1.4) - 0.8 ** (2.4 / 1.4)) / 0.06698), 3);
  });
});

describe("air that was not metered", () => {
  it("counts against the filtered flow: one over a first-order lag when the flow jumps", () => {
    const n = 40;
    const step = 0.05;
    const lag = 0.2;
    const restart = Uint8Array.from({ length: n }, (_, t) => (t === 0 ? 1 : 0));
    const metered = Float64Array.from({ length: n }, (_, t) => (t < 10 ? 0.003 : 0.03));
    const { decay, before, now } = lagRecursion(lag, step);
    const mixing = {
      decay: new Float64Array(n).fill(decay),
      before: new Float64Array(n).fill(before),
      now: new Float64Array(n).fill(now),
    };
    const bench = { timeline: { restart, metered } } as unknown as Bench;
    const leak = 0.0005;
    const seen = mixed(
      bench,
      mixing,
      metered.map((flow) => leak / flow),
    );
    const filtered = lowPass(metered, lag, step, restart);
    for (let t = 0; t < n; t++) expect(seen[t]).toBeCloseTo(leak / filtered[t]!, 12);
  });
});
