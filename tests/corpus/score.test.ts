import { describe, expect, it } from "vitest";
import { makeCrossing } from "./crossing.js";
import { namedFiles } from "./named.js";
import { oracle } from "./oracle.js";
import type { ReaderResult } from "./reading.js";
import { type Outcome, scoreReading, totals } from "./score.js";

const files = namedFiles();
const named = (name: string) => files.find((f) => f.name === name)!;
const outcomes = (name: string, change: (r: ReaderResult) => ReaderResult): readonly Outcome[] => {
  const file = named(name);
  return scoreReading(file, change(oracle(file))).map((s) => s.outcome);
};

describe("the scorer", () => {
  it("finds nothing wrong with a reader without a fault", () => {
    const all = [...files, ...Array.from({ length: 100 }, (_, i) => makeCrossing(i))];
    const sum = totals(all.map((f) => scoreReading(f, oracle(f))));
    expect(sum.filesRight).toBe(all.length);
    expect(sum["asked rightly"]).toBeGreaterThan(50);
  });

  it("tells a value that is off in its last digit", () => {
    const found = outcomes("brackets", (r) => ({
      ...r,
      used: r.used.map((u) =>
        u.channel === "airflow" ? { ...u, values: u.values.map((v) => v * (1 + 1e-6)) } : u,
      ),
    }));
    expect(found.filter((o) => o === "wrong value")).toHaveLength(1);
  });

  it("tells another channel, a silent drop, a drop with a reason, a needless question, a guess, a crash", () => {
    expect(
      outcomes("brackets", (r) => ({
        ...r,
        used: r.used.map((u) => (u.channel === "coolant" ? { ...u, channel: "intake air" } : u)),
      })),
    ).toContain("wrong value");
    expect(outcomes("brackets", (r) => ({ ...r, used: r.used.slice(1) }))).toContain("silent drop");
    expect(
      outcomes("brackets", (r) => ({ ...r, used: r.used.slice(1), ignored: [{ column: 0, text: "no" }] })),
    ).toContain("told but dropped");
    expect(
      outcomes("brackets", (r) => ({
        ...r,
        asked: [
          { column: "Airflow [g/s]", text: "?" },
          { column: 2, text: "?" },
        ],
      })),
    ).toContain("needless question");
    const open = named("AFR without scale");
    const guess = { ...oracle(open), asked: [], used: open.truth.map((t, column) => ({ ...t, column })) };
    expect(scoreReading(open, guess).map((s) => s.outcome)).toContain("guessed");
    expect(outcomes("brackets", (r) => ({ ...r, crashed: "TypeError" })).every((o) => o === "crash")).toBe(
      true,
    );
    expect(
      outcomes("brackets", (r) => ({ ...r, used: [], refused: "no" })).every((o) => o === "refused"),
    ).toBe(true);
  });

  it("tells an impossible sample and a cut number that are read, and values that vanish in silence", () => {
    for (const name of ["impossible samples", "last line cut"]) {
      const file = named(name);
      const read = {
        ...oracle(file),
        used: oracle(file).used.map((u) => ({
          ...u,
          values: u.values.map((v) => (Number.isNaN(v) ? 1 : v)),
        })),
      };
      expect(
        scoreReading(file, read).map((s) => s.outcome),
        name,
      ).toContain("wrong value");
    }
    const thin = (r: ReaderResult): ReaderResult => ({
      ...r,
      used: r.used.map((u) => ({ ...u, values: u.values.map((v, i) => (i === 7 ? Number.NaN : v)) })),
    });
    expect(outcomes("brackets", thin)).toContain("wrong value");
    expect(
      outcomes("brackets", (r) => ({
        ...thin(r),
        findings: r.used.map((u) => `${u.channel}: 1 set missing`),
      })),
    ).not.toContain("wrong value");
  });

  it("tells drives that were joined end to end, and a pace that was told and not used", () => {
    expect(outcomes("drivers in one file", (r) => ({ ...r, drives: 1 }))).toContain("silent drop");
    expect(
      outcomes("no time, pace told", (r) => ({ ...r, used: r.used.filter((u) => u.channel !== "time") })),
    ).toContain("silent drop");
  });
});
