import { linearLeastSquares, seededRandom } from "bellmouth/fit";
import {
  chooseTransferLaw,
  evaluateLaw,
  fitTransferLaw,
  type HeatedWireLaw,
  heatedWireNusselt,
  wireHeatTransfer,
} from "bellmouth/sensor";
import { describe, expect, it } from "vitest";
import { accuracy } from "../support/accuracy.js";
import { dataCsv, dataJson } from "../support/data.js";

const area = "Transfer law";
const relative = (found: number, expected: number): number => Math.abs(found / expected - 1);

describe("King's law, round trip", () => {
  const rows = dataCsv("reference/04c-kings-law-synthetic.csv");
  const points = rows.map((row) => ({
    flow: Number(row["U_m_s"]),
    signal: Number(row["E_V (A=1.85 B=0.92 n=0.45 exactly, E^2=A+B*U^n)"]),
  }));
  it("finds A, B and n again", () => {
    expect(points).toHaveLength(12);
    const law = fitTransferLaw(points, { form: "king" });
    expect(law.status).toBe("converged");
    if (law.curve.form !== "king") throw new Error("another form");
    const { a, b, n } = law.curve;
    accuracy({
      id: "law-king-round-trip",
      area,
      what: "A, B and n of King's law from twelve exact points",
      evidence: "closed form",
      source: "E^2 = 1.85 + 0.92 U^0.45, points to nine decimals",
      compared: 3,
      measured: Math.max(relative(a, 1.85), relative(b, 0.92), relative(n, 0.45)),
      limit: 1e-6,
      unit: "relative, worst",
    });
  });
  it("is chosen among the forms, within and past its points", () => {
    for (const use of ["within", "above", "below"] as const) {
      const { law, tried } = chooseTransferLaw(points, { use });
      expect(law.curve.form).toBe("king");
      expect(tried[0]?.leaveOneOut).toBeLessThan(1e-6);
      expect(law.rivals).toEqual([]);
    }
    const { law } = chooseTransferLaw(points.slice(0, 8), { use: "above" });
    // Twice the flow of the last point seen and more.
    for (const point of points.slice(9)) {
      expect(relative(evaluateLaw(law, point.signal).flow, point.flow)).toBeLessThan(1e-6);
    }
  });
});

