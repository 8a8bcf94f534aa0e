import { describe, expect, it } from "vitest";
import { opener, swapText } from "../../../../../tests/support/swap-sample.js";
import { airDensity, airViscosity, chokedMassFlux, meterFlow } from "../../air/index.js";
import { kelvins, mm, pascals, pascalsDifference } from "../../units/index.js";
import { readDocument } from "../document.js";
import { swapDocument } from "./swap-document.js";
import type { Transfer } from "./transfer.js";

const bench = "measured: pairs.csv, by: flow bench, where: bench, reading: 0.3 %, reference: 1 %";
const read = (block: string, pairs: string) => {
  const text = swapText.replace("\n  donor:\n", `\n  transfer: {${block}}\n  donor:\n`);
  return readDocument([swapDocument], text, { file: "swap.yaml", open: opener({ "pairs.csv": pairs }) });
};
const transferOf = (block: string, pairs: string): Transfer => {
  const result = read(block, pairs);
  if (!result.ok) throw new Error(result.faults.map(({ message }) => message).join("\n"));
  return result.document.transfer as Transfer;
};
const faultsOf = (block: string, pairs: string): string => {
  const result = read(block, pairs);
  if (result.ok) throw new Error("accepted");
  return result.faults.map(({ message }) => message).join("\n");
};
const pairs = "signal [kHz],airflow [g/s],day\n4,21,1\n8,95,1\n4,21.4,2\n";

describe("measured pairs of a swap document", () => {
  it("a flow bench: pairs in SI with their day", () => {
    expect(transferOf(bench, pairs)).toEqual({
      pairs: [
        { signal: 4000, flow: 0.021, u: 0.003, day: 1 },
        { signal: 8000, flow: 0.095, u: 0.003, day: 1 },
        { signal: 4000, flow: expect.closeTo(0.0214, 12), u: 0.003, day: 2 },
      ],
      where: "bench",
      reference: 0.01,
      beyond: [],
    });
  });
  it("the present meter in series: flows of its table", () => {
    const told = transferOf(
      "measured: pairs.csv, by: present meter, where: car, reading: 0.3 %, between-days: 1 %",
      "new signal [Hz],old signal [Hz]\n5000,4000\n9000,7500\n",
    );
    // Half way from 20 g/s at 4 kHz to 220 at 11.
    expect(told).toMatchObject({ reference: "present table", betweenDays: 0.01 });
    expect(told.pairs.map(({ flow }) => flow)).toEqual([0.02, expect.closeTo(0.12, 12)]);
  });
  it("a nozzle of ISO 5167: computed, and limits that its readings break are kept", () => {
    const nozzle = "nozzle: {kind: ISA 1932 nozzle, diameter: 100 mm, throat: 60 mm}";
    const told = transferOf(
      `${bench.replace("flow bench", "nozzle")}, between-days: 1 %, ${nozzle}`,
      "signal [Hz],drop [Pa],pressure [kPa absolute],temperature [degC]\n9000,800,99,20\n4000,10,99,20\n",
    );
    const temperature = kelvins(293.15);
    const { massFlow } = meterFlow(
      { kind: "ISA 1932 nozzle", diameter: mm(100), throat: mm(60) },
      {
        upstreamPressure: pascals(99_000),
        drop: pascalsDifference(800),
        density: airDensity({ temperature, pressure: pascals(99_000), relativeHumidity: 0 }),
        viscosity: airViscosity(temperature),
      },
    );
    expect(told.pairs[0]?.flow).toBeCloseTo(massFlow, 12);
    expect(told.beyond).toEqual(["ISA 1932 nozzle: Reynolds number from 20000 to 1e7"]);
  });
  it("a critical nozzle of ISO 9300", () => {
    const told = transferOf(
      `${bench.replace("flow bench", "critical nozzle")}, between-days: 1 %, critical-nozzle: {throat: 12 mm, discharge: 0.985}`,
      "signal [Hz],pressure [kPa absolute],temperature [degC]\n5000,101.325,20\n",
    );
    const flux = chokedMassFlux({
      stagnationPressure: pascals(101_325),
      stagnationTemperature: kelvins(293.15),
    });
    expect(told.pairs[0]?.flow).toBeCloseTo(0.985 * (Math.PI / 4) * 0.012 ** 2 * flux, 12);
  });
  it("N16: one day without a between-day uncertainty is refused at its place", () => {
    const told = faultsOf(bench, "signal [Hz],airflow [g/s]\n4000,21\n");
    expect(told).toMatch(/swap\.yaml:\d+.*one day's pairs.*between-days/s);
  });
  it.each([
    ["no reference", bench.replace(", reference: 1 %", ""), pairs, /'reference' is missing/],
    [
      "a reference beside the present meter",
      bench.replace("flow bench", "present meter"),
      pairs,
      /'reference' does not go with/,
    ],
    [
      "a nozzle beside a bench",
      `${bench}, nozzle: {kind: venturi nozzle, diameter: 9 cm, throat: 5 cm}`,
      pairs,
      /'nozzle' does not go/,
    ],
    ["a certain reading", bench.replace("reading: 0.3 %", "reading: 0 %"), pairs, /no reading is certain/],
    [
      "a signal past the tables",
      bench,
      "signal [Hz],airflow [g/s],day\n40000,21,1\n4000,21,2\n",
      /pairs\.csv:2.*signal/s,
    ],
    ["no flow", bench, "signal [Hz],airflow [g/s],day\n4000,0,1\n4000,21,2\n", /pairs\.csv:2.*airflow/s],
    ["volts for hertz", bench, "signal [V],airflow [g/s],day\n4,20,1\n4,21,2\n", /pairs\.csv:1/],
  ])("%s is refused", (_, block, text, message) => {
    expect(faultsOf(block, text)).toMatch(message);
  });
});
