import type { CarSpec } from "./car-spec.js";
import { trueCurve } from "./true-curve.js";

const rev = (rpm: number): number => rpm / 60;
const cm3 = (value: number): number => value * 1e-6;

/**
 * Invented cars for scoring only. Who develops an estimator must neither look at these nor tune on them: a score says
 * something only about cars that a method has not met. Develop on `developmentCars`.
 */
export const heldOutCars: readonly CarSpec[] = [
  {
    name: "cedar", // small three-cylinder, slow sensor, voltage meter with a dense true curve
    engine: {
      displacement: cm3(1198),
      compressionRatio: 10.8,
      volumetricEfficiency: {
        speed: [10, 25, 42, 58, 75, 92, 105],
        value: [0.66, 0.8, 0.9, 0.92, 0.88, 0.82, 0.72],
      },
      manifoldVolume: cm3(1900),
      throttleArea: { open: 1.35e-3, idle: 8.2e-6 },
      intakeLoss: 2.2e5,
      idleSpeed: rev(870),
      topSpeed: rev(6300),
      chargeHeating: 0.16,
    },
    vehicle: { mass: 1010, dragArea: 0.61, rolling: 0.011, gears: [7.4, 4.1, 2.75, 2.05, 1.68] },
    meter: {
      trueCurve: trueCurve({
        signal: "voltage",
        from: 0.8,
        to: 4.6,
        cells: 64,
        zero: 0.2,
        exponent: 2.9,
        fullFlow: 0.1,
        ripple: 0.025,
      }),
      timeConstant: 0.025,
      noise: 0.0018,
      quantum: 5 / 4095,
    },
    fuel: {
      stoichiometric: 14.6,
      film: { fraction: 0.16, time: 0.3 },
      filmCompensation: 0.7,
      fillingCompensation: 0.7,
    },
    exhaust: { fixedDelay: 0.08, revolutions: 1.5, gasMass: 0.7e-3 },
    lambdaSensor: {
      timeConstant: 0.16,
      whiteNoise: 0.006,
      slowNoise: 0.012,
      correlationTime: 0.9,
      outliers: { probability: 0.003, size: 0.15 },
      least: 0.68,
      greatest: 1.4,
    },
    control: {
      kind: "switching",
      step: 0.02,
      rate: 0.04,
      limit: 0.2,
      learningTime: 60,
      learningEdges: [0.004, 0.008, 0.015],
    },
    fullLoadLambda: { speed: [20, 50, 80, 105], value: [0.95, 0.92, 0.9, 0.87] },
  },
  {
    name: "elm", // large eight-cylinder, long exhaust, frequency meter
    engine: {
      displacement: cm3(5670),
      compressionRatio: 10.1,
      volumetricEfficiency: {
        speed: [10, 20, 35, 50, 65, 80, 95, 108],
        value: [0.64, 0.76, 0.85, 0.91, 0.95, 0.93, 0.87, 0.78],
      },
      manifoldVolume: cm3(9500),
      throttleArea: { open: 5.2e-3, idle: 2.9e-5 },
      intakeLoss: 1.9e4,
      idleSpeed: rev(650),
      topSpeed: rev(6500),
      chargeHeating: 0.25,
    },
    vehicle: { mass: 1740, dragArea: 0.75, rolling: 0.013, gears: [4.3, 2.9, 2.1, 1.62, 1.21] },
    meter: {
      trueCurve: trueCurve({
        signal: "frequency",
        from: 1400,
        to: 11000,
        cells: 48,
        zero: 350,
        exponent: 2.75,
        fullFlow: 0.52,
        ripple: -0.03,
      }),
      timeConstant: 0.008,
      noise: 0.0025,
      quantum: 2,
    },
    fuel: {
      stoichiometric: 14.4,
      film: { fraction: 0.4, time: 0.9 },
      filmCompensation: 0.65,
      fillingCompensation: 0.95,
    },
    exhaust: { fixedDelay: 0.02, revolutions: 1.75, gasMass: 5.5e-3 },
    lambdaSensor: {
      timeConstant: 0.07,
      whiteNoise: 0.011,
      slowNoise: 0.007,
      correlationTime: 0.3,
      outliers: { probability: 0.001, size: 0.3 },
      least: 0.65,
      greatest: 1.7,
    },
    control: {
      kind: "linear",
      step: 0.15,
      rate: 0.35,
      limit: 0.25,
      learningTime: 30,
      learningEdges: [0.012, 0.025, 0.05, 0.1, 0.18],
    },
    fullLoadLambda: { speed: [20, 50, 80, 105], value: [0.89, 0.87, 0.855, 0.84] },
  },
  {
    name: "hazel", // high-revving four, uneven volumetric efficiency, little film
    engine: {
      displacement: cm3(1590),
      compressionRatio: 11.4,
      volumetricEfficiency: {
        speed: [10, 25, 40, 55, 70, 85, 100, 118, 135],
        value: [0.6, 0.72, 0.84, 0.81, 0.9, 1.01, 1.04, 0.99, 0.88],
      },
      manifoldVolume: cm3(1700),
      throttleArea: { open: 1.9e-3, idle: 1.05e-5 },
      intakeLoss: 1.1e5,
      idleSpeed: rev(900),
      topSpeed: rev(7900),
      chargeHeating: 0.12,
    },
    vehicle: { mass: 1080, dragArea: 0.63, rolling: 0.011, gears: [7.6, 4.5, 3.15, 2.45, 1.95] },
    meter: {
      trueCurve: trueCurve({
        signal: "frequency",
        from: 1100,
        to: 8800,
        cells: 34,
        zero: 200,
        exponent: 2.4,
        fullFlow: 0.17,
        ripple: 0.035,
      }),
      timeConstant: 0.015,
      noise: 0.003,
      quantum: 1,
    },
    fuel: {
      stoichiometric: 14.7,
      film: { fraction: 0.12, time: 0.25 },
      filmCompensation: 0.3,
      fillingCompensation: 1.3,
    },
    exhaust: { fixedDelay: 0.1, revolutions: 1.25, gasMass: 0.8e-3 },
    lambdaSensor: {
      timeConstant: 0.055,
      whiteNoise: 0.009,
      slowNoise: 0.008,
      correlationTime: 0.6,
      outliers: { probability: 0.002, size: 0.2 },
      least: 0.65,
      greatest: 1.6,
    },
    control: {
      kind: "switching",
      step: 0.008,
      rate: 0.018,
      limit: 0.25,
      learningTime: 25,
      learningEdges: [0.005, 0.01, 0.02, 0.04],
    },
    fullLoadLambda: { speed: [20, 50, 80, 110, 130], value: [0.93, 0.9, 0.88, 0.86, 0.84] },
  },
  {
    name: "larch", // heavy six, deep film, slow control, voltage meter on a coarse converter
    engine: {
      displacement: cm3(3180),
      compressionRatio: 9.0,
      volumetricEfficiency: {
        speed: [10, 25, 42, 58, 75, 92, 104],
        value: [0.74, 0.83, 0.89, 0.92, 0.87, 0.79, 0.7],
      },
      manifoldVolume: cm3(5600),
      throttleArea: { open: 3.1e-3, idle: 1.7e-5 },
      intakeLoss: 5.5e4,
      idleSpeed: rev(740),
      topSpeed: rev(6000),
      chargeHeating: 0.3,
    },
    vehicle: { mass: 1830, dragArea: 0.82, rolling: 0.014, gears: [6.1, 3.5, 2.4, 1.75, 1.38] },
    meter: {
      trueCurve: trueCurve({
        signal: "voltage",
        from: 1,
        to: 4.9,
        cells: 80,
        zero: 0.3,
        exponent: 3.3,
        fullFlow: 0.24,
        ripple: 0.015,
      }),
      timeConstant: 0.02,
      noise: 0.0012,
      quantum: 5 / 1023,
    },
    fuel: {
      stoichiometric: 14.6,
      film: { fraction: 0.34, time: 1.1 },
      filmCompensation: 0.6,
      fillingCompensation: 0.85,
    },
    exhaust: { fixedDelay: 0.06, revolutions: 1.5, gasMass: 1.9e-3 },
    lambdaSensor: {
      timeConstant: 0.11,
      whiteNoise: 0.007,
      slowNoise: 0.01,
      correlationTime: 0.5,
      outliers: { probability: 0.004, size: 0.2 },
      least: 0.65,
      greatest: 1.5,
    },
    control: {
      kind: "linear",
      step: 0.1,
      rate: 0.15,
      limit: 0.15,
      learningTime: 90,
      learningEdges: [0.008, 0.02, 0.06],
    },
    fullLoadLambda: { speed: [20, 50, 80, 104], value: [0.91, 0.88, 0.87, 0.86] },
  },
];
