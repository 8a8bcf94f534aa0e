import { checkDriveSpec } from "./check-drive-spec.js";
import { type ChannelKey, channelKeys, type DriveSpec } from "./drive-spec.js";
import { makeDriver, roadLoad } from "./driver.js";
import { areaOf, cylinderFlow, fillManifold, openingOf, torque } from "./engine.js";
import { makeFeedback } from "./feedback.js";
import { lagShare, lineThrough } from "./interpolate.js";
import { readCurve } from "./meter.js";
import { flowFunction, GAS_CONSTANT } from "./orifice.js";
import type { Random } from "./random.js";
import { makeTransport } from "./transport.js";
import { compensate, wetWall } from "./wall-film.js";

/** Step of the simulation [s]. */
export const STEP = 0.01;

/** What the log does not show, at each of its rows. */
export interface DriveTruth {
  /** Air through the meter, into the cylinders, and behind the meter through the leak [kg/s]. */
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

const truthKeys = [
  "meterFlow",
  "cylinderFlow",
  "leakFlow",
  "cylinderLambda",
  "sensorLambda",
  "delay",
  "transient",
  "fuelled",
  "closedLoop",
  "fuelRatio",
] as const;

/** Coolant temperature of a warm engine [K]. */
const WARM = 363;

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
  const { car, faults } = spec;
  const { engine, fuel, exhaust, lambdaSensor, meter } = car;
  const truth = readCurve(meter.trueCurve);
  const table = readCurve(spec.table);
  const driver = makeDriver(car, spec.cycle, random);
  const feedback = makeFeedback(car.control, spec.longTrims);
  const transport = makeTransport(STEP, exhaust.gasMass, 1);
  const rows: number[][] = [];
  const hidden: number[][] = [];

  const injectorGain = (faults.injectorGain ?? 1) * Math.sqrt(faults.fuelPressure ?? 1);
  const leakArea = faults.leakArea ?? 0;
  const heatSoak = faults.heatSoak ?? 0;

  let speed = 0;
  let engineSpeed = engine.idleSpeed;
  let pressure = 0.4 * spec.barometer;
  let coolant = spec.startCoolant;
  let soak = 1;
  let blade = 0;
  let foot = 0;
  let bypass = engine.throttleArea.idle;
  let meterFlow = 0.003;
  let signal = truth.signal(meterFlow);
  let filteredAir = meterFlow;
  let film = 0;
  let believedFilm = 0;
  let sensed = 1;
  let shown = 1;
  let controlSensed = 1;
  let slowNoise = lambdaSensor.slowNoise * random.normal();
  let idleWander = 0;
  let drift = 0;
  let cut = false;
  let enriched = 0;
  let started = false;
  let sinceStart = 0;
  let trims = { shortTrim: 0, longTrim: 0 };
  let drawnAtFull = 1;
  let nextRow = 0;
  let rowIndex = 0;
  const held: number[] = [];

