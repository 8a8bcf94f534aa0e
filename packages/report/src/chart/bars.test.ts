import { describe, expect, it } from "vitest";
import { drawBars } from "./bars.js";

const rects = (markup: string): { readonly x: number; readonly width: number }[] =>
  [...markup.matchAll(/<rect class="bar [a-z]+" x="([\d.-]+)" y="[\d.-]+" width="([\d.-]+)"/g)].map(
    (match) => ({
      x: Number(match[1]),
      width: Number(match[2]),
    }),
  );

const draw = (bars: readonly { value: number; low?: number; high?: number }[]): string =>
  drawBars(
    {
      label: "amount",
      groups: bars.map((bar, i) => ({
        name: `row ${i}`,
        bars: [{ name: "one", text: String(bar.value), tone: "new" as const, ...bar }],
      })),
    },
    { id: "b", title: "Bars", description: "Bars." },
  ).markup;

describe("bars", () => {
  it("are as long as their values, to either side of zero", () => {
    const [a, b, c] = rects(draw([{ value: 30 }, { value: -10 }, { value: 15 }]));
    expect((a?.width ?? 0) / (c?.width ?? 1)).toBeCloseTo(2, 1);
    expect((a?.width ?? 0) / (b?.width ?? 1)).toBeCloseTo(3, 1);
    // What is below zero ends where the others begin.
    expect((b?.x ?? 0) + (b?.width ?? 0)).toBeCloseTo(a?.x ?? 0, 0);
  });

  it("keep their intervals and texts inside the picture", () => {
    const markup = draw([{ value: 5, low: -20, high: 90 }]);
    const xs = [...markup.matchAll(/ x[12]?="([\d.-]+)"/g)].map((match) => Number(match[1]));
    expect(Math.min(...xs)).toBeGreaterThanOrEqual(0);
    expect(Math.max(...xs)).toBeLessThan(560 - 14);
    expect(markup).toContain('class="whisker"');
  });

  it("draw nothing that is no number when all is zero", () => {
    expect(draw([{ value: 0 }])).not.toMatch(/NaN|Infinity/);
  });
});
