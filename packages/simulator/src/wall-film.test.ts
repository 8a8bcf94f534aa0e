import { describe, expect, it } from "vitest";
import { compensate, wetWall } from "./wall-film.js";

const [X, TAU, STEP] = [0.3, 0.5, 0.01];

describe("wetWall", () => {
  it("passes everything on in the steady state", () => {
    expect(wetWall(X * 2 * TAU, 2, X, TAU, STEP).delivered).toBeCloseTo(2, 12);
  });

  it("goes lean after a tip-in and rich after a lift, fading with the film's time", () => {
    for (const [before, after] of [
      [1, 2],
      [2, 1],
    ] as const) {
      let film = X * before * TAU;
      const delivered: number[] = [];
      for (let i = 0; i < 200; i++) {
        const next = wetWall(film, after, X, TAU, STEP);
        film = next.film;
        delivered.push(next.delivered);
      }
      // Closed form: what is missing is X (after - before) exp(-t/tau); the step's mean lies half a step in.
      const missing = (t: number): number => X * (after - before) * Math.exp(-t / TAU);
      expect(after - delivered[0]!).toBeCloseTo(missing(0.005), 4);
      expect(after - delivered[50]!).toBeCloseTo(missing(0.505), 4);
    }
  });

  it("keeps the fuel: injected is delivered and stored", () => {
    let film = 0;
    let injected = 0;
    let delivered = 0;
    for (let i = 0; i < 500; i++) {
      const rate = 1 + Math.sin(i / 9);
      const next = wetWall(film, rate, X, TAU, STEP);
      film = next.film;
      injected += rate * STEP;
      delivered += next.delivered * STEP;
    }
    expect(injected - delivered - film).toBeCloseTo(0, 12);
  });

  it("is undone by a compensation that knows it", () => {
    let film = X * TAU;
    let believed = X * TAU;
    for (let i = 0; i < 300; i++) {
      const wanted = 1.5 + Math.sin(i / 40);
      const rate = compensate(wanted, believed, X, TAU);
      const next = wetWall(film, rate, X, TAU, STEP);
      believed = wetWall(believed, rate, X, TAU, STEP).film;
      film = next.film;
      // Exact but for the half step between the film at its start and over it.
      expect(Math.abs(next.delivered / wanted - 1)).toBeLessThan(0.02);
    }
  });
});
