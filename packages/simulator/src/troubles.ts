import type { CarSpec } from "./car-spec.js";
import type { FaultSpec } from "./drive-spec.js";
import { between, type Random } from "./random.js";

/** Ordinary things besides the table that are not as an estimator assumes. */
export const troubleKinds = [
  "reversion",
  "pulsation",
  "purge",
  "blended airflow",
  "fuel pressure sag",
  "lambda sensor drift",
  "heat soak",
  "drives differ",
  "leak",
  "injector offset",
  "fuel scale",
  "lambda sensor offset",
  "lambda sensor stuck",
  "trims only",
  "narrow-band feedback",
  "trims wind up",
  "trims held",
] as const;
export type TroubleKind = (typeof troubleKinds)[number];

/** Kinds whose logs hold trims and no lambda. */
export const trimsAlone: ReadonlySet<TroubleKind> = new Set([
  "trims only",
  "narrow-band feedback",
  "trims wind up",
  "trims held",
]);

const sign = (random: Random): number => (random.uniform() < 0.5 ? -1 : 1);
/** Air through the idle bypass at choked vacuum, 100 kPa and 20 degC [kg/s] a square metre. */
const CHOKED_FLUX = 236;
/** About what the engine draws at full load and speed [kg/s]. */
const fullAir = ({ engine }: CarSpec): number => 0.5 * engine.displacement * engine.topSpeed * 1.05;

/**
 * A car with one trouble, its size and place drawn at random. Ranges are what road cars show; common practice, no source.
 * What belongs to several drives or to the log alone (`drives differ`, trims without lambda) is not drawn here.
 */
export function drawTrouble(
  kind: TroubleKind,
  car: CarSpec,
  random: Random,
): { readonly car: CarSpec; readonly faults: FaultSpec } {
  const from = (least: number, most: number): number => between(random, least, most);
  const { engine, control } = car;
  const faulty = (faults: FaultSpec) => ({ car, faults });
  const controlled = (part: Partial<typeof control>) => ({
    car: { ...car, control: { ...control, ...part } },
    faults: {},
  });
  /** A wide-band sensor that linear feedback acts on is the one in the log. */
  const feedsControl = control.kind === "linear";
  switch (kind) {
    case "reversion":
      return faulty({
        pulsation: {
          amplitude: from(1.12, 1.45),
          speed: from(22, 44),
          width: from(0.2, 0.45),
          loadFrom: from(0.4, 0.75),
          averages: "flow",
        },
      });
    case "pulsation":
      return faulty({
        pulsation: {
          amplitude: from(0.45, 0.95),
          speed: from(24, 80),
          width: from(0.15, 0.4),
          loadFrom: from(0.3, 0.8),
          averages: "signal",
        },
      });
    case "purge":
      return faulty({
        purge: {
          area: from(0.3, 0.9) * engine.displacement * 1e-3,
          richness: from(0.03, 0.14),
          emptying: from(0.1, 0.5) * engine.displacement * 500,
          period: from(60, 300),
          duty: from(0.5, 0.9),
        },
      });
    case "blended airflow": {
      const modelBelow = from(20, 34);
      return faulty({
        blend: {
          modelBelow,
          meterAbove: modelBelow + from(8, 25),
          share: from(0.5, 1),
          error: { lowLoad: from(-0.08, 0.08), fullLoad: from(-0.08, 0.08) },
        },
      });
    }
    case "fuel pressure sag":
      return faulty({
        fuelSag: {
          capacity: (from(0.45, 0.8) * fullAir(car)) / car.fuel.stoichiometric,
          slope: from(0.1, 0.4),
          time: from(0.2, 1),
          fade: from(0, 0.4),
        },
      });
    case "lambda sensor drift":
      return faulty({
        lambdaSensor: { drift: sign(random) * from(0.01, 0.04), slope: from(-0.05, 0.05), feedsControl },
      });
    case "heat soak":
      return faulty({ heatSoak: from(5, 20), meterError: { soak: sign(random) * from(0.02, 0.06) } });
    case "leak":
      return faulty({ leakArea: engine.throttleArea.idle * from(0.12, 0.3) });
    case "injector offset": {
      const idleFuel = (CHOKED_FLUX * engine.throttleArea.idle) / car.fuel.stoichiometric;
      const cycle = idleFuel / (engine.idleSpeed / 2);
      return faulty({ injectorOffset: sign(random) * from(0.06, 0.15) * cycle });
    }
    case "fuel scale":
      return faulty({ injectorGain: 1 + from(-0.025, 0.025) });
    case "lambda sensor offset":
      return faulty({
        lambdaSensor: { offset: from(-0.025, 0.025), feedsControl },
      });
    case "narrow-band feedback":
      return controlled({
        kind: "switching",
        step: from(0.008, 0.025),
        rate: from(0.015, 0.05),
        narrowBand: {
          switchPoint: 1 + from(-0.003, 0.003),
          hysteresis: from(0.001, 0.008),
          leanDelay: from(0, 0.08),
        },
      });
    case "trims wind up":
      return controlled({ atRest: "wind up" });
    case "trims held":
      return controlled({ atRest: "hold" });
    default:
      return faulty({});
  }
}
