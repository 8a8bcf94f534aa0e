import { describe, expect, it } from "vitest";
import { celsius, gramsPerSecond, metres, mm, mm2, squareMetres } from "../units/index.js";
import {
  checkHousing,
  type Housing,
  housingReynolds,
  hydraulicDiameter,
  openArea,
  sectionArea,
} from "./housing.js";

const exact = <T extends number>(value: T): { value: T; u: number } => ({ value, u: 0 });
const round: Housing = {
  section: { shape: "round", bore: exact(mm(70)) },
  blockage: exact(mm2(300)),
  element: { from: 0, to: 0.2 },
  run: { value: mm(40), u: mm(10) },
  upstream: "bellmouth",
  step: mm(0),
};

describe("a housing's sizes", () => {
  it("round", () => {
    expect(sectionArea(round.section)).toBeCloseTo(0.003848451, 9);
    expect(openArea(round)).toBeCloseTo(0.003548451, 9);
    expect(hydraulicDiameter(round.section)).toBeCloseTo(0.07, 15);
  });
  it("rectangle: four areas over the perimeter", () => {
    const section = { shape: "rectangle", width: exact(mm(80)), height: exact(mm(60)) } as const;
    expect(sectionArea(section)).toBeCloseTo(0.0048, 12);
    expect(hydraulicDiameter(section)).toBeCloseTo(0.0192 / 0.28, 12);
  });
  it("other: a circle given by its area and perimeter is the circle", () => {
    const section = {
      shape: "other",
      area: exact(squareMetres((Math.PI * 0.07 ** 2) / 4)),
      perimeter: exact(metres(Math.PI * 0.07)),
    } as const;
    expect(hydraulicDiameter(section)).toBeCloseTo(0.07, 12);
    expect(checkHousing({ ...round, section }).section).toBe(section);
  });
  it("Reynolds number of a round duct is 4 m / (pi mu D)", () => {
    const re = housingReynolds(round.section, gramsPerSecond(100), celsius(20));
    expect(re).toBeCloseTo((4 * 0.1) / (Math.PI * 1.82057e-5 * 0.07), -1);
  });
});

describe("checkHousing refuses", () => {
  const bore = (value: number, u = 0): Housing => ({
    ...round,
    section: { shape: "round", bore: { value: metres(value), u } },
  });
  it.each([
    ["a bore of zero", bore(0), /section\.bore\.value.*> 0 m/],
    ["a bore of NaN", bore(Number.NaN), /section\.bore\.value/],
    ["a negative uncertainty", bore(0.07, -1e-5), /section\.bore\.u/],
    [
      "a missing bore",
      { ...round, section: { shape: "round" } } as unknown as Housing,
      /section\.bore\.value/,
    ],
    [
      "an unknown shape",
      { ...round, section: { shape: "oval" } } as unknown as Housing,
      /round, rectangle, other/,
    ],
    ["a probe that fills the duct", { ...round, blockage: exact(mm2(3849)) }, /probe fills the duct/],
    ["an element past the wall", { ...round, element: { from: 0, to: 1.1 } }, /element\.to/],
    ["an element all on the wall", { ...round, element: { from: 1, to: 1 } }, /element\.from/],
    ["an element from outside in", { ...round, element: { from: 0.5, to: 0.2 } }, /element\.to/],
    [
      "N15: an element in the wall layer, with the reason",
      { ...round, element: { from: 0, to: 0.75 } },
      /wall layer.*0\.75.*within 0\.7/s,
    ],
    ["a run of zero", { ...round, run: { value: mm(0), u: 0 } }, /run\.value/],
    ["a run of metres for millimetres", { ...round, run: { value: metres(45), u: 0 } }, /run.*developed/],
    [
      "no word on what is ahead",
      { ...round, upstream: undefined } as unknown as Housing,
      /upstream.*unknown/s,
    ],
    ["an elbow alone", { ...round, upstream: "elbow" } as unknown as Housing, /ductBefore/],
    ["a step as high as the bore", { ...round, step: mm(70) }, /step/],
    [
      "a step in a developed flow",
      { ...round, run: "developed" as const, step: mm(1) },
      /wall layer.*joint|joint.*wall layer/s,
    ],
    ["a loss without a plane", { ...round, loss: { value: 2, u: 0.5 } }, /loss/],
    [
      "a perimeter no shape of that area can have",
      {
        ...round,
        section: { shape: "other", area: exact(squareMetres(0.004)), perimeter: exact(metres(0.2)) },
      } as Housing,
      /section\.perimeter\.value/,
    ],
  ])("%s", (_, housing, message) => {
    expect(() => checkHousing(housing)).toThrow(message);
  });
});