describe("heat from a wire", () => {
  it.each([
    ["king", "Nu_King1914", "L. V. King 1914"],
    ["kramers", "Nu_Kramers1946_Pr^(1/3)", "H. A. Kramers 1946"],
    ["churchill-bernstein", "Nu_ChurchillBernstein1977", "Churchill and Bernstein 1977"],
  ] as [HeatedWireLaw, string, string][])("%s", (law, column, source) => {
    const rows = dataCsv("reference/04b-cylinder-heat-transfer-laws.csv");
    accuracy({
      id: `law-nusselt-${law}`,
      area,
      what: `Nusselt number of a cylinder, ${law}`,
      evidence: law === "churchill-bernstein" ? "published values" : "closed form",
      source:
        law === "churchill-bernstein"
          ? `${source}; Incropera, Fundamentals of Heat and Mass Transfer, example 7.3`
          : `${source}; form from memory, recomputed`,
      compared: rows.length,
      measured: Math.max(
        ...rows.map((row) =>
          relative(
            heatedWireNusselt(law, { reynolds: Number(row["Re"]), prandtl: Number(row["Pr"]), filmRatio: 1 }),
            Number(row[column]),
          ),
        ),
      ),
      limit: 1e-6,
      unit: "relative, worst",
    });
  });
  it("collis-williams", () => {
    const rows = dataCsv("reference/04a-collis-williams-1959.csv");
    accuracy({
      id: "law-nusselt-collis-williams",
      area,
      what: "Nusselt number of a hot wire in air, Collis and Williams",
      evidence: "closed form",
      source:
        "D. C. Collis, M. J. Williams, J. Fluid Mech. 6 (1959) 357, table 3 (form read, coefficients from memory)",
      compared: rows.length,
      measured: Math.max(
        ...rows.map((row) =>
          relative(
            heatedWireNusselt("collis-williams", {
              reynolds: Number(row["Re_film"]),
              prandtl: 0.7,
              filmRatio: Number(row["Tm_over_Tinf"]),
            }),
            Number(row["Nu"]),
          ),
        ),
      ),
      limit: 1e-5,
      unit: "relative, worst",
    });
  });
  it("textbook wire", () => {
    const problem = dataJson<{
      given: Record<"L_m" | "D_m" | "V_drop_V" | "I_A" | "Ts_C" | "Tinf_C", number>;
      h_W_m2K: number;
      U_m_s: number;
    }>("reference/04d-hotwire-textbook-problem.json");
    const { given } = problem;
    const h = wireHeatTransfer({
      power: given.V_drop_V * given.I_A,
      diameter: given.D_m,
      length: given.L_m,
      excess: given.Ts_C - given.Tinf_C,
    });
    accuracy({
      id: "law-textbook-wire",
      area,
      what: "heat transfer coefficient and air speed of a textbook hot wire",
      evidence: "published values",
      source: "Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, 6th ed., problem 1.17",
      compared: 2,
      measured: Math.max(relative(h, problem.h_W_m2K), relative(6.25e-5 * h * h, problem.U_m_s)),
      limit: 1e-4,
      unit: "relative, worst",
    });
  });
  it("gives the exponents that a fit finds again", () => {
    // The theory behind the form: a wire by King's own law has n = 1/2, whatever its constants.
    const points = [10, 20, 50, 100, 200, 500].map((reynolds) => ({
      flow: reynolds,
      signal: Math.sqrt(heatedWireNusselt("king", { reynolds, prandtl: 0.7, filmRatio: 1 })),
    }));
    const law = fitTransferLaw(points, { form: "king" });
    if (law.curve.form !== "king") throw new Error("another form");
    expect(relative(law.curve.n, 0.5)).toBeLessThan(1e-8);
    expect(relative(law.curve.a, 1 / Math.PI)).toBeLessThan(1e-6);
  });
});

