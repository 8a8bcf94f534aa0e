import type * as z from "zod";
import { omitUndefined } from "../../fault/index.js";
import type {
  Area,
  Mass,
  MassFlow,
  RotationalSpeed,
  TemperatureDifference,
  Time,
} from "../../units/index.js";
import { block, choiceField, quantityField } from "../fields.js";

const share = (about: string, example: string, from: number, to: number) =>
  quantityField("ratio", { about, example, range: { from, to }, percent: true });
const speed = (about: string, example: string) =>
  quantityField("rotational speed", { about, example, range: { over: 1, to: 400 } });
const time = (about: string, example: string, to: number) =>
  quantityField("time", { about, example, range: { from: 0, to } });

/** What is wrong with the simulated car, SI; every part is off when left out. */
export type SimulatedFaults = {
  readonly leakArea?: Area;
  /** delivered over commanded fuel [1] */
  readonly injectorGain?: number;
  /** over the nominal pressure [1] */
  readonly fuelPressure?: number;
  readonly heatSoak?: TemperatureDifference;
  /** share of the exhaust at idle [1] */
  readonly exhaustLeak?: number;
  readonly pulsation?: {
    /** over the mean flow [1] */
    readonly amplitude: number;
    readonly speed: RotationalSpeed;
    /** standard deviation in ln speed [1] */
    readonly width: number;
    /** manifold over outside pressure [1] */
    readonly loadFrom: number;
    readonly averages: "flow" | "signal";
  };
  readonly purge?: {
    readonly area: Area;
    /** share of fuel by mass [1] */
    readonly richness: number;
    readonly emptying: Mass;
    readonly period: Time;
    readonly duty: number;
  };
  readonly blend?: {
    readonly modelBelow: RotationalSpeed;
    readonly meterAbove: RotationalSpeed;
    readonly share: number;
    readonly error: { readonly lowLoad: number; readonly fullLoad: number };
  };
  readonly fuelSag?: {
    readonly capacity: MassFlow;
    readonly slope: number;
    readonly time: Time;
    /** share of the capacity lost in an hour [1/h] */
    readonly fade: number;
  };
  /** relative error of the metered air at full heat soak without flow [1] */
  readonly meterError?: { readonly soak: number };
  readonly lambdaSensor?: {
    readonly offset?: number;
    /** growing with time [1/h] */
    readonly drift?: number;
    readonly slope?: number;
    readonly stuckFrom?: Time;
    readonly feedsControl?: boolean;
  };
};

const pulsationBlock = () =>
  block(
    {
      amplitude: share(
        "Swing of the airflow over its mean at its worst; above 100 % the flow turns back: reversion.",
        "130 %",
        0,
        3,
      ),
      speed: speed("Engine speed where it is worst.", "1800 rpm"),
      width: share("Width of the range, standard deviation as a share of the engine speed.", "30 %", 0.01, 2),
      "load-from": share(
        "Manifold over outside pressure from which pulses reach the meter.",
        "70 %",
        0,
        0.99,
      ),
      averages: choiceField(
        ["flow", "signal"],
        "What the ECU averages over a cycle: the airflow of its table, or the signal before the table.",
      ),
    },
    "Airflow that swings with the inlet valves at the meter, at some engine speeds and high load.",
  );

const purgeBlock = () =>
  block(
    {
      area: quantityField("area", {
        about: "Effective area of the open valve.",
        example: "1.2 mm^2",
        range: { from: 0, to: 1e-4 },
      }),
      richness: share("Fuel in the gas of a full canister, share of its mass.", "10 %", 0, 1),
      emptying: quantityField("mass", {
        about: "Gas drawn that takes the fuel in it down to 37 %.",
        example: "300 g",
        range: { over: 0, to: 100 },
      }),
      period: quantityField("time", {
        about: "The valve opens anew every so often.",
        example: "120 s",
        range: { from: 1, to: 3600 },
      }),
      duty: share("Share of the period in which it is open.", "70 %", 0, 1),
    },
    "Fuel vapour drawn from a charcoal canister.",
  );

const blendBlock = () =>
  block(
    {
      "model-below": speed(
        "Up to this engine speed the airflow is modelled from speed and pressure.",
        "1500 rpm",
      ),
      "meter-above": speed("From this engine speed on it is the meter's alone.", "2500 rpm"),
      share: share("Share of the model where it counts most.", "100 %", 0, 1),
      "error-low-load": share("Error of the modelled airflow at 30 % of outside pressure.", "4 %", -0.5, 0.5),
      "error-full-load": share("Error of the modelled airflow at outside pressure.", "-5 %", -0.5, 0.5),
    },
    "An ECU that blends the meter with a modelled airflow at low engine speed.",
  );

