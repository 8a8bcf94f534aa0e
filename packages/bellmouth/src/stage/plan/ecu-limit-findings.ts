import type { SwapDocument } from "../../document/index.js";
import { chance, figure, inUnit, percent } from "../../text/index.js";
import type { Finding } from "../result-parts.js";
import { LIMITS } from "./limits.js";
import type { EcuLimitsPlan, PlanResult } from "./result.js";

/** Shift of the load axis [cells] from which it is told. */
const SHIFT_TOLD = 0.05;

/** What the ECU's own limits say of the demands, each with both numbers. */
export function ecuLimitFindings(
  document: SwapDocument,
  limits: EcuLimitsPlan | null,
  units: PlanResult["units"],
): readonly Finding[] {
  if (limits === null) return [];
  const write: Writers = {
    flow: (value) => inUnit(value, units.flow, "mass flow"),
    signal: (value) => inUnit(value, units.signal, document.signal, 4),
    air: (value) => inUnit(value, "mg", "mass"),
  };
  return [
    ...airflowField(limits, write),
    ...loadAxis(limits, write),
    ...loadShift(limits),
    ...thresholds(limits, write),
    ...idle(limits, write),
  ];
}

interface Writers {
  readonly flow: (value: number) => string;
  readonly signal: (value: number) => string;
  readonly air: (value: number) => string;
}

const caution = (code: string, text: string): Finding => ({ level: "caution", code, text });
const note = (code: string, text: string): Finding => ({ level: "note", code, text });

const likely = (value: number | null | undefined): value is number => (value ?? 0) >= LIMITS.chance;

function airflowField({ airflow, scale, scenarios }: EcuLimitsPlan, write: Writers): readonly Finding[] {
  if (airflow === null) return [];
  const found = scenarios
    .filter(({ chanceAirflow }) => likely(chanceAirflow))
    .map(({ name, reads, chanceAirflow }) =>
      caution(
        "airflow-field",
        `'${name}' reads ${write.flow(reads)}; the ECU's airflow field holds at most ${write.flow(airflow)}. Probability that it is met, and all air above it is not fuelled (lean): ${chance(chanceAirflow ?? 0)}.`,
      ),
    );
  if (scale === null) return found;
  // Rounded down: rounding up would leave more than the accepted chance.
  const factor = Math.floor(1000 * scale) / 1000;
  return [
    ...found,
    caution(
      "scale-together",
      `The airflow field does not grow with the table. The consistent way out multiplies by one factor, ${figure(factor, 3)} or less: all flows of the airflow table, the injectors' flow (dead times stay) and the breakpoints of every load axis. Whatever else the ECU computes from airflow or load changes with it and must be scaled or checked as well: torque model and its limits, idle air, fuel mass limits and transient fuelling, limits and diagnoses in flow or load, consumption shown. One of them left out leaves mixture or ignition wrong. (Common practice, no source.) Check with a wideband lambda sensor before any load.`,
    ),
  ];
}

function loadAxis({ cylinderAir: end, scenarios }: EcuLimitsPlan, write: Writers): readonly Finding[] {
  if (end === null) return [];
  const found = scenarios.flatMap(({ name, cylinderAir: air }) =>
    air !== null && likely(air.chance)
      ? [
          caution(
            "load-axis-end",
            `'${name}' reads ${write.air(air.reads)} of air per cylinder and stroke; the load axis ends at ${write.air(end)}. Probability that it is passed, where ignition and mixture targets no longer follow the load: ${chance(air.chance)}.`,
          ),
        ]
      : [],
  );
  const untold = scenarios.filter(({ cylinderAirUnknown }) => cylinderAirUnknown !== null);
  if (untold.length === 0) return found;
  const why = untold.map(({ name, cylinderAirUnknown }) => `'${name}' (${cylinderAirUnknown})`).join(", ");
  return [...found, note("load-axis-not-told", `Whether the load axis is passed cannot be told for ${why}.`)];
}

/** The ECU looks load up by the air that it reads: what the table adds to it moves every look-up. */
function loadShift({ scenarios }: EcuLimitsPlan): readonly Finding[] {
  const shifted = scenarios.flatMap(({ name, cylinderAir: air }) =>
    air === null || air.cells === null || Math.abs(air.cells) < SHIFT_TOLD
      ? []
      : [{ name, air, cells: air.cells }],
  );
  const worst = shifted.reduce<(typeof shifted)[number] | undefined>(
    (a, b) => (a === undefined || Math.abs(b.cells) > Math.abs(a.cells) ? b : a),
    undefined,
  );
  if (worst === undefined) return [];
  const { name, air, cells } = worst;
  const text = `The table as stored, rich bias in it, reads ${percent(Math.abs(air.reads / air.value - 1), 2)} ${cells > 0 ? "more" : "less"} than the air of '${name}': the load axis is read ${figure(Math.abs(cells), 2)} cells too ${cells > 0 ? "high" : "low"}, in every table over load${cells > 0 ? "" : "; ignition tables as a rule give more advance there: knock"}.`;
  return [
    Math.abs(cells) >= LIMITS.loadShift ? caution("load-axis-shift", text) : note("load-axis-shift", text),
  ];
}

function thresholds({ signal: { low, high }, scenarios }: EcuLimitsPlan, write: Writers): readonly Finding[] {
  return scenarios.flatMap(({ name, signal, chanceHigh, chanceLow }) => [
    ...(high !== null && likely(chanceHigh)
      ? [
          caution(
            "signal-fault-high",
            `'${name}' reaches ${write.signal(signal)}; the ECU sets a fault above ${write.signal(high)}. Probability: ${chance(chanceHigh)}.`,
          ),
        ]
      : []),
    ...(low !== null && likely(chanceLow)
      ? [
          caution(
            "signal-fault-low",
            `'${name}' reaches ${write.signal(signal)}; the ECU sets a fault below ${write.signal(low)}. Probability: ${chance(chanceLow)}.`,
          ),
        ]
      : []),
  ]);
}

function idle({ signal: { low }, idleLow }: EcuLimitsPlan, write: Writers): readonly Finding[] {
  if (low === null) return [];
  if (idleLow === null) {
    return [
      note(
        "idle-fault-not-told",
        "Whether idle meets the low fault threshold cannot be told: no idle is given.",
      ),
    ];
  }
  if (!likely(idleLow.chance)) return [];
  return [
    caution(
      "idle-fault-low",
      `Idle reads ${write.signal(idleLow.signal)}; the ECU sets a fault below ${write.signal(low)}. Probability at steady idle: ${chance(idleLow.chance)}; a dip of the speed goes lower.`,
    ),
  ];
}
