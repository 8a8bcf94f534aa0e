import { type CarSpec, seededRandom, trueCurve } from "@bellmouth/simulator";

const rev = (rpm: number): number => rpm / 60;
const litre = 1e-3;

/**
 * Cars drawn at random within what road cars are: for development, so that nothing is fitted to the two invented by hand. Car `k` is the
 * same for the same `k`.
 */
export function drawnCar(k: number): CarSpec {
  const random = seededRandom(7700 + k);
  const from = (least: number, most: number): number => least + (most - least) * random.uniform();
  const ratio = (spread: number): number => Math.exp(spread * (2 * random.uniform() - 1));
  const displacement = 1.1 * litre * 4.2 ** random.uniform();
  const litres = displacement / litre;
  const top = from(5600, 7600);
  const peak = from(0.86, 1.02);
  const voltage = random.uniform() < 0.5;
  const shares = [0.1, 0.25, 0.4, 0.55, 0.7, 0.85, 1];
  const shape = [0.76, 0.87, 0.94, 0.99, 1, 0.96, 0.87];
  const fullFlow = 0.5 * displacement * rev(top) * peak * 1.19 * from(1.3, 1.7);
  const firstGear = from(1.6, 2.1);
  return {
    name: `drawn ${k}`,
    engine: {
      displacement,
      compressionRatio: from(9, 12),
      volumetricEfficiency: {
        speed: shares.map((share) => share * rev(top)),
        value: shape.map((value) => peak * value * ratio(0.03)),
      },
      manifoldVolume: displacement * from(1, 2.2),
      throttleArea: { open: 1e-3 * litres * ratio(0.15), idle: 5.6e-6 * litres * ratio(0.15) },
      intakeLoss: 9e4 * (2 / litres) ** 1.3 * ratio(0.3),
      idleSpeed: rev(from(650, 900)),
      topSpeed: rev(top),
      chargeHeating: from(0.1, 0.3),
    },
    vehicle: {
      mass: (1000 + 150 * litres) * ratio(0.12),
      dragArea: from(0.58, 0.85),
      rolling: from(0.01, 0.014),
      gears: [1, 0.6, 0.41, 0.315, 0.25].map(
        (g) => g * firstGear * 3.2 * (top / 6900) * (2 / litres) ** 0.25,
      ),
    },
    meter: {
      trueCurve: trueCurve({
        signal: voltage ? "voltage" : "frequency",
        from: voltage ? from(0.7, 1.1) : from(1300, 1900),
        to: voltage ? 4.8 : from(9000, 11000),
        cells: Math.round(from(26, 62)),
        zero: voltage ? from(0.2, 0.45) : from(500, 900),
        exponent: from(2.4, 3.2),
        fullFlow,
        ripple: from(-0.03, 0.03),
      }),
      timeConstant: from(0.006, 0.03),
      noise: from(0.001, 0.003),
      quantum: voltage ? 5 / 1023 : 1,
    },
    fuel: {
      stoichiometric: from(14.1, 14.7),
      film: { fraction: from(0.1, 0.4), time: from(0.25, 0.9) },
      filmCompensation: from(0.3, 0.9),
      fillingCompensation: from(0.6, 1.3),
    },
    exhaust: {
      fixedDelay: from(0.02, 0.1),
      revolutions: from(1.3, 1.8),
      gasMass: 0.6e-3 * litres * ratio(0.35),
    },
    lambdaSensor: {
      timeConstant: from(0.05, 0.2),
      whiteNoise: from(0.004, 0.011),
      slowNoise: from(0.005, 0.012),
      correlationTime: from(0.3, 1),
      outliers: { probability: from(0.001, 0.004), size: from(0.1, 0.25) },
      least: 0.65,
      greatest: from(1.35, 1.7),
    },
    control:
      random.uniform() < 0.5
        ? {
            kind: "switching",
            step: from(0.008, 0.018),
            rate: from(0.015, 0.04),
            limit: 0.25,
            learningTime: from(25, 60),
            learningEdges: [0.03, 0.065, 0.13, 0.26].map((share) => share * fullFlow),
          }
        : {
            kind: "linear",
            step: from(0.15, 0.35),
            rate: from(0.3, 0.8),
            limit: 0.2,
            learningTime: from(20, 50),
            learningEdges: [0.035, 0.1, 0.24].map((share) => share * fullFlow),
          },
    fullLoadLambda: {
      speed: [0.2, 0.5, 0.8, 1].map((share) => share * rev(top)),
      value: [0.93, 0.89, 0.87, 0.85].map((value) => value + from(-0.02, 0.02)),
    },
  };
}

/** How many of them development uses. */
export const drawnCount = 12;
export const drawnCars = (): readonly CarSpec[] => Array.from({ length: drawnCount }, (_, k) => drawnCar(k));
