import type { CarSpec } from "./car-spec.js";
import { trueCurve } from "./true-curve.js";

const rev = (rpm: number): number => rpm / 60;
const cm3 = (value: number): number => value * 1e-6;

/** Invented cars that methods may be developed on. All figures are made up within the usual ranges. */
export const developmentCars: readonly CarSpec[] = [
  {
    name: "alder",
    engine: {
      displacement: cm3(1996),
      compressionRatio: 10.3,
      volumetricEfficiency: {
        speed: [10, 25, 42, 58, 75, 92, 108, 120],
        value: [0.68, 0.78, 0.86, 0.9, 0.95, 0.96, 0.91, 0.82],
      },
      manifoldVolume: cm3(3200),
      throttleArea: { open: 2.1e-3, idle: 1.25e-5 },
      intakeLoss: 9e4,
      idleSpeed: rev(820),
      topSpeed: rev(6900),
      chargeHeating: 0.18,
    },
    vehicle: {
      mass: 1290,
      dragArea: 0.66,
      rolling: 0.012,
      gears: [2.05, 1.2, 0.83, 0.64, 0.52].map((g) => g * 3.2),
    },
    meter: {
      trueCurve: trueCurve({
        signal: "frequency",
        from: 1500,
        to: 9600,
        cells: 40,
        zero: 600,
        exponent: 2.6,
        fullFlow: 0.19,
        ripple: 0.02,
      }),
      timeConstant: 0.012,
      noise: 0.002,
      quantum: 1,
    },
    fuel: {
      stoichiometric: 14.6,
      film: { fraction: 0.28, time: 0.45 },
      filmCompensation: 0.55,
      fillingCompensation: 0.85,
    },
    exhaust: { fixedDelay: 0.05, revolutions: 1.5, gasMass: 1.2e-3 },
    lambdaSensor: {
      timeConstant: 0.09,
      whiteNoise: 0.008,
      slowNoise: 0.009,
      correlationTime: 0.5,
      outliers: { probability: 0.002, size: 0.2 },
      least: 0.65,
      greatest: 1.6,
    },
    control: {
      kind: "switching",
      step: 0.012,
      rate: 0.025,
      limit: 0.25,
      learningTime: 40,
      learningEdges: [0.006, 0.012, 0.025, 0.05],
    },
    fullLoadLambda: { speed: [20, 50, 80, 115], value: [0.92, 0.89, 0.87, 0.85] },
  },
  {
    name: "birch",
    engine: {
      displacement: cm3(4610),
      compressionRatio: 9.4,
      volumetricEfficiency: {
        speed: [10, 25, 42, 58, 75, 92, 105],
        value: [0.72, 0.82, 0.88, 0.89, 0.86, 0.8, 0.7],
      },
      manifoldVolume: cm3(6800),
      throttleArea: { open: 4.2e-3, idle: 2.3e-5 },
      intakeLoss: 3.2e4,
      idleSpeed: rev(690),
      topSpeed: rev(6100),
      chargeHeating: 0.22,
    },
    vehicle: {
      mass: 1680,
      dragArea: 0.72,
      rolling: 0.012,
      gears: [1.7, 1.05, 0.72, 0.56, 0.42].map((g) => g * 2.6),
    },
    meter: {
      trueCurve: trueCurve({
        signal: "voltage",
        from: 0.9,
        to: 4.8,
        cells: 50,
        zero: 0.35,
        exponent: 3.1,
        fullFlow: 0.3,
        ripple: -0.015,
      }),
      timeConstant: 0.018,
      noise: 0.0015,
      quantum: 5 / 1023,
    },
    fuel: {
      stoichiometric: 14.7,
      film: { fraction: 0.2, time: 0.7 },
      filmCompensation: 0.5,
      fillingCompensation: 1.1,
    },
    exhaust: { fixedDelay: 0.03, revolutions: 1.5, gasMass: 2.6e-3 },
    lambdaSensor: {
      timeConstant: 0.12,
      whiteNoise: 0.006,
      slowNoise: 0.01,
      correlationTime: 0.7,
      outliers: { probability: 0.002, size: 0.2 },
      least: 0.65,
      greatest: 1.5,
    },
    control: {
      kind: "linear",
      step: 0.25,
      rate: 0.5,
      limit: 0.2,
      learningTime: 25,
      learningEdges: [0.01, 0.03, 0.07],
    },
    fullLoadLambda: { speed: [20, 50, 80, 105], value: [0.9, 0.87, 0.86, 0.84] },
  },
];
