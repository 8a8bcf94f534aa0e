import type { CarSpec } from "./car-spec.js";
import type { Segment } from "./drive-spec.js";
import { airFlowForTorque } from "./engine.js";
import type { Random } from "./random.js";

const GRAVITY = 9.80665;
/** Shift time with the clutch open [s]; common practice, no source. */
const SHIFT = 0.5;

export interface DriverCommand {
  /** Air flow the driver's foot asks for [kg/s]; Infinity at full throttle. */
  readonly air: number;
  /** Fixed opening [1] while pulling; NaN otherwise. */
  readonly opening: number;
  readonly gear: number;
  readonly clutchOpen: boolean;
  /** Brake force [N]. */
  readonly brake: number;
  readonly standing: boolean;
}

/** Road load [N] at a speed [m/s]. @source Road-load equation, drag and rolling resistance; any vehicle dynamics text. */
export const roadLoad = (car: CarSpec, speed: number): number =>
  0.5 * 1.2 * car.vehicle.dragArea * speed * speed +
  (speed > 0.1 ? car.vehicle.rolling * car.vehicle.mass * GRAVITY : 0);

/** Follows the cycle: picks gears, asks for air, brakes. State of one drive; random only for the foot's unsteadiness. */
export function makeDriver(car: CarSpec, cycle: readonly Segment[], random: Random) {
  const gears = car.vehicle.gears;
  let index = 0;
  let phase: "approach" | "main" | "after" = "approach";
  let since = 0;
  let gear = 0;
  let shiftLeft = 0;
  let sinceShift = 10;
  let shortFor = 0;
  let reference = 0;
  let foot = 0;
  let wander = 0;
  const next = (): void => {
    index += 1;
    phase = "approach";
    since = 0;
  };
  const shiftTo = (wanted: number): void => {
    if (wanted !== gear) {
      gear = wanted;
      shiftLeft = SHIFT;
      sinceShift = 0;
    }
  };
  /** A fixed gear, or by engine speed and need, never twice within three seconds unless the engine must. */
  const chooseGear = (
    fixed: number | undefined,
    speed: number,
    engineSpeed: number,
    rate: number,
    short: boolean,
    step: number,
  ): void => {
    shortFor = short ? shortFor + step : 0;
    if (shiftLeft > 0) return;
    if (fixed !== undefined) {
      shiftTo(fixed);
      return;
    }
    const settled = sinceShift > 3;
    const up = 38 + 20 * Math.min(1, rate / 2.5);
    const above = engineSpeed > 0.85 * car.engine.topSpeed || (settled && engineSpeed > up && !short);
    const lower = speed * (gears[gear - 1] ?? Number.POSITIVE_INFINITY);
    const below = speed * gears[gear]! < 18 || (settled && speed * gears[gear]! < 22 && lower < up - 4);
    if (above && gear < gears.length - 1) shiftTo(gear + 1);
    else if (below && gear > 0) shiftTo(gear - 1);
    // Asked for more than the engine has in this gear: one down while that stays below three quarters of its range.
    else if (settled && shortFor > 0.7 && lower < 0.75 * car.engine.topSpeed) shiftTo(gear - 1);
  };
  return (
    speed: number,
    engineSpeed: number,
    vacuum: number,
    available: number,
    step: number,
  ): DriverCommand => {
    const segment = cycle[index % cycle.length]!;
    since += step;
    shiftLeft = Math.max(0, shiftLeft - step);
    sinceShift += step;
    // A foot is never still: about 4 % of demand over 1.2 s, and a slow wander of the road; common practice, no source.
    foot += (-foot * step) / 1.2 + 0.04 * Math.sqrt((2 * step) / 1.2) * random.normal();
    wander += (-wander * step) / 15 + 0.05 * Math.sqrt((2 * step) / 15) * random.normal();
    // Written out: this is made at every step, and spreading objects costs more than the rest of the driver.
    const command = (part: Partial<DriverCommand>): DriverCommand => ({
      air: part.air ?? 0,
      opening: part.opening ?? Number.NaN,
      gear,
      clutchOpen: part.clutchOpen ?? shiftLeft > 0,
      brake: part.brake ?? 0,
      standing: part.standing ?? false,
    });
    const follow = (target: number, rate: number, fixedGear: number | undefined): DriverCommand => {
      // About to stand: declutch and hold the brake, or the idling engine would drag the car along.
      if (target < 0.5 && speed < 2.5 && shiftLeft === 0) {
        reference = 0;
        shiftTo(0);
        return command({ clutchOpen: true, brake: 0.9 * car.vehicle.mass, standing: speed < 1 });
      }
      const change = Math.max(-rate * step, Math.min(rate * step, target - reference));
      // The intention does not run away from the car.
      reference = Math.max(speed - 1.5, Math.min(speed + 1.5, Math.max(0, reference + change)));
      const wanted = change / step + (reference - speed) / 1.5;
      const force = car.vehicle.mass * wanted + roadLoad(car, speed) * (1 + wander);
      // torque = force * metres per revolution / 2 pi
      const torque = force / gears[gear]! / (2 * Math.PI);
      const air = airFlowForTorque(car.engine, engineSpeed, torque, vacuum) * Math.max(0.3, 1 + foot);
      const brake = wanted < -0.8 ? -(wanted + 0.5) * car.vehicle.mass : 0;
      const lifted = wanted < -0.25 ? 0 : air;
      chooseGear(fixedGear, speed, engineSpeed, rate, air > 1.05 * available, step);
      return command({ air: shiftLeft > 0 ? 0 : lifted, brake, standing: reference < 0.3 && speed < 1 });
    };
    if (segment.kind === "idle") {
      if (phase === "approach") {
        if (speed < 0.3) {
          phase = "main";
          since = 0;
        }
        return follow(0, 1.2, undefined);
      }
      reference = 0;
      shiftTo(0);
      if (since > segment.seconds) next();
      return command({ standing: true, clutchOpen: true, brake: 2000 });
    }
    if (segment.kind === "speed") {
      if (phase === "approach" && Math.abs(speed - segment.target) < 0.7) {
        phase = "main";
        since = 0;
      }
      // A target out of the car's reach must not hold the cycle up.
      if ((phase === "main" && since > segment.hold) || since > 90) next();
      return follow(segment.target, segment.acceleration, segment.gear);
    }
    const start = segment.from / gears[segment.gear]!;
    if (phase === "approach") {
      if (speed < start * 1.03 && speed > start * 0.9 && gear === segment.gear && shiftLeft === 0) {
        phase = "main";
        since = 0;
      } else if (since > 90) {
        next();
        return command({});
      } else {
        const nearGear = speed * gears[segment.gear]! > 0.7 * segment.from ? segment.gear : undefined;
        return follow(start * 0.97, 1.5, nearGear);
      }
    }
    if (phase === "main") {
      if (engineSpeed < segment.to && since < 60) return command({ opening: segment.throttle });
      phase = "after";
      since = 0;
    }
    reference = speed;
    if (since > segment.liftOff) next();
    return command({});
  };
}
