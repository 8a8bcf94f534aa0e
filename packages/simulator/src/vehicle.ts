import type { CarSpec } from "./car-spec.js";
import { type DriverCommand, roadLoad } from "./driver.js";
import { lagShare } from "./interpolate.js";
import { STEP } from "./step.js";

/** Road speed [m/s] and engine speed [rev/s], coupled by gear and clutch. State of one drive. */
export function makeVehicle(car: CarSpec) {
  const { engine, vehicle } = car;
  let speed = 0;
  let engineSpeed = engine.idleSpeed;
  return {
    speed: (): number => speed,
    engineSpeed: (): number => engineSpeed,
    /** Whether the clutch slips, is open, or the car stands. */
    slipping: (command: DriverCommand): boolean =>
      command.standing || command.clutchOpen || speed * vehicle.gears[command.gear]! < engine.idleSpeed * 1.1,
    step: (
      command: DriverCommand,
      slipping: boolean,
      crank: number,
      idle: { readonly cold: number; readonly idleWander: number },
    ): void => {
      const ratio = vehicle.gears[command.gear]!;
      const wheel = (slipping && command.standing) || command.clutchOpen ? 0 : crank * ratio * 2 * Math.PI;
      const force = wheel - roadLoad(car, speed) - command.brake;
      speed = Math.max(0, speed + (force / vehicle.mass) * STEP);
      let wanted = speed * ratio;
      if (slipping && command.clutchOpen && !command.standing) wanted = Math.max(engine.idleSpeed, wanted);
      else if (slipping) {
        const warm = engine.idleSpeed * (1 + 0.35 * idle.cold + 0.02 * idle.idleWander);
        // Pulling away on a slipping clutch holds about 1,200 rpm; common practice, no source.
        wanted = Math.max(warm, command.standing ? 0 : 20);
      }
      const share = lagShare(STEP, slipping ? 0.25 : 0.05);
      engineSpeed += (Math.min(engine.topSpeed, wanted) - engineSpeed) * share;
    },
  };
}
