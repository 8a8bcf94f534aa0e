import { type Figure, planAccount, toMarkdown } from "bellmouth/account";
import type { AnyResult, DecisionResult, RestrictionResult, TrialOutcome } from "bellmouth/stage";
import { describe, expect, it } from "vitest";
import {
  demoDecision,
  demoDrive,
  demoPlan,
  demoRefinement,
  demoRestriction,
  demoTrial,
  wholeMeterPlan,
} from "../../../tests/support/results.js";
import { reportFigures, reportPage, resultFigures } from "./report.js";
import { figureSvg } from "./standalone.js";

const plan = demoPlan();
const restriction = demoRestriction();
const trial = demoTrial();
const single = demoTrial("single-pair");
const decision = demoDecision();
const refinement = demoRefinement();
const drive = await demoDrive();
const every: readonly (readonly [string, AnyResult])[] = [
  ["plan", plan],
  ["restriction", restriction],
  ["trial", trial],
  ["single pair", single],
  ["decision", decision],
  ["refinement", refinement],
  ["drive", drive],
];

const figureOf = (result: AnyResult, id: string): Figure => {
  const found = resultFigures(result).find((figure) => figure.id === id);
  if (found === undefined) throw new Error(`no figure ${id}`);
  return found;
};
const column = (figure: Figure, name: string): readonly number[] => {
  const found = figure.data.find((one) => one.name === name);
  if (found === undefined || !("values" in found)) {
    throw new Error(`no column ${name} among ${figure.data.map((one) => one.name).join(", ")}`);
  }
  return found.values;
};

describe.each(every)("every picture of a %s", (_, result) => {
  const figures = resultFigures(result);

  it("has words with figures, and a table whose columns are of one length", () => {
    expect(figures.length).toBeGreaterThanOrEqual(3);
    for (const figure of figures) {
      expect(figure.words, figure.id).toMatch(/\d|cannot be known/);
      const lengths = figure.data.map((one) => ("text" in one ? one.text : one.values).length);
      expect(new Set(lengths).size, figure.id).toBe(1);
      expect(lengths[0], figure.id).toBeGreaterThan(0);
      expect(new Set(figure.data.map((one) => one.name)).size, figure.id).toBe(figure.data.length);
    }
  });

  it("holds no number that is none, on the page and alone", () => {
    for (const figure of figures)
      expect(figureSvg(figure), figure.id).not.toMatch(/NaN|undefined|Infinity|null/);
    expect(reportPage([result])).not.toMatch(/NaN|undefined|Infinity/);
  });
});

// The international pound-force per square inch in pascals: NIST SP 811 (2008), appendix B.8.
const PSI = 6894.757;
// And the horsepower of 550 ft lbf/s in watts, same source.
const HORSEPOWER = 745.6999;

describe("a donor's meter fitted whole", () => {
  it("is not set against scaling by area, since nothing was rescaled", () => {
    const ids = (result: AnyResult) => resultFigures(result).map(({ id }) => id);
    const whole = wholeMeterPlan();
    expect(ids(plan)).toContain("plan-area-only");
    expect(ids(whole)).not.toContain("plan-area-only");
    expect(toMarkdown(planAccount(plan))).toContain("rescaled by the ratio of open areas, 1.166");
    expect(toMarkdown(planAccount(whole))).toContain("nothing was rescaled");
  });
});

describe("a restriction budget", () => {
  const psi: RestrictionResult = { ...restriction, units: { pressure: "psi", flow: "g/s" } };

  it("tells drops in the unit asked for, and shares that make a whole", () => {
    const figure = figureOf(psi, "restriction-shares");
    const drops = column(figure, "drop [psi]");
    restriction.budget.elements.forEach((element, i) => {
      expect(drops[i]).toBeCloseTo(element.drop.value / PSI, 6);
    });
    const shares = column(figure, "share [%]");
    expect(shares.reduce((a, b) => a + b, 0)).toBeCloseTo(100, 6);
    const [from, to] = [column(figure, "share from [%]"), column(figure, "share to [%]")];
    shares.forEach((share, i) => {
      expect(from[i]).toBeLessThan(share);
      expect(to[i]).toBeGreaterThan(share);
    });
  });

  it("stacks parts to the whole at peak, which its words name", () => {
    const figure = figureOf(restriction, "restriction-drops");
    if (figure.picture.kind !== "stack") throw new Error("not stacked");
    const { rows } = figure.picture.spec;
    const top = rows.at(-1)?.values ?? [];
    expect(top.reduce((a, b) => a + b, 0)).toBeCloseTo(restriction.budget.total.value, 3);
    restriction.budget.elements.forEach((element, j) => {
      expect(top[j]).toBeCloseTo(element.drop.value, 3);
      expect(figure.words).toContain(element.name);
    });
    // The law goes through the origin.
    expect(rows[0]).toEqual({ x: 0, values: restriction.budget.elements.map(() => 0) });
  });

  it("draws changes with their intervals", () => {
    const figure = figureOf(restriction, "restriction-changes");
    if (figure.picture.kind !== "bars") throw new Error("no bars");
    const bars = figure.picture.spec.groups.flatMap((group) => group.bars);
    restriction.changes.forEach(({ rise }, i) => {
      expect(bars[i]).toMatchObject({ value: rise.value, low: rise.from, high: rise.to });
    });
    expect(figure.words).toContain("same engine speed");
  });

  it("leaves K out where no area is known, and the changes where none were asked", () => {
    const elements = restriction.budget.elements.map((element) => ({ ...element, k: null }));
    const bare = { ...restriction, changes: [], budget: { ...restriction.budget, elements } };
    expect(resultFigures(bare).map((figure) => figure.id)).toEqual([
      "restriction-shares",
      "restriction-drops",
      "restriction-readings",
    ]);
  });
});

