import { makeAirPath } from "./air-path.js";
import { checkDriveSpec } from "./check-drive-spec.js";
import type { ChannelKey, DriveSpec } from "./drive-spec.js";
import { makeDriver } from "./driver.js";
import { makeEcu } from "./ecu.js";
import { torque } from "./engine.js";
import { makeFuelPath } from "./fuel-path.js";
import { makeLambdaPath } from "./lambda-path.js";
import { makeMeter } from "./meter.js";
import { makePurge } from "./purge.js";
import type { Random } from "./random.js";
import { makeRecorder } from "./recorder.js";
import { STEP } from "./step.js";
import { makeVehicle } from "./vehicle.js";

/** What the log does not show, at each of its rows. */
export interface DriveTruth {
  /** Air through the meter, into the cylinders, and behind the meter through leak and canister [kg/s]. */
  readonly meterFlow: Float64Array;
  readonly cylinderFlow: Float64Array;
  readonly leakFlow: Float64Array;
  /** Lambda in the cylinders now, and at the sensor before its noise [1]. NaN while fuel is cut. */
  readonly cylinderLambda: Float64Array;
  readonly sensorLambda: Float64Array;
  /** Time since the gas now at the sensor was dosed [s]. */
  readonly delay: Float64Array;
  /** ln of cylinder lambda over its steady value for the air through the meter: wall film, filling, leak left out [1]. */
  readonly transient: Float64Array;
  /** 1 while fuel is injected. */
  readonly fuelled: Float64Array;
  readonly closedLoop: Float64Array;
  /** Delivered fuel over commanded [1]. */
  readonly fuelRatio: Float64Array;
}

export interface SimulatedDrive {
  readonly columns: { readonly [channel in ChannelKey]: Float64Array };
  readonly truth: DriveTruth;
  /** Long trims at the end [1]: hand them to the next drive. */
  readonly longTrims: readonly number[];
}

/** Lambda shown for a charge without fuel [1]. */
const NO_FUEL = 20;

/**
 * Drives the invented car and logs it.
 *
 * @param spec the car, the ECU's table, the cycle, faults and log; all SI
 * @param random all chance of the drive; the same stream gives the same drive
 * @throws E_DOMAIN on a number outside its range, E_SIGNAL_KIND when table and meter speak of different signals,
 *   E_TOO_LITTLE_DATA on an empty cycle
 * @example
 * const drive = simulateDrive(scenario(developmentCars[0], "town and pulls", seededRandom(1)).drive, seededRandom(2));
 */
export function simulateDrive(spec: DriveSpec, random: Random): SimulatedDrive {
  checkDriveSpec(spec);
  const { car } = spec;
  const { stoichiometric } = car.fuel;
  const driver = makeDriver(car, spec.cycle, random);
  const vehicle = makeVehicle(car);
  const airPath = makeAirPath(spec, random);
  const meter = makeMeter(spec, airPath.meterFlow(), random);
  const ecu = makeEcu(spec, airPath.meterFlow());
  const fuelPath = makeFuelPath(spec, random);
  const lambdaPath = makeLambdaPath(spec, random);
  const purge = makePurge(spec.faults.purge);
  let cut = false;
  const recorder = makeRecorder<{ readonly [key in keyof DriveTruth]: number }>(spec.log, random);

  const steps = Math.round(spec.duration / STEP);
  for (let i = 0; i < steps; i++) {
    const vacuum = airPath.vacuum();
    const engineSpeed = vehicle.engineSpeed();
    const command = driver(vehicle.speed(), engineSpeed, vacuum, airPath.available(), STEP);
    const slipping = vehicle.slipping(command);
    const purgeArea = purge.area({ coolant: airPath.coolant(), cut, load: airPath.load() });
    const air = airPath.step(command, engineSpeed, purgeArea);
    const load = airPath.load();
    const { signal, metered } = meter(air.throttleFlow, engineSpeed, load);
    const control = ecu.step({
      metered,
      cylinder: air.cylinderFlow,
      load,
      engineSpeed,
      opening: air.opening,
      slipping,
      coolant: air.coolant,
      sensed: lambdaPath.controlSensed(),
    });
    cut = control.cut;
    const fuel = fuelPath({
      wantedFuel: control.wantedFuel,
      cut: control.cut,
      coolant: air.coolant,
      engineSpeed,
    });
    const vapour = purge.fuel(air.purgeFlow);
    const burnt = (fuel.reached + vapour) * stoichiometric;
    const cylinderLambda = burnt > 0 ? Math.min(NO_FUEL, (air.cylinderFlow - vapour) / burnt) : NO_FUEL;
    const { age } = lambdaPath.step(cylinderLambda, engineSpeed, air.cylinderFlow);
    vehicle.step(
      command,
      slipping,
      torque(car.engine, engineSpeed, air.cylinderFlow, !control.cut, vacuum),
      air,
    );

    const time = i * STEP;
    if (!recorder.due(time)) continue;
    const lambda = lambdaPath.sample();
    const trim = (1 + control.shortTrim) * (1 + control.longTrim);
    const steadyFuel = (metered / (stoichiometric * control.target)) * trim * fuel.ratio;
    const steady = air.throttleFlow / (steadyFuel * stoichiometric);
    recorder.add(
      {
        time,
        signal,
        airflow: metered,
        engineSpeed: vehicle.engineSpeed(),
        lambda,
        lambdaTarget: control.target,
        shortTrim: control.shortTrim,
        longTrim: control.longTrim,
        coolant: air.coolant,
        intakeAir: air.intakeReading,
        manifoldPressure: air.pressure,
        throttle: air.opening,
        vehicleSpeed: vehicle.speed(),
        barometer: spec.barometer,
        battery: 14.1,
      },
      {
        meterFlow: air.throttleFlow,
        cylinderFlow: air.cylinderFlow,
        leakFlow: air.leakFlow,
        cylinderLambda: control.cut ? Number.NaN : cylinderLambda,
        sensorLambda: lambdaPath.shown(),
        delay: age,
        transient: control.cut ? Number.NaN : Math.log(cylinderLambda / steady),
        fuelled: control.cut ? 0 : 1,
        closedLoop: control.closedLoop ? 1 : 0,
        fuelRatio: fuel.ratio,
      },
    );
  }
  return { columns: recorder.columns(), truth: recorder.truth(), longTrims: ecu.longTrims() };
}
