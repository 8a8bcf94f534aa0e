import type * as z from "zod";
import { omitUndefined } from "../../fault/index.js";
import type { SignalKind } from "../../sensor/index.js";
import { kilogramsPerSecond, type MassFlow } from "../../units/index.js";
import { type BuildContext, type DocumentKind, defineDocument } from "../document.js";
import { block, numberField, quantityField, textLineField } from "../fields.js";
import { headerField } from "../header-field.js";
import { LONGEST_AXIS } from "./axis.js";
import {
  buildDay,
  buildIdle,
  buildScenario,
  type Day,
  dayBlock,
  engineBlock,
  type Idle,
  idleBlock,
  type Scenario,
  scenariosField,
} from "./demand.js";
import { buildEcuAirflow, type EcuAirflow, ecuAirflowBlock } from "./ecu-airflow.js";
import { buildEcuLimits, type EcuLimits, ecuLimitsBlock } from "./ecu-limits.js";
import { buildEcuTemperature, type EcuTemperature, ecuTemperatureBlock } from "./ecu-temperature.js";
import { buildElement, elementBlock, type TemperatureElement } from "./element.js";
import { buildMeter, buildNewMeter, type Meter, type NewMeter, newBlock, presentBlock } from "./meters.js";
import { type BoreSweep, buildSweep, lossBlock, lossOf, type MeterLoss, sweepBlock } from "./sweep.js";
import { buildTransfer, type Transfer } from "./transfer.js";

/**
 * Shape of the swap document. Where a wrong default would give a plausible wrong table, the key is required; keys that
 * may be left out only leave results out.
 */
const swapSchema = () =>
  block({
    bellmouth: headerField("swap", 1),
    title: textLineField("Names the job in results."),
    present: presentBlock(),
    new: newBlock(),
    air: dayBlock("Air that flows are rescaled at: its viscosity sets the velocity profile."),
    ecu: block({
      airflow: ecuAirflowBlock(),
      temperature: ecuTemperatureBlock().optional(),
      limits: ecuLimitsBlock().optional(),
    }),
    "temperature-element": block({ present: elementBlock().optional(), new: elementBlock() }).optional(),
    engine: engineBlock().optional(),
    scenarios: scenariosField(),
    idle: idleBlock().optional(),
    restriction: lossBlock().optional(),
    sweep: sweepBlock().optional(),
    safety: block({
      "rich-bias": numberField(
        "Raise uncertain high-flow cells by this many standard uncertainties, so that the engine errs rich; 0 for none.",
        0,
        3,
      ),
      "high-flow-from": quantityField("mass flow", {
        about: "Flows from here on count as high.",
        example: "100 g/s",
        range: { over: 0, to: 5 },
      }),
      "rich-bias-from": quantityField("mass flow", {
        about:
          "Flow at which a rich bias begins; it grows from here to 'high-flow-from', so that the table gets no step. Half of 'high-flow-from' when left out.",
        example: "50 g/s",
        range: { from: 0, to: 5 },
      }).optional(),
    }),
  });

/** A housing swap, read: all numbers SI, files loaded. */
export interface SwapDocument {
  readonly kind: "swap";
  readonly title: string;
  /** Signal kind of the new meter, which the new table's axis has. */
  readonly signal: SignalKind;
  readonly present: Meter;
  readonly next: NewMeter;
  /** Measured pairs of the new meter. */
  readonly transfer?: Transfer;
  /** Air that the flows are rescaled at (viscosity) and drops are counted at (density). */
  readonly air: Day;
  readonly airflow: EcuAirflow;
  readonly ecuLimits?: EcuLimits;
  readonly temperature?: {
    readonly ecu: EcuTemperature;
    readonly present?: TemperatureElement;
    readonly next: TemperatureElement;
  };
  readonly scenarios: readonly Scenario[];
  readonly idle?: Idle;
  readonly loss?: MeterLoss;
  readonly sweep?: BoreSweep;
  readonly safety: {
    /** raise uncertain high-flow cells by this many standard uncertainties; 0 for none */
    readonly richBias: number;
    /** flows from here on count as high [kg/s] */
    readonly highFlowFrom: MassFlow;
    /** flow at which the bias begins [kg/s] */
    readonly richBiasFrom: MassFlow;
  };
}

type RawSwap = z.output<ReturnType<typeof swapSchema>>;

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
  const common = { engine: raw.engine, accuracy: raw.present.accuracy.value };
  const scenarios = raw.scenarios.map((one, i) => buildScenario(one, common, `scenarios[${i}]`, context));
  refuseTwins(raw.scenarios, context);
  const idle = raw.idle === undefined ? undefined : buildIdle(raw.idle, common, context);
  const temperature = buildTemperature(raw, context);
  const loss = raw.restriction === undefined ? undefined : lossOf(raw.restriction);
  const sweep = raw.sweep === undefined ? undefined : buildSweep(raw.sweep, signal, context);
  if (present === undefined || next === undefined || airflow === undefined) return undefined;
  const transfer =
    raw.new.transfer === undefined
      ? undefined
      : buildTransfer(
          raw.new.transfer,
          {
            present: present.table,
            element: next.source === "donor" ? next.donor.table : present.table,
            axis: airflow.axis.kind === "values" ? airflow.axis.values : present.table.signal,
          },
          context,
        );
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
  return omitUndefined({
    kind: "swap",
    title: raw.title,
    signal,
    present,
    next,
    transfer,
    air: buildDay(raw.air),
    airflow,
    temperature,
    ecuLimits: raw.ecu.limits === undefined ? undefined : buildEcuLimits(raw.ecu.limits, signal, context),
    scenarios: scenarios.filter((one) => one !== undefined),
    idle,
    loss,
    sweep,
    safety: buildSafety(raw.safety, context),
  });
}

function buildSafety(raw: RawSwap["safety"], context: BuildContext): SwapDocument["safety"] {
  const highFlowFrom = raw["high-flow-from"].value;
  const begins = raw["rich-bias-from"];
  if (begins !== undefined && begins.value > highFlowFrom) {
    context.fault("safety.rich-bias-from", {
      code: "E_ORDER",
      message: "a rich bias begins at or below the flow from which it is whole",
      found: `'${begins.text}'`,
      accepted: `at most ${raw["high-flow-from"].text}`,
    });
  }
  return {
    richBias: raw["rich-bias"],
    highFlowFrom,
    richBiasFrom: begins?.value ?? kilogramsPerSecond(highFlowFrom / 2),
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
  return omitUndefined({ ecu: built, next, present });
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
