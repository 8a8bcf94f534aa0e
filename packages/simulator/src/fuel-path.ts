import type { DriveSpec } from "./drive-spec.js";
import { makeFuelSag } from "./fuel-sag.js";
import type { Random } from "./random.js";
import { STEP, WARM } from "./step.js";
import { compensate, wetWall } from "./wall-film.js";

/**
 * From the fuel the ECU wants to the fuel the cylinders get [kg/s]: film compensation, injectors with their faults, wall
 * film. The film is wetter and slower when cold (common practice, no source).
 */
export function makeFuelPath(spec: DriveSpec, random: Random) {
  const { fuel } = spec.car;
  const { faults } = spec;
  const gain = (faults.injectorGain ?? 1) * Math.sqrt(faults.fuelPressure ?? 1);
  const sag = makeFuelSag(faults.fuelSag);
  let film = Number.NaN;
  let believedFilm = Number.NaN;
  let drift = 0;
  return (input: {
    readonly wantedFuel: number;
    readonly cut: boolean;
    readonly coolant: number;
    readonly engineSpeed: number;
  }): { readonly reached: number; readonly ratio: number } => {
    const { wantedFuel, cut, coolant, engineSpeed } = input;
    const cold = Math.max(0, (WARM - coolant) / 60);
    const fraction = Math.min(0.8, fuel.film.fraction * (1 + 0.9 * cold));
    const time = fuel.film.time * (1 + 0.5 * cold);
    const believed = fraction * fuel.filmCompensation;
    if (Number.isNaN(film)) {
      film = fraction * wantedFuel * time * gain;
      believedFilm = believed * wantedFuel * time;
    }
    const injected = cut ? 0 : compensate(wantedFuel, believedFilm, believed, time);
    believedFilm = wetWall(believedFilm, injected, believed, time, STEP).film;
    if (faults.fuelDrift !== undefined) {
      const kept = Math.exp(-STEP / faults.fuelDrift.time);
      drift = drift * kept + faults.fuelDrift.size * Math.sqrt(1 - kept * kept) * random.normal();
    }
    const offset = (faults.injectorOffset ?? 0) * (engineSpeed / 2);
    // Delivered fuel goes with the root of the pressure (orifice equation).
    const ratio = gain * (1 + drift) * Math.sqrt(sag(injected));
    const delivered = cut ? 0 : Math.max(0, injected * ratio + offset);
    const wall = wetWall(film, delivered, fraction, time, STEP);
    film = wall.film;
    return { reached: wall.delivered, ratio };
  };
}
