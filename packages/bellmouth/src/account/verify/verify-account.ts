import type { VerifyResult } from "../../stage/index.js";
import { figure, unitSign } from "../../text/index.js";
import type { Account } from "../account.js";
import { toUnit } from "../to-unit.js";

const ENDS = {
  hold: "holds the end value",
  extend: "carries the end segment on",
  neither: "does neither",
  "not driven": "could not be told",
} as const;

/** What a verified table has to say. */
export function verifyAccount(result: VerifyResult): Account {
  const { cells, ends, units } = result;
  const flow = toUnit(units.flow, "mass flow");
  const signal = toUnit(units.signal, result.signal);
  const wrong = cells.filter((cell) => cell.state === "differs");
  return {
    kind: "verify",
    label: "Verified table",
    title: result.title,
    verdict: {
      level: result.verdict.level,
      words:
        result.verdict.level === "ready"
          ? "The table is in the ECU as meant"
          : result.verdict.level === "do not use"
            ? "The table is not as meant"
            : "Not all of it verified",
      sentence: result.verdict.sentence,
    },
    figures: [
      {
        name: "Cells verified",
        value: `${cells.filter((cell) => cell.state !== "not driven").length} of ${cells.length}`,
        interval: "",
        meaning: `From ${result.used} of ${result.pairs} pairs of signal and reported airflow.`,
      },
      {
        name: "Past the upper end",
        value: ENDS[ends.above],
        interval: "",
        meaning: `Past the lower end: ${ENDS[ends.below]}. The document says ${ends.stated}.`,
      },
    ],
    findings: result.verdict.findings.map(({ level, text }) => ({ level, text })),
    entry:
      wrong.length === 0
        ? []
        : [
            {
              id: "type-again",
              caption: "Cells to type again",
              hint: "Read the cell back first: what the ECU executes is told from the log.",
              columns: [
                { name: "signal", unit: unitSign(units.signal), align: "right" },
                { name: "meant", unit: unitSign(units.flow), align: "right", strong: true },
                { name: "executed", unit: unitSign(units.flow), align: "right" },
                { name: "what was typed", unit: "", align: "left" },
              ],
              rows: wrong.map((cell) => ({
                cells: [
                  figure(signal(cell.signal)),
                  String(Number(flow(cell.meant).toPrecision(7))),
                  figure(flow(cell.executed)),
                  cell.how,
                ],
              })),
              brief: true,
            },
          ],
    lead: [],
    steps: [
      {
        head: "Read back",
        text: "Compare the cells that were not driven with the table on the screen of your calibration program.",
      },
    ],
    stop: null,
    sections: [
      {
        id: "cells",
        title: "All cells",
        text: [],
        figures: [],
        tables: [
          {
            id: "verified-cells",
            caption: "Meant and executed",
            hint: "A difference up to the last column would not have been seen.",
            columns: [
              { name: "signal", unit: unitSign(units.signal), align: "right" },
              { name: "meant", unit: unitSign(units.flow), align: "right" },
              { name: "executed", unit: unitSign(units.flow), align: "right" },
              { name: "state", unit: "", align: "left" },
              { name: "least seen", unit: unitSign(units.flow), align: "right" },
            ],
            rows: cells.map((cell) => ({
              cells: [
                figure(signal(cell.signal)),
                figure(flow(cell.meant)),
                cell.state === "not driven" ? "" : figure(flow(cell.executed)),
                cell.state,
                cell.state === "not driven" ? "" : figure(flow(cell.limit)),
              ],
              ...(cell.state === "not driven" ? { dim: true } : {}),
            })),
          },
        ],
      },
    ],
    cautions: result.cautions,
  };
}