describe("made-up meters", () => {
  // Fourteen points a meter, the truth known, 1 % of noise; seeds fixed.
  const noise = 0.01;
  const signals = Array.from({ length: 14 }, (_, i) => 1 + 0.28 * i);
  const king = (signal: number): number => ((signal * signal - 0.6) / 0.9) ** (1 / 0.42);
  const drawn = (truth: (signal: number) => number, seed: number) => {
    const random = seededRandom(seed);
    return signals.map((signal) => ({ signal, flow: truth(signal) * Math.exp(noise * random.normal()) }));
  };
  it("the covariance says how far the parameters scatter", () => {
    const laws = Array.from({ length: 400 }, (_, seed) =>
      fitTransferLaw(drawn(king, seed), { form: "king" }),
    );
    const ratios = (["a", "b", "n"] as const).map((name, i) => {
      const values = laws.map(({ curve }) => (curve.form === "king" ? curve[name] : Number.NaN));
      const mean = values.reduce((a, b) => a + b, 0) / values.length;
      const variance = values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (values.length - 1);
      const reported = laws.reduce((sum, law) => sum + (law.covariance[i]?.[i] as number), 0) / laws.length;
      return Math.sqrt(variance / reported);
    });
    accuracy({
      id: "law-covariance",
      area,
      what: "reported standard deviations of A, B and n against their scatter over 400 made-up meters with 1 % noise",
      evidence: "simulation",
      source: "tests/conformance/transfer-law.test.ts, seeds 0 to 399",
      compared: 3 * laws.length,
      measured: Math.max(...ratios.map((ratio) => Math.abs(ratio - 1))),
      limit: 0.1,
      unit: "relative, worst",
    });
  });
  it("the interval holds the truth past the last point, also when no form is the true one", () => {
    // A wire by Churchill and Bernstein with a loss into its holder: none of the fitted forms.
    const wire = (voltage: number): number => {
      let [low, high] = [1e-3, 1e5];
      for (let i = 0; i < 100; i++) {
        const reynolds = Math.sqrt(low * high);
        const nusselt = heatedWireNusselt("churchill-bernstein", { reynolds, prandtl: 0.7, filmRatio: 1 });
        if (0.3 + 0.4 * nusselt < voltage * voltage) low = reynolds;
        else high = reynolds;
      }
      return Math.sqrt(low * high);
    };
    const beyond = [1.05, 1.15, 1.3].map((factor) => factor * (signals[13] as number));
    const asked = [king, wire].flatMap((truth, kind) =>
      Array.from({ length: 60 }, (_, seed) => {
        const { law } = chooseTransferLaw(drawn(truth, 1000 * (kind + 1) + seed), { use: "above" });
        return beyond.map((signal) => {
          const { flow, u } = evaluateLaw(law, signal);
          // An interval can always be made to hold everything: it must stay useful too.
          expect(u).toBeLessThan(0.15);
          return Math.abs(Math.log(flow / truth(signal))) <= 2 * u;
        });
      }).flat(),
    );
    const missed = asked.filter((held) => !held).length;
    accuracy({
      id: "law-extrapolation-simulated",
      area,
      what: "flows 5 to 30 % of signal past the last point of 120 made-up meters that lie outside two standard uncertainties (5 % expected)",
      evidence: "simulation",
      source: "tests/conformance/transfer-law.test.ts, King's law and a wire by Churchill and Bernstein",
      compared: asked.length,
      measured: (100 * missed) / asked.length,
      limit: 5,
      unit: "%",
    });
  });
});

describe("JCGM 100:2008, H.3: calibration of a thermometer by a straight line", () => {
  const set = dataJson<{
    GUM_H3: {
      t: number[];
      b: number[];
      t0: number;
      published: Record<"y1" | "u_y1" | "y2" | "u_y2" | "r" | "s" | "b30" | "u_b30", number>;
    };
  }>("reference/12e-gum-jcgm101.json").GUM_H3;
  it("line, uncertainties, correlation and predicted correction", () => {
    const fit = linearLeastSquares(
      set.t.map((t) => [1, t - set.t0]),
      set.b,
    );
    const c = fit.covariance as readonly (readonly number[])[];
    const [c11, c12, c22] = [c[0]?.[0], c[0]?.[1], c[1]?.[1]] as [number, number, number];
    const [y1, y2] = fit.parameters as [number, number];
    const { published } = set;
    // Each within half a unit of the last digit printed, as a share of that half unit.
    const compared = [
      [y1, published.y1, 1e-4],
      [Math.sqrt(c11), published.u_y1, 1e-4],
      [y2, published.y2, 1e-5],
      [Math.sqrt(c22), published.u_y2, 1e-5],
      [c12 / Math.sqrt(c11 * c22), published.r, 1e-2],
      [fit.residualSd as number, published.s, 1e-4],
      [y1 + y2 * 10, published.b30, 1e-4],
      [Math.sqrt(c11 + 2 * 10 * c12 + 100 * c22), published.u_b30, 1e-4],
    ] as [number, number, number][];
    accuracy({
      id: "fit-gum-h3",
      area: "Least squares",
      what: "GUM example H.3: line, uncertainties, correlation, prediction",
      evidence: "published values",
      source: "JCGM 100:2008, H.3 (digits from memory, data recomputed to the same digits)",
      compared: compared.length,
      measured: Math.max(
        ...compared.map(([found, printed, digit]) => Math.abs(found - printed) / (digit / 2)),
      ),
      limit: 1,
      unit: "half units of the last printed digit, worst",
    });
  });
});