const fuelSagBlock = () =>
  block(
    {
      capacity: quantityField("mass flow", {
        about: "Fuel up to which the pump holds the pressure.",
        example: "5 g/s",
        range: { from: 1e-5, to: 1 },
      }),
      slope: share("Loss of pressure for twice the capacity asked for.", "30 %", 0, 10),
      time: time("Time in which the pressure follows.", "0.5 s", 60),
      fade: share("Share of the capacity lost in an hour, as the fuel warms.", "20 %", 0, 2).optional(),
    },
    "A fuel pump that cannot hold the pressure at high demand.",
  );

const lambdaSensorBlock = () =>
  block(
    {
      offset: share("Relative error all along.", "1 %", -0.3, 0.3).optional(),
      drift: share("Relative error gathered in an hour.", "2 %", -0.3, 0.3).optional(),
      slope: share("Excess of what it shows away from lambda 1.", "5 %", -0.9, 3).optional(),
      "stuck-from": time("From then on it shows one value.", "10 min", 86_400).optional(),
      "feeds-control": choiceField(
        ["yes", "no"],
        "Whether the lambda feedback acts on this sensor.",
      ).optional(),
    },
    "What the lambda sensor shows wrongly.",
  );

/** The block `faults`. */
export const faultsBlock = () =>
  block(
    {
      leak: quantityField("area", {
        about: "Opening behind the meter, discharge coefficient included.",
        example: "1.5 mm^2",
        range: { from: 0, to: 1e-4 },
      }).optional(),
      injectors: share("Fuel delivered over fuel commanded.", "95 %", 0.5, 2).optional(),
      "fuel-pressure": share("Fuel pressure over its nominal value.", "90 %", 0.3, 3).optional(),
      "heat-soak": quantityField("temperature difference", {
        about: "What the intake-air sensor reads too high when hot and standing.",
        example: "10 K",
        range: { from: 0, to: 60 },
      }).optional(),
      "exhaust-leak": share(
        "Air drawn into the exhaust at idle, share of its flow.",
        "5 %",
        0,
        0.5,
      ).optional(),
      pulsation: pulsationBlock().optional(),
      purge: purgeBlock().optional(),
      blend: blendBlock().optional(),
      "fuel-sag": fuelSagBlock().optional(),
      "hot-housing": share(
        "What a hot, standing meter reads too much at little airflow.",
        "4 %",
        -0.5,
        0.5,
      ).optional(),
      "lambda-sensor": lambdaSensorBlock().optional(),
    },
    "What is wrong with the car besides its table; nothing when left out.",
  );

type RawFaults = z.output<ReturnType<typeof faultsBlock>>;

export function buildFaults(raw: RawFaults | undefined): SimulatedFaults {
  if (raw === undefined) return {};
  const { pulsation, purge, blend } = raw;
  const [sag, sensor, soak] = [raw["fuel-sag"], raw["lambda-sensor"], raw["hot-housing"]];
  return omitUndefined({
    leakArea: raw.leak?.value,
    injectorGain: raw.injectors?.value,
    fuelPressure: raw["fuel-pressure"]?.value,
    heatSoak: raw["heat-soak"]?.value,
    exhaustLeak: raw["exhaust-leak"]?.value,
    pulsation: pulsation && {
      amplitude: pulsation.amplitude.value,
      speed: pulsation.speed.value,
      width: pulsation.width.value,
      loadFrom: pulsation["load-from"].value,
      averages: pulsation.averages,
    },
    purge: purge && {
      area: purge.area.value,
      richness: purge.richness.value,
      emptying: purge.emptying.value,
      period: purge.period.value,
      duty: purge.duty.value,
    },
    blend: blend && {
      modelBelow: blend["model-below"].value,
      meterAbove: blend["meter-above"].value,
      share: blend.share.value,
      error: { lowLoad: blend["error-low-load"].value, fullLoad: blend["error-full-load"].value },
    },
    fuelSag: sag && {
      capacity: sag.capacity.value,
      slope: sag.slope.value,
      time: sag.time.value,
      fade: sag.fade?.value ?? 0,
    },
    meterError: soak && { soak: soak.value },
    lambdaSensor:
      sensor &&
      omitUndefined({
        offset: sensor.offset?.value,
        drift: sensor.drift?.value,
        slope: sensor.slope?.value,
        stuckFrom: sensor["stuck-from"]?.value,
        feedsControl: sensor["feeds-control"] === undefined ? undefined : sensor["feeds-control"] === "yes",
      }),
  });
}