  const steps = Math.round(spec.duration / STEP);
  for (let i = 0; i < steps; i++) {
    const time = i * STEP;
    sinceStart += STEP;
    // Driver and vehicle.
    const vacuum = spec.barometer - pressure;
    const command = driver(speed, engineSpeed, vacuum, drawnAtFull, STEP);
    const gearRatio = car.vehicle.gears[command.gear]!;
    const rolling = speed * gearRatio;
    const slipping = command.standing || command.clutchOpen || rolling < engine.idleSpeed * 1.1;
    const idling = command.standing;
    // Warm-up: coolant goes to its regulated value in proportion to the heat of the burnt air.
    coolant += (WARM - coolant) * STEP * (0.0012 + 0.08 * meterFlow) + (coolant < WARM ? 0.01 * STEP : 0);
    coolant = Math.min(coolant, WARM);
    soak += (Math.exp(-meterFlow / 0.02) - soak) * lagShare(STEP, 25);
    const intakeTemperature = spec.ambient + 4 * soak;
    const charge = intakeTemperature + engine.chargeHeating * (coolant - intakeTemperature);
    const upstream = spec.barometer - engine.intakeLoss * meterFlow * meterFlow;

    // Throttle: the area whose steady flow is the one asked for.
    const wantedAir = idling ? 0 : command.air;
    drawnAtFull = cylinderFlow(engine, engineSpeed, 0.97 * upstream, spec.barometer, charge);
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
    // A foot takes about a third of a second for a full stroke, lifting faster than pressing, and a throttle blade has
    // inertia; common practice, no source.
    foot += (wantedArea - foot) * lagShare(STEP, wantedArea > foot ? 0.14 : 0.09);
    blade += (foot - blade) * lagShare(STEP, 0.04);

    // Air.
    const filled = fillManifold(
      engine,
      { pressure, upstream },
      {
        step: STEP,
        throttleArea: blade + bypass,
        leakArea,
        speed: engineSpeed,
        barometer: spec.barometer,
        airTemperature: intakeTemperature,
        chargeTemperature: charge,
      },
    );
    pressure = filled.pressure;
    meterFlow = filled.throttleFlow;
    // Meter: the element's lag acts on its signal.
    signal += (truth.signal(meterFlow) - signal) * lagShare(STEP, meter.timeConstant);
    const noisy = signal * (1 + meter.noise * random.normal());
    const read = meter.quantum > 0 ? Math.round(noisy / meter.quantum) * meter.quantum : noisy;
    const metered = table.flow(read);

    // ECU: filling filter, targets, trims, fuel cut, film compensation.
    const fillTime =
      (fuel.fillingCompensation * engine.manifoldVolume) /
      (0.85 * engine.displacement * (Math.max(engineSpeed, 5) / 2));
    filteredAir += (metered - filteredAir) * lagShare(STEP, fillTime);
    const opening = openingOf(engine, blade);
    const lifted = opening < 0.02 && !slipping;
    if (lifted && engineSpeed > 28 && coolant > 320) cut = true;
    else if (!lifted || engineSpeed < 21) cut = false;
    const fullLoad = opening > 0.7;
    enriched += ((fullLoad ? 1 : 0) - enriched) * lagShare(STEP, 0.15);
    const rich = lineThrough(car.fullLoadLambda.speed, car.fullLoadLambda.value, engineSpeed);
    const warmUp = 1 - 0.12 * Math.min(1, Math.max(0, (335 - coolant) / 60));
    const target = Math.min(warmUp, 1 - enriched * (1 - rich));
    const closedLoop =
      spec.feedback && coolant > 325 && sinceStart > 20 && !cut && enriched < 0.05 && warmUp > 0.995;
    trims = feedback.step({
      closedLoop,
      learn: closedLoop && coolant > 345,
      ratio: controlSensed / target,
      load: metered,
      step: STEP,
    });
    if (!spec.feedback) trims = { shortTrim: 0, longTrim: 0 };
    const wantedFuel = cut
      ? 0
      : (filteredAir / (fuel.stoichiometric * target)) * (1 + trims.shortTrim) * (1 + trims.longTrim);
    const wetter = 1 + 0.9 * Math.max(0, (WARM - coolant) / 60);
    const fraction = Math.min(0.8, fuel.film.fraction * wetter);
    const filmTime = fuel.film.time * (1 + 0.5 * Math.max(0, (WARM - coolant) / 60));
    const believed = fraction * fuel.filmCompensation;
    if (!started) {
      film = fraction * wantedFuel * filmTime * injectorGain;
      believedFilm = believed * wantedFuel * filmTime;
    }
    const injected = cut ? 0 : compensate(wantedFuel, believedFilm, believed, filmTime);
    believedFilm = wetWall(believedFilm, injected, believed, filmTime, STEP).film;
    if (faults.fuelDrift !== undefined) {
      const kept = Math.exp(-STEP / faults.fuelDrift.time);
      drift = drift * kept + faults.fuelDrift.size * Math.sqrt(1 - kept * kept) * random.normal();
    }
    const injections = engineSpeed / 2;
    const delivered = cut
      ? 0
      : Math.max(0, injected * injectorGain * (1 + drift) + (faults.injectorOffset ?? 0) * injections);
    const wall = wetWall(film, delivered, fraction, filmTime, STEP);
    film = wall.film;
    started = true;

    // Lambda in the cylinder, its way down the exhaust, the sensor.
    const burnt = wall.delivered * fuel.stoichiometric;
    const cylinderLambda = burnt > 0 ? Math.min(20, filled.cylinderFlow / burnt) : 20;
    const wait = exhaust.fixedDelay + exhaust.revolutions / engineSpeed;
    const gas = transport.step(cylinderLambda, wait, filled.cylinderFlow * (1 + 1 / 14.7));
    const diluted = gas.value * (1 + ((faults.exhaustLeak ?? 0) * 0.004) / (0.004 + filled.cylinderFlow));
    const seen = Math.min(lambdaSensor.greatest, Math.max(lambdaSensor.least, diluted));
    // The element answers in 1/lambda (oxygen or fuel excess); the lag acts there.
    sensed += (1 / seen - sensed) * lagShare(STEP, lambdaSensor.timeConstant);
    controlSensed += (seen - controlSensed) * lagShare(STEP, 0.1);
    const keep = Math.exp(-STEP / lambdaSensor.correlationTime);
    slowNoise = slowNoise * keep + lambdaSensor.slowNoise * Math.sqrt(1 - keep * keep) * random.normal();
    shown = 1 / sensed;

    // Vehicle.
    const crank = torque(engine, engineSpeed, filled.cylinderFlow, !cut, vacuum);
    const wheel = slipping && idling ? 0 : command.clutchOpen ? 0 : crank * gearRatio * 2 * Math.PI;
    const force = wheel - roadLoad(car, speed) - command.brake;
    speed = Math.max(0, speed + (force / car.vehicle.mass) * STEP);
    const wantedSpeed = slipping
      ? command.clutchOpen && !idling
        ? Math.max(engine.idleSpeed, speed * gearRatio)
        : Math.max(engine.idleSpeed * (1 + 0.35 * cold + 0.02 * idleWander), idling ? 0 : 20)
      : speed * gearRatio;
    engineSpeed +=
      (Math.min(engine.topSpeed, wantedSpeed) - engineSpeed) * lagShare(STEP, slipping ? 0.25 : 0.05);

    if (time + 1e-9 >= nextRow) {
      const out = lambdaSensor.outliers;
      let noise = 1 + slowNoise + lambdaSensor.whiteNoise * random.normal();
      if (random.uniform() < out.probability)
        noise += out.size * (0.5 + random.uniform()) * (random.uniform() < 0.5 ? -1 : 1);
      const lambda = Math.min(lambdaSensor.greatest, Math.max(lambdaSensor.least, shown * noise));
      const fresh: { readonly [channel in ChannelKey]: number } = {
        time,
        signal: read,
        airflow: metered,
        engineSpeed,
        lambda,
        lambdaTarget: target,
        shortTrim: trims.shortTrim,
        longTrim: trims.longTrim,
        coolant,
        intakeAir: intakeTemperature + heatSoak * soak,
        manifoldPressure: pressure,
        throttle: opening,
        vehicleSpeed: speed,
        barometer: spec.barometer,
        battery: 14.1,
      };
      const row = channelKeys.map((key, k) => {
        const every = spec.log.refresh[key] ?? 1;
        if (held[k] === undefined || (rowIndex + k) % every === 0) held[k] = fresh[key];
        return held[k]!;
      });
      rows.push(row);
      const steadyFuel =
        (metered / (fuel.stoichiometric * target)) * (1 + trims.shortTrim) * (1 + trims.longTrim);
      const steady = meterFlow / (steadyFuel * injectorGain * (1 + drift) * fuel.stoichiometric);
      hidden.push([
        meterFlow,
        filled.cylinderFlow,
        filled.leakFlow,
        cut ? Number.NaN : cylinderLambda,
        shown,
        gas.age,
        cut ? Number.NaN : Math.log(cylinderLambda / steady),
        cut ? 0 : 1,
        closedLoop ? 1 : 0,
        injectorGain * (1 + drift),
      ]);
      rowIndex += 1;
      const interval = 1 / spec.log.rate;
      nextRow += interval * Math.max(0.2, 1 + spec.log.jitter * random.normal());
      const { gaps } = spec.log;
      if (gaps !== undefined && random.uniform() < interval / gaps.every) nextRow += gaps.length;
    }
  }
  const column = (list: readonly number[][], k: number): Float64Array =>
    Float64Array.from(list, (row) => row[k]!);
  return {
    columns: Object.fromEntries(
      channelKeys.map((key, k) => [key, column(rows, k)]),
    ) as SimulatedDrive["columns"],
    truth: Object.fromEntries(truthKeys.map((key, k) => [key, column(hidden, k)])) as unknown as DriveTruth,
    longTrims: feedback.longTrims(),
  };
}
