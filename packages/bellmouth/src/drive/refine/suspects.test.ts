import { describe, expect, it } from "vitest";
import { openingFlow } from "./suspects.js";

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