describe("a trial", () => {
  it("shows both sides: less drop after a rise, warmer air after a rise", () => {
    for (const [result, id, unit, sign] of [
      [trial.pressure, "trial-pressure-levels", "Pa", -1],
      [trial.temperature, "trial-intake-air-levels", "K", 1],
    ] as const) {
      const figure = figureOf(trial, id);
      const [before, after] = [column(figure, `before [${unit}]`), column(figure, `after [${unit}]`)];
      result?.points.forEach((point, i) => {
        expect((after[i] ?? 0) - (before[i] ?? 0)).toBeCloseTo(sign * (point.effect ?? Number.NaN), 6);
      });
    }
  });

  it("keeps an interval around its value on both pictures", () => {
    for (const id of ["trial-pressure-levels", "trial-pressure-effect", "trial-intake-air-levels"]) {
      const { picture } = figureOf(trial, id);
      if (picture.kind !== "chart") throw new Error("no chart");
      const ranges = picture.spec.series.filter((series) => series.kind === "ranges");
      expect(ranges).toHaveLength(1);
      for (const point of ranges[0]?.points ?? []) {
        expect(point.low).toBeLessThan(point.y);
        expect(point.high).toBeGreaterThan(point.y);
      }
    }
  });

  it("tells the pooled effect in the document's unit, and what could have been seen", () => {
    const psi: TrialOutcome = { ...trial, units: { ...trial.units, pressure: "psi" } };
    const figure = figureOf(psi, "trial-pressure-effect");
    const effect = (trial.pressure?.pooled.effect ?? 0) / PSI;
    expect(column(figure, "difference [psi]").at(-1)).toBeCloseTo(effect, 7);
    expect(figure.words).toContain(`${effect.toPrecision(3)} psi`);
    expect(figure.words).toContain(`${((trial.pressure?.detectable ?? 0) / PSI).toPrecision(2)} psi`);
  });

  it("is worth power in the document's unit", () => {
    const hp: TrialOutcome = { ...trial, units: { ...trial.units, power: "hp" } };
    const [all] = column(figureOf(hp, "trial-power"), "gain [hp]");
    expect(all).toBeCloseTo((trial.gain?.gain.value ?? 0) / HORSEPOWER, 5);
  });

  it("of a single pair says what it cannot know", () => {
    expect(figureOf(single, "trial-pressure-order").words).toMatch(/cannot be known/);
    expect(reportPage([single])).toMatch(/cannot know three things/);
  });

  it("without an interval shows readings, not results", () => {
    const pressure = single.pressure;
    if (pressure === null) throw new Error("no pressures");
    const bare: TrialOutcome = {
      ...single,
      pressure: {
        ...pressure,
        pooled: { ...pressure.pooled, estimate: null },
        points: pressure.points.map((point) => ({ ...point, estimate: null })),
        detectable: null,
        runSd: null,
      },
    };
    const figure = figureOf(bare, "trial-pressure-effect");
    expect(figure.words).toContain("nothing judges that number");
    if (figure.picture.kind !== "chart") throw new Error("no chart");
    expect(figure.picture.spec.series.map((series) => series.kind)).toEqual(["line", "points"]);
    const markup = reportPage([bare]);
    expect(markup).toContain("Cannot tell");
    expect(markup).not.toMatch(/NaN|undefined/);
  });
});

