import { type CarSpec, seededRandom, trueCurve } from "@bellmouth/simulator";
import { makeTransferCurve, type TransferCurve } from "bellmouth/sensor";

const rev = (rpm: number): number => rpm / 60;
const litre = 1e-3;

/** Two draws of cars that share no car: one to develop on, one for the score only, with other shapes of engine and meter. */
export type CarDraw = "development" | "held-out";
const STREAM: { readonly [draw in CarDraw]: number } = { development: 7700, "held-out": 5_310_000 };

/** Volumetric efficiency over the share of top speed: development cars have one hump, the others one of three shapes. */
const SHARES = [0.1, 0.25, 0.4, 0.55, 0.7, 0.85, 1];
const ONE_HUMP = [0.76, 0.87, 0.94, 0.99, 1, 0.96, 0.87];
const OTHER_SHAPES = [
  [0.7, 0.9, 1, 0.99, 0.95, 0.88, 0.76],
  [0.72, 0.8, 0.93, 0.88, 0.97, 1, 0.93],
  [0.82, 0.92, 0.9, 0.94, 1, 0.95, 0.8],
];

/**
 * A car drawn at random within what road cars are. Car `k` of a draw is the same for the same `k`.
 *
 * @param cells of the true curve; drawn when left out
 */
export function drawnCar(k: number, draw: CarDraw = "development", cells?: number): CarSpec {
  const random = seededRandom(STREAM[draw] + k);
  const from = (least: number, most: number): number => least + (most - least) * random.uniform();
  const ratio = (spread: number): number => Math.exp(spread * (2 * random.uniform() - 1));
  const wanted = (drawn: number): number => cells ?? drawn;
  const displacement = 1.1 * litre * 4.2 ** random.uniform();
  const litres = displacement / litre;
  const top = from(5600, 7600);
  const peak = from(0.86, 1.02);
  const voltage = random.uniform() < 0.5;
  const shape = draw === "development" ? ONE_HUMP : OTHER_SHAPES[k % OTHER_SHAPES.length]!;
  const fullFlow = 0.5 * displacement * rev(top) * peak * 1.19 * from(1.3, 1.7);
  const firstGear = from(1.6, 2.1);
  return {
    name: `${draw} ${k}`,
    engine: {
      displacement,
      compressionRatio: from(9, 12),
      volumetricEfficiency: {
        speed: SHARES.map((share) => share * rev(top)),
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
      trueCurve: bent(draw, k, {
        signal: voltage ? "voltage" : "frequency",
        from: voltage ? from(0.7, 1.1) : from(1300, 1900),
        to: voltage ? 4.8 : from(9000, 11000),
        cells: wanted(Math.round(from(26, 62))),
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

/** Curves of the score's cars have a bend of their own in ln flow, besides King's law and the ripple of the others. */
function bent(draw: CarDraw, k: number, shape: Parameters<typeof trueCurve>[0]): TransferCurve {
  const curve = trueCurve(shape);
  if (draw === "development") return curve;
  const random = seededRandom(STREAM[draw] + 500_000 + k);
  const bends = [0, 1].map(() => ({
    at: -4 * random.uniform(),
    size: 0.03 * (2 * random.uniform() - 1),
    width: 0.5 + 0.7 * random.uniform(),
  }));
  return makeTransferCurve({
    ...curve,
    cells: curve.cells.map((cell) => {
      const x = Math.log(cell.flow / shape.fullFlow);
      const bend = bends.reduce((sum, b) => sum + b.size * Math.exp(-0.5 * ((x - b.at) / b.width) ** 2), 0);
      return { ...cell, flow: cell.flow * Math.exp(bend) };
    }),
  });
}
