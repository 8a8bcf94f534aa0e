import type * as z from "zod";
import { type Length, metres } from "../../units/index.js";
import { type BuildContext, type DocumentKind, defineDocument } from "../document.js";
import { LONGEST_AXIS } from "./axis.js";
import { buildDay, buildIdle, buildScenario } from "./demand.js";
import { buildEcuAirflow } from "./ecu-airflow.js";
import { uncertain } from "./housing.js";
import { buildMeter, buildNewMeter, signalOf } from "./meters.js";
import type { BoreSweep, MeterLoss, SwapDocument } from "./swap-document.js";
import { swapSchema } from "./swap-schema.js";
import { buildEcuTemperature, buildElement } from "./temperature.js";

type RawSwap = z.output<ReturnType<typeof swapSchema>>;

/** Most bores of a sweep. */
const MOST_BORES = 500;

/** `bellmouth: swap 1`, the document of a housing swap. */
export const swapDocument: DocumentKind<SwapDocument> = defineDocument({
  name: "swap",
  version: 1,
  about: "A change of air meter housing: what is fitted now, what will be, and what the ECU does with it.",
  schema: swapSchema,
  build: buildSwap,
});

function buildSwap(raw: RawSwap, context: BuildContext): SwapDocument | undefined {
  const present = buildMeter(raw.present, "present", context);
  const next = buildNewMeter(raw.new, context);
  const signal = raw.new.donor?.signal ?? raw.present.signal;
  const airflow = buildEcuAirflow(raw.ecu.airflow, raw.present.signal, signal, context);
  const scenarios = raw.scenarios.map((one, i) => buildScenario(one, raw.engine, `scenarios[${i}]`, context));
  refuseTwins(raw.scenarios, context);
  const idle = raw.idle === undefined ? undefined : buildIdle(raw.idle, raw.engine, context);
  const temperature = buildTemperature(raw, context);
  const loss = raw.restriction === undefined ? undefined : lossOf(raw.restriction);
  const sweep = raw.sweep === undefined ? undefined : buildSweep(raw.sweep, signal, context);
  if (present === undefined || next === undefined || airflow === undefined) return undefined;
  const rows = present.table.signal.length;
  if (airflow.axis.kind === "as-present" && rows > LONGEST_AXIS) {
    context.fault("ecu.airflow.axis", {
      code: "E_TOO_LARGE",
      message: "the present table has more breakpoints than an ECU's table",
      found: `${rows}`,
      accepted: `at most ${LONGEST_AXIS}, or another axis`,
    });
    return undefined;
  }
  return {
    kind: "swap",
    title: raw.title,
    signal,
    present,
    next,
    air: buildDay(raw.air),
    airflow,
    ...(temperature === undefined ? {} : { temperature }),
    scenarios: scenarios.filter((one) => one !== undefined),
    ...(idle === undefined ? {} : { idle }),
    ...(loss === undefined ? {} : { loss }),
    ...(sweep === undefined ? {} : { sweep }),
    safety: { richBias: raw.safety["rich-bias"], highFlowFrom: raw.safety["high-flow-from"].value },
  };
}

function buildTemperature(raw: RawSwap, context: BuildContext): SwapDocument["temperature"] {
  const ecu = raw.ecu.temperature;
  const elements = raw["temperature-element"];
  if (ecu === undefined || elements === undefined) {
    if (ecu !== undefined || elements !== undefined) {
      context.fault(ecu === undefined ? "temperature-element" : "ecu.temperature", {
        code: "E_SCHEMA",
        message: "'ecu.temperature' and 'temperature-element' go together",
        accepted: "both, or neither when the temperature element stays as it is",
      });
    }
    return undefined;
  }
  const built = buildEcuTemperature(ecu, context);
  const next = buildElement(elements.new, "temperature-element.new", context);
  const present =
    elements.present === undefined
      ? undefined
      : buildElement(elements.present, "temperature-element.present", context);
  if (built === undefined || next === undefined) return undefined;
  return { ecu: built, next, ...(present === undefined ? {} : { present }) };
}

function lossOf(raw: NonNullable<RawSwap["restriction"]>): MeterLoss | undefined {
  if (raw.loss !== undefined) return { kind: "coefficient", loss: uncertain(raw.loss) };
  if (raw.drop === undefined || raw.at === undefined) return undefined;
  return { kind: "drop", drop: uncertain(raw.drop), flow: uncertain(raw.at) };
}

function buildSweep(
  raw: NonNullable<RawSwap["sweep"]>,
  signal: SwapDocument["signal"],
  context: BuildContext,
): BoreSweep | undefined {
  const { from, to, step, limits } = raw;
  const idle = limits?.["idle-signal"];
  const idleSignal =
    idle === undefined ? undefined : signalOf(idle, signal, "sweep.limits.idle-signal", context);
  if (!(from.value < to.value)) {
    context.fault("sweep.to", {
      code: "E_ORDER",
      message: "'to' must lie above 'from'",
      found: `'${to.text}' after '${from.text}'`,
      accepted: `more than ${from.text}`,
    });
    return undefined;
  }
  // A whole number of steps may come out a last bit short.
  const count = Math.floor((to.value - from.value) / step.value + 1e-9) + 1;
  if (!(count <= MOST_BORES)) {
    context.fault("sweep.step", {
      code: "E_TOO_LARGE",
      message: "a sweep of too many bores",
      found: `${count}`,
      accepted: `at most ${MOST_BORES}`,
    });
    return undefined;
  }
  const bores: readonly Length[] = Array.from({ length: count }, (_, i) =>
    metres(from.value + i * step.value),
  );
  return {
    bores,
    limits: {
      ...(limits?.share === undefined ? {} : { share: limits.share.value }),
      ...(limits?.drop === undefined ? {} : { drop: limits.drop.value }),
      ...(idleSignal === undefined ? {} : { idleSignal }),
    },
  };
}

/** Results name scenarios; two of one name could not be told apart. */
function refuseTwins(scenarios: RawSwap["scenarios"], context: BuildContext): void {
  scenarios.forEach((one, i) => {
    const first = scenarios.findIndex((other) => other.name === one.name);
    if (first === i) return;
    context.fault(`scenarios[${i}].name`, {
      code: "E_SCHEMA",
      message: "two scenarios of the same name",
      found: `'${one.name}'`,
      accepted: "a name of its own",
    });
  });
}