describe("a decision", () => {
  it("adds up: together is parts and work, less what is shared", () => {
    const figure = figureOf(decision, "decision-cost");
    const [parts, work, all, saved] = [
      "parts [EUR]",
      "work [EUR]",
      "in all [EUR]",
      "saved by sharing [EUR]",
    ].map((name) => column(figure, name));
    // The document's own costs: 240 + 420, 890 + 770, and the dyno session of 420 paid once.
    expect(all).toEqual([660, 1660, 1900]);
    expect(saved).toEqual([0, 0, 420]);
    all?.forEach((total, i) => {
      expect(total).toBe((parts?.[i] ?? 0) + (work?.[i] ?? 0));
    });
    expect(figure.words).toContain("420 EUR less");
  });

  it("costs a kW as the document's numbers say, and a hp where it counts in hp", () => {
    expect(column(figureOf(decision, "decision-rate"), "per kW [EUR]")[0]).toBeCloseTo(660 / 1, 6);
    expect(column(figureOf(decision, "decision-rate"), "per hp [EUR]")[0]).toBeCloseTo(
      (660 * HORSEPOWER) / 1000,
      3,
    );
    const hp: DecisionResult = { ...decision, units: { ...decision.units, power: "hp" } };
    expect(figureOf(hp, "decision-rate").title).toBe("What one hp costs");
  });

  it("says that a cost has no upper limit, that a gain is unknown, and that headroom runs out", () => {
    const [first, second, third] = decision.table.rows;
    if (first?.perKilowatt == null || second === undefined || third === undefined) throw new Error("rows");
    const rows = [
      { ...first, perKilowatt: { ...first.perKilowatt, to: null } },
      { ...second, gain: null, perKilowatt: null, perHorsepower: null, flags: ["gain unknown" as const] },
      third,
    ];
    const open: DecisionResult = { ...decision, table: { ...decision.table, rows } };
    expect(figureOf(open, "decision-rate").words).toContain("no limit");
    expect(figureOf(open, "decision-gain").words).toContain("Nobody has measured or reckoned cams");
    expect(figureOf(decision, "decision-headroom").words).toContain("23.0 g/s past the end");
    expect(reportPage([open])).not.toMatch(/NaN|undefined|null/);
  });

  it("shows its own cautions, and no advice against the law", () => {
    const markup = reportPage([decision]);
    for (const caution of decision.table.cautions) expect(markup).toContain(caution.slice(0, 60));
    expect(markup).toContain("No row here is advice to go against it.");
  });
});

describe("a simulated drive", () => {
  it("shows the log in stretches that hold their mean, and the table against the truth", () => {
    const airflow = figureOf(drive, "drive-airflow");
    const [low, mean, high] = ["lowest", "mean", "highest"].map((name) => column(airflow, `${name} [g/s]`));
    expect(mean?.length).toBe(150);
    mean?.forEach((value, i) => {
      expect(low?.[i] ?? 0).toBeLessThanOrEqual(value * (1 + 1e-4));
      expect(high?.[i] ?? 0).toBeGreaterThanOrEqual(value * (1 - 1e-4));
    });
    expect(Math.max(...(high ?? []))).toBeCloseTo(1000 * drive.peakFlow, 1);
    const table = figureOf(drive, "drive-table");
    const [truth, held] = [column(table, "truth [g/s]"), column(table, "table [g/s]")];
    const squares = truth.flatMap((flow, i) => {
      const error = Math.log((held[i] ?? Number.NaN) / flow);
      return Number.isNaN(error) ? [] : [error ** 2];
    });
    const rms = Math.sqrt(squares.reduce((a, b) => a + b, 0) / squares.length);
    expect(rms).toBeCloseTo(drive.tableError, 9);
    // The order asks for a table that is 5 % off.
    expect(rms).toBeCloseTo(0.05, 6);
  });
});

describe("several results on one page", () => {
  const all = [plan, restriction, trial, single, decision, refinement, drive];
  const markup = reportPage(all);
  const found = (pattern: RegExp): string[] => [...markup.matchAll(pattern)].map((match) => match[1] ?? "");

  it("have ids and headings of their own", () => {
    const ids = found(/ id="([^"]+)"/g);
    expect(new Set(ids).size).toBe(ids.length);
    const headings = found(/<h[1-3][^>]*>(.*?)<\/h[1-3]>/g);
    expect(new Set(headings).size).toBe(headings.length);
    expect(headings.length).toBeGreaterThan(40);
    // What is referred to is there: contents, labels of pictures and of sections.
    for (const target of found(/ href="#([^"]+)"/g)) expect(ids).toContain(target);
    for (const labels of found(/ aria-labelledby="([^"]+)"/g)) {
      for (const label of labels.split(" ")) expect(ids).toContain(label);
    }
  });

  it("have one main heading, one set of cautions, and regions of different names", () => {
    expect(found(/<(h1)>/g)).toHaveLength(1);
    expect(found(/id="(cautions)"/g)).toHaveLength(1);
    const regions = found(/role="region" aria-label="([^"]+)"/g);
    expect(new Set(regions).size).toBe(regions.length);
    // Every picture twice: for a column and for a phone.
    expect(markup.length).toBeLessThan(700_000);
  });

  it("number two of a kind, and can be given a heading", () => {
    const ids = reportFigures([trial, single]).map((figure) => figure.id);
    expect(ids).toContain("trial-1-pressure-effect");
    expect(ids).toContain("trial-2-pressure-effect");
    expect(new Set(ids).size).toBe(ids.length);
    expect(reportPage([trial], { title: "Ours & <theirs>" })).toContain("<h1>Ours &amp; &lt;theirs&gt;</h1>");
  });
});
