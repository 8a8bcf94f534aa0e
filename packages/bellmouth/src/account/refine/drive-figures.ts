import type { RefineReport } from "../../stage/index.js";
import { between, figure, percent } from "../../text/index.js";
import type { Figure } from "../picture.js";
import { toUnit } from "../to-unit.js";

/** How much of each drive counted, and why the rest did not. */
export function usedFigure(report: RefineReport): Figure {
  const { drives } = report.refinement;
  const share = (count: number, rows: number): number => (rows > 0 ? (100 * count) / rows : 0);
  return {
    id: "used",
    title: "What of the drives counted",
    words: drives
      .map((drive) =>
        drive.refused === null
          ? `${drive.name}: ${percent(drive.gates.used / Math.max(1, drive.gates.rows), 2)} of ${figure(drive.seconds / 60, 2)} min counted, worth ${figure(drive.effective, 2)} independent samples.`
          : `${drive.name} was not used. ${drive.refused.text}`,
      )
      .join(" "),
    picture: {
      kind: "bars",
      spec: {
        label: "share of the rows [%]",
        groups: drives.map((drive) => ({
          name: drive.name,
          bars: [
            {
              name: "used",
              value: share(drive.gates.used, drive.gates.rows),
              text: `used ${figure(share(drive.gates.used, drive.gates.rows), 2)} %`,
              tone: "new" as const,
            },
            ...Object.entries(drive.gates.left).map(([reason, count]) => ({
              name: "left out",
              value: share(count, drive.gates.rows),
              text: `${reason} ${figure(share(count, drive.gates.rows), 2)} %`,
              tone: "old" as const,
            })),
          ],
        })),
      },
    },
    data: [
      { name: "drive", text: drives.map((drive) => drive.name) },
      { name: "length [s]", values: drives.map((drive) => drive.seconds), digits: 4 },
      {
        name: "rows used [%]",
        values: drives.map((drive) => share(drive.gates.used, drive.gates.rows)),
        digits: 3,
      },
      { name: "independent samples", values: drives.map((drive) => Math.round(drive.effective)) },
      {
        name: "delay [s]",
        values: drives.map((drive) => drive.delay?.value ?? Number.NaN),
        digits: 3,
      },
      {
        name: "left out",
        text: drives.map((drive) =>
          drive.refused === null
            ? Object.entries(drive.gates.left)
                .map(([reason, count]) => `${reason} ${figure(share(count, drive.gates.rows), 2)} %`)
                .join(", ")
            : drive.refused.text,
        ),
      },
    ],
  };
}

/** Where some steady time would narrow the table most. */
export function adviceFigure(report: RefineReport): Figure {
  const flow = toUnit(report.units.flow, "mass flow");
  const { next } = report.refinement;
  const seconds = next[0]?.seconds ?? 20;
  const where = (one: (typeof next)[number]): string =>
    `${between(flow(one.flow[0]), flow(one.flow[1]))} ${report.units.flow}`;
  const how = (one: (typeof next)[number]): string =>
    one.speed === null || one.pressureRatio === null
      ? ""
      : `, for example ${between(60 * one.speed[0], 60 * one.speed[1])} rpm with the manifold at ${between(100 * one.pressureRatio[0], 100 * one.pressureRatio[1], 2)} % of outside pressure`;
  return {
    id: "next",
    title: "Where to drive next",
    words: `${seconds} s of steady driving at each would narrow the table most: ${next.map((one) => `${where(one)}${how(one)}`).join("; ")}.`,
    picture: {
      kind: "bars",
      spec: {
        label: "half width of the 95 % interval [%]",
        groups: next.map((one) => ({
          name: where(one),
          bars: [
            {
              name: "now",
              value: 196 * one.uNow,
              text: `now ${figure(196 * one.uNow, 2)} %`,
              tone: "old" as const,
            },
            {
              name: "after",
              value: 196 * one.uAfter,
              text: `after ${seconds} s there ${figure(196 * one.uAfter, 2)} %`,
              tone: "new" as const,
            },
          ],
        })),
      },
    },
    data: [
      { name: `from [${report.units.flow}]`, values: next.map((one) => flow(one.flow[0])) },
      { name: `to [${report.units.flow}]`, values: next.map((one) => flow(one.flow[1])) },
      {
        name: "engine speed from [rpm]",
        values: next.map((one) => 60 * (one.speed?.[0] ?? Number.NaN)),
        digits: 4,
      },
      {
        name: "engine speed to [rpm]",
        values: next.map((one) => 60 * (one.speed?.[1] ?? Number.NaN)),
        digits: 4,
      },
      {
        name: "manifold over outside from [%]",
        values: next.map((one) => 100 * (one.pressureRatio?.[0] ?? Number.NaN)),
        digits: 3,
      },
      {
        name: "manifold over outside to [%]",
        values: next.map((one) => 100 * (one.pressureRatio?.[1] ?? Number.NaN)),
        digits: 3,
      },
      { name: "half width now [%]", values: next.map((one) => 196 * one.uNow), digits: 3 },
      { name: "half width after [%]", values: next.map((one) => 196 * one.uAfter), digits: 3 },
    ],
  };
}
