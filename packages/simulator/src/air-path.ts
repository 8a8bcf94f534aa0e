import type { DriveSpec } from "./drive-spec.js";
import type { DriverCommand } from "./driver.js";
import { areaOf, cylinderFlow, fillManifold, type ManifoldStep, openingOf } from "./engine.js";
import { lagShare } from "./interpolate.js";
import { flowFunction, GAS_CONSTANT } from "./orifice.js";
import type { Random } from "./random.js";
import { STEP, WARM } from "./step.js";

export interface AirStep extends ManifoldStep {
  /** Gas from the canister, part of `leakFlow` [kg/s]. */
  readonly purgeFlow: number;
  /** Throttle opening [1]. */
  readonly opening: number;
  readonly coolant: number;
  /** Real temperature of the air behind the meter [K], and what its sensor shows. */
  readonly intakeTemperature: number;
  readonly intakeReading: number;
  /** How cold the engine still is [1]: 0 warm, about 1 on a frosty morning. */
  readonly cold: number;
  /** Wander of the idle [1]. */
  readonly idleWander: number;
}

/** Intake from the foot to the cylinders, with the warm-up of coolant and intake. State of one drive. */
export function makeAirPath(spec: DriveSpec, random: Random) {
  const { engine } = spec.car;
  let pressure = 0.4 * spec.barometer;
  let meterFlow = 0.003;
  let coolant = spec.startCoolant;
  let soak = 1;
  let foot = 0;
  let blade = 0;
  let bypass = engine.throttleArea.idle;
  let idleWander = 0;
  let drawnAtFull = 1;
  return {
    vacuum: (): number => spec.barometer - pressure,
    /** Air that the engine would draw at full throttle [kg/s]. */
    available: (): number => drawnAtFull,
    meterFlow: (): number => meterFlow,
    coolant: (): number => coolant,
    /** Manifold over outside pressure [1]. */
    load: (): number => pressure / spec.barometer,
    /** @param purge open area of the canister's valve [m^2] */
    step: (command: DriverCommand, engineSpeed: number, purge: number): AirStep => {
      // Coolant goes to its regulated value with the heat of the burnt air; rates are common practice, no source.
      coolant += (WARM - coolant) * STEP * (0.0012 + 0.08 * meterFlow) + (coolant < WARM ? 0.01 * STEP : 0);
      coolant = Math.min(coolant, WARM);
      soak += (Math.exp(-meterFlow / 0.02) - soak) * lagShare(STEP, 25);
      const intakeTemperature = spec.ambient + 4 * soak;
      const charge = intakeTemperature + engine.chargeHeating * (coolant - intakeTemperature);
      const upstream = spec.barometer - engine.intakeLoss * meterFlow * meterFlow;
      drawnAtFull = cylinderFlow(engine, engineSpeed, 0.97 * upstream, spec.barometer, charge);

      // Throttle: the area whose steady flow is the one asked for.
      const wantedAir = command.standing ? 0 : command.air;
      let wantedArea: number;
      if (!Number.isNaN(command.opening)) wantedArea = areaOf(engine, command.opening);
      else if (wantedAir >= drawnAtFull) wantedArea = engine.throttleArea.open;
      else {
        const wantedPressure = 0.97 * upstream * Math.max(wantedAir / drawnAtFull, 0.15);
        const psi = flowFunction(wantedPressure / upstream);
        wantedArea =
          (wantedAir * Math.sqrt(GAS_CONSTANT * intakeTemperature)) / (upstream * Math.max(psi, 0.05));
      }
      // The idle bypass wanders a little as loads come and go; on overrun it opens with engine speed, which keeps the
      // manifold near 20 kPa (common practice, no source).
      idleWander += (-idleWander * STEP) / 4 + 0.06 * Math.sqrt((2 * STEP) / 4) * random.normal();
      const cold = Math.max(0, (WARM - 10 - coolant) / 60);
      const overrun = Math.max(1, (0.75 * engineSpeed) / engine.idleSpeed);
      const bypassWanted = engine.throttleArea.idle * (1 + idleWander + 0.8 * cold) * overrun;
      bypass += (bypassWanted - bypass) * lagShare(STEP, 0.3);
      wantedArea = Math.min(engine.throttleArea.open, Math.max(0, wantedArea - bypass));
      // A foot takes about a third of a second for a full stroke, lifting faster than pressing, and a throttle blade
      // has inertia; common practice, no source.
      foot += (wantedArea - foot) * lagShare(STEP, wantedArea > foot ? 0.14 : 0.09);
      blade += (foot - blade) * lagShare(STEP, 0.04);

      const leak = spec.faults.leakArea ?? 0;
      const filled = fillManifold(
        engine,
        { pressure, upstream },
        {
          step: STEP,
          throttleArea: blade + bypass,
          leakArea: leak + purge,
          speed: engineSpeed,
          barometer: spec.barometer,
          airTemperature: intakeTemperature,
          chargeTemperature: charge,
        },
      );
      pressure = filled.pressure;
      meterFlow = filled.throttleFlow;
      return {
        pressure,
        throttleFlow: filled.throttleFlow,
        leakFlow: filled.leakFlow,
        cylinderFlow: filled.cylinderFlow,
        purgeFlow: purge > 0 ? (filled.leakFlow * purge) / (leak + purge) : 0,
        opening: openingOf(engine, blade),
        coolant,
        intakeTemperature,
        intakeReading: intakeTemperature + (spec.faults.heatSoak ?? 0) * soak,
        cold,
        idleWander,
      };
    },
  };
}
