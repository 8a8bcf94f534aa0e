import type { DriveSpec } from "./drive-spec.js";
import { lagShare } from "./interpolate.js";
import { makeLambdaSensorError } from "./lambda-sensor-error.js";
import type { Random } from "./random.js";
import { STEP } from "./step.js";
import { makeTransport } from "./transport.js";

/** From the cylinder to the lambda sensors: transport, air drawn into the exhaust, lags, noise. */
export function makeLambdaPath(spec: DriveSpec, random: Random) {
  const { exhaust, lambdaSensor } = spec.car;
  const { least, greatest, outliers, whiteNoise } = lambdaSensor;
  const transport = makeTransport(STEP, exhaust.gasMass, 1);
  const keep = Math.exp(-STEP / lambdaSensor.correlationTime);
  const clip = (value: number): number => Math.min(greatest, Math.max(least, value));
  const wrong = makeLambdaSensorError(spec.faults.lambdaSensor);
  const feedsControl = spec.faults.lambdaSensor?.feedsControl === true;
  let rich = 1;
  let controlSensed = 1;
  let slowNoise = lambdaSensor.slowNoise * random.normal();
  return {
    /** What the ECU's own sensor shows [1]. */
    controlSensed: (): number => (feedsControl ? wrong.shown(controlSensed) : controlSensed),
    /** What the sensor shows before its noise [1]. */
    shown: (): number => 1 / rich,
    step: (lambda: number, engineSpeed: number, flow: number): { readonly age: number } => {
      wrong.step();
      const wait = exhaust.fixedDelay + exhaust.revolutions / engineSpeed;
      const gas = transport.step(lambda, wait, flow * (1 + 1 / 14.7));
      const diluted = gas.value * (1 + ((spec.faults.exhaustLeak ?? 0) * 0.004) / (0.004 + flow));
      const seen = clip(diluted);
      // The element answers in 1/lambda (oxygen or fuel excess); the lag acts there.
      rich += (1 / seen - rich) * lagShare(STEP, lambdaSensor.timeConstant);
      controlSensed += (seen - controlSensed) * lagShare(STEP, 0.1);
      slowNoise = slowNoise * keep + lambdaSensor.slowNoise * Math.sqrt(1 - keep * keep) * random.normal();
      return { age: gas.age };
    },
    /** A logged sample. */
    sample: (): number => {
      let noise = 1 + slowNoise + whiteNoise * random.normal();
      if (random.uniform() < outliers.probability) {
        noise += outliers.size * (0.5 + random.uniform()) * (random.uniform() < 0.5 ? -1 : 1);
      }
      return clip(wrong.shown(1 / rich) * (wrong.stuck() ? 1 : noise));
    },
  };
}
