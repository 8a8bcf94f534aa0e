import type * as z from "zod";
import { type DriveChannel, readLog } from "../../drive/index.js";
import { at, BellmouthError } from "../../fault/index.js";
import { efficiencyOfPull, type PullSample } from "../../intake/index.js";
import type { Uncertain } from "../../sensor/index.js";
import type { RotationalSpeed, Volume } from "../../units/index.js";
import { buildColumns, columnsBlock } from "../columns-block.js";
import type { BuildContext } from "../document.js";
import { block, fileField, quantityField, uncertainField } from "../fields.js";
import { openLog } from "../log-columns.js";

/** Where a volumetric efficiency was measured. */
export interface MeasuredEfficiency {
  readonly file: string;
  readonly samples: number;
  /** as the pull shows it [1], without the gain */
  readonly efficiency: Uncertain;
  /** relative [1] */
  readonly gain: Uncertain;
}

/** `volumetric-efficiency` as measured in a pull, with what a change is expected to bring on top. */
export const pullEfficiencyBlock = () =>
  block({
    "from-pull": fileField(
      "Log of a full-throttle pull with airflow, engine speed, manifold pressure and intake air.",
      "pull.csv",
    ),
    columns: columnsBlock("What the log does not say itself.").optional(),
    gain: uncertainField("ratio", {
      about: "What the change is expected to add to the measured volumetric efficiency; none when left out.",
      example: "8 % ± 2 %",
      range: { from: -0.5, to: 1 },
      percent: true,
    }).optional(),
    accuracy: quantityField("ratio", {
      about:
        "Standard uncertainty of the table that the log's airflow was read through; the present meter's when left out.",
      example: "2 %",
      range: { from: 0, to: 0.3 },
      percent: true,
    }).optional(),
    density: quantityField("ratio", {
      about:
        "Standard uncertainty of the density that the log's manifold pressure and intake air mean (sensors, heat soak, humidity).",
      example: "1.5 %",
      range: { from: 0, to: 0.2 },
      percent: true,
    }),
  });

/** What a pull was measured on, and with. */
export interface PullEngine {
  readonly displacement: Volume;
  readonly strokes: 2 | 4;
  readonly speed: RotationalSpeed;
  /** whether the demand states its own manifold pressure */
  readonly ownPressure: boolean;
  /** of the present meter's table [1] */
  readonly accuracy: number;
}

/** Volumetric efficiency at the engine's speed, gain in it, and where it was measured; undefined after a collected fault. */
export function buildPullEfficiency(
  raw: z.output<ReturnType<typeof pullEfficiencyBlock>>,
  engine: PullEngine,
  path: string,
  context: BuildContext,
): { readonly volumetricEfficiency: Uncertain; readonly measured: MeasuredEfficiency } | undefined {
  const file = raw["from-pull"];
  const given = buildColumns(raw.columns, `${path}.columns`, context);
  if (given === undefined) return undefined;
  const samples = context.attempt(`${path}.from-pull`, () => {
    const name = context.nameOf(file);
    const text = context.open(file);
    const opened = openLog(text, given, name, NEEDED, { whole: true, trims: false });
    return samplesOf(readLog(text, opened.read.layout, opened.mapping, { name }).channels, name);
  });
  if (samples === undefined) return undefined;
  const found = context.attempt(`${path}.from-pull`, () =>
    efficiencyOfPull(samples, engine, {
      table: raw.accuracy?.value ?? engine.accuracy,
      density: raw.density.value,
    }),
  );
  if (found === undefined) return undefined;
  const { efficiency, manifoldPressure } = found;
  if (manifoldPressure > MOST_WEATHER && !engine.ownPressure) {
    context.fault(`${path}.from-pull`, {
      code: "E_SCHEMA",
      message:
        "the pull was boosted and the demand states no manifold pressure: the day's alone would ask for too little air",
      found: `${Math.round(manifoldPressure / 1000)} kPa absolute in the pull`,
      accepted: "'manifold-pressure' (and as a rule 'charge-temperature') beside it or in 'engine'",
    });
    return undefined;
  }
  const gain = { value: raw.gain?.value ?? 0, u: raw.gain?.u ?? 0 };
  const value = efficiency.value * (1 + gain.value);
  return {
    volumetricEfficiency: {
      value,
      u: Math.hypot(efficiency.u * (1 + gain.value), efficiency.value * gain.u),
    },
    measured: { file, samples: found.samples, efficiency, gain },
  };
}

/** No weather has more [Pa]: above it the manifold was boosted. */
const MOST_WEATHER = 110_000;

const NEEDED = ["airflow", "engineSpeed", "manifoldPressure", "intakeAir"] as const;
const WORDS = {
  airflow: "airflow",
  engineSpeed: "engine speed",
  manifoldPressure: "manifold pressure",
  intakeAir: "intake air",
};

/** Every airflow sample with the other channels read at its time. */
function samplesOf(
  channels: { readonly [name in (typeof NEEDED)[number]]?: DriveChannel },
  file: string,
): readonly PullSample[] {
  const { airflow, engineSpeed, manifoldPressure, intakeAir } = channels;
  if (
    airflow === undefined ||
    engineSpeed === undefined ||
    manifoldPressure === undefined ||
    intakeAir === undefined
  ) {
    throw new BellmouthError({
      code: "E_COLUMN",
      message: "this log does not tell a volumetric efficiency",
      found: `no column of ${NEEDED.filter((name) => channels[name] === undefined)
        .map((name) => WORDS[name])
        .join(", ")}`,
      accepted: "columns of airflow, engine speed, manifold pressure (absolute) and intake air",
      at: { file },
    });
  }
  const [speed, pressure, temperature] = [engineSpeed, manifoldPressure, intakeAir].map(reader) as [
    (time: number) => number,
    (time: number) => number,
    (time: number) => number,
  ];
  return Array.from(airflow.time, (time, i) => ({
    flow: at(airflow.value, i),
    speed: speed(time),
    manifoldPressure: pressure(time),
    chargeTemperature: temperature(time),
  }));
}

/** Value of a channel at rising times, on the line between its samples; its last one after them (a slow channel keeps its value). */
function reader({ time, value }: DriveChannel): (when: number) => number {
  let k = 0;
  return (when) => {
    while (k < time.length && (time[k] as number) < when) k++;
    if (k === 0) return time[0] === when ? (value[0] as number) : Number.NaN;
    const [a, b] = [value[k - 1] as number, value[k] ?? (value[k - 1] as number)];
    const [from, to] = [time[k - 1] as number, time[k] ?? when];
    return to > from ? a + ((b - a) * (when - from)) / (to - from) : b;
  };
}
