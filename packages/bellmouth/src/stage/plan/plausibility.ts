import type { Scenario, SwapDocument, TemperatureElement } from "../../document/index.js";
import { volumetricEfficiencyOf } from "../../intake/index.js";
import { figure, inUnit, percent } from "../../text/index.js";
import type { Finding } from "../result-parts.js";
import { type ScenarioDemand, scenarioDemands } from "./headroom.js";
import type { TemperaturePlan } from "./result.js";

type EngineScenario = Extract<Scenario, { kind: "engine" }>;
type Measured = Extract<Scenario, { kind: "log" }>;

/** Volumetric efficiencies that an engine hardly has at high flow [1]; common practice, no source. */
const LIKELY = { from: 0.6, to: 1.25 } as const;
/** Standard uncertainties by which two figures may differ before it is told. */
const APART = 2;

/** What the document's figures say against each other: demands, engine, measured pull. */
export function demandFindings(document: SwapDocument): readonly Finding[] {
  const demands = scenarioDemands(document);
  const pulls = document.scenarios.flatMap((scenario, i) =>
    scenario.kind === "log" ? [{ scenario, demand: demands[i] as ScenarioDemand }] : [],
  );
  const engines = document.scenarios.flatMap((scenario, i) =>
    scenario.kind === "engine" ? [{ scenario, demand: demands[i] as ScenarioDemand }] : [],
  );
  return pulls.flatMap((pull) => [
    ...engines.flatMap((engine) => belowPull(document, pull, engine)),
    ...impliedEfficiency(document, pull, engines[0]?.scenario),
  ]);
}

interface Of<S> {
  readonly scenario: S;
  readonly demand: ScenarioDemand;
}

const flowOf = (document: SwapDocument, { flow }: ScenarioDemand): string =>
  inUnit(flow.value, document.airflow.units.flow, "mass flow");

function belowPull(
  document: SwapDocument,
  pull: Of<Measured>,
  engine: Of<EngineScenario>,
): readonly Finding[] {
  const [a, b] = [pull.demand.flow, engine.demand.flow];
  if (!(a.value - b.value > APART * Math.hypot(a.u, b.u))) return [];
  const text = `'${engine.scenario.name}' asks for ${flowOf(document, engine.demand)} by its engine's figures (${engineText(engine.scenario)}), less than the ${flowOf(document, pull.demand)} that '${pull.scenario.name}' measured: displacement, speed, volumetric efficiency, manifold pressure or the log's unit is wrong.`;
  return [{ level: "caution", code: "demand-below-pull", text, cells: [] }];
}

const engineText = ({ engine }: EngineScenario): string =>
  `${inUnit(engine.displacement, "L", "volume")}, ${inUnit(engine.speed, "rpm", "rotational speed", 4)}, volumetric efficiency ${percent(engine.volumetricEfficiency.value)}`;

/** The volumetric efficiency that a pull means at the speed of the first engine scenario, in the document's air, beside the stated one. */
function impliedEfficiency(
  document: SwapDocument,
  { scenario, demand }: Of<Measured>,
  engine: EngineScenario | undefined,
): readonly Finding[] {
  if (engine === undefined) return [];
  const implied = volumetricEfficiencyOf(demand.flow, engine.engine, document.air);
  const stated = engine.engine.volumetricEfficiency;
  const figures = `'${scenario.name}' measured ${flowOf(document, demand)}, which at ${inUnit(engine.engine.speed, "rpm", "rotational speed", 4)} in ${inUnit(engine.engine.displacement, "L", "volume")} means a volumetric efficiency of ${percent(implied.value)}; '${engine.name}' states ${percent(stated.value)}`;
  if (implied.value < LIKELY.from || implied.value > LIKELY.to) {
    const text = `${figures}. Engines lie between ${percent(LIKELY.from)} and ${percent(LIKELY.to)}: displacement, speed, manifold pressure or the log's unit is wrong, or the log never reached full load at that speed.`;
    return [{ level: "caution", code: "implausible-demand", text, cells: [] }];
  }
  if (Math.abs(implied.value - stated.value) <= APART * Math.hypot(implied.u, stated.u)) return [];
  const text = `${figures}. The log may have reached its peak at another speed or on another day; else one of the two is wrong.`;
  return [{ level: "note", code: "efficiency-differs", text, cells: [] }];
}

/** Kelvins by which two elements' tables may differ at one resistance before it is told. */
const ELEMENTS_APART = 20;

/** What the temperature tables say against each other and past the band. */
export function temperatureFindings(
  document: SwapDocument,
  plan: TemperaturePlan | null,
): readonly Finding[] {
  const { temperature } = document;
  if (temperature === undefined || plan === null) return [];
  return [
    ...elementsApart(temperature),
    ...spanOf(temperature.next, temperature.ecu.band),
    ...pastBand(plan),
  ];
}

const degC = (kelvin: number): string => inUnit(kelvin, "degC", "temperature");

function elementsApart({ next, present }: NonNullable<SwapDocument["temperature"]>): readonly Finding[] {
  if (present === undefined || present.kind !== "points" || next.kind !== "points") return [];
  const at = middle(next.resistance);
  const [a, b] = [readAt(present, at), readAt(next, at)];
  if (a === undefined || b === undefined || Math.abs(a - b) < ELEMENTS_APART) return [];
  const text = `At ${figure(at, 3)} ohm the present element's table reads ${degC(a)} and the new one's ${degC(b)}. Two elements may differ that far; a table in degrees Fahrenheit marked degC, or resistances in another unit, does too.`;
  return [{ level: "caution", code: "elements-apart", text, cells: [] }];
}

const middle = (values: readonly number[]): number =>
  [...values].sort((a, b) => a - b)[values.length >> 1] as number;

/** Temperature of a table's points at a resistance, along ln R; undefined past its ends. */
function readAt(
  element: Extract<TemperatureElement, { kind: "points" }>,
  resistance: number,
): number | undefined {
  const { temperature, resistance: known } = element;
  for (let i = 1; i < known.length; i++) {
    const [a, b] = [known[i - 1] as number, known[i] as number];
    if ((resistance - a) * (resistance - b) > 0) continue;
    const share = a === b ? 0 : Math.log(resistance / a) / Math.log(b / a);
    return (
      (temperature[i - 1] as number) + share * ((temperature[i] as number) - (temperature[i - 1] as number))
    );
  }
  return undefined;
}

function spanOf(
  element: TemperatureElement,
  band: { readonly coldest: number; readonly hottest: number },
): readonly Finding[] {
  if (element.kind !== "points") return [];
  const [least, most] = [Math.min, Math.max].map((end) =>
    element.temperature.reduce((a, b) => end(a, b)),
  ) as [number, number];
  const short = Math.max(least - band.coldest, band.hottest - most);
  const wide = most - 273.15 > 200;
  if (!(short > ELEMENTS_APART) && !wide) return [];
  const text = `The new element's points span ${degC(least)} to ${degC(most)}, the band ${degC(band.coldest)} to ${degC(band.hottest)}: ${wide ? "few intake-air elements are measured that hot; check the unit of the temperatures" : `the table rests on the element's law over ${figure(short, 2)} K at one end`}.`;
  return [{ level: wide ? "caution" : "note", code: "element-span", text, cells: [] }];
}

/** What the table reads past the ends of the band, where its end cells hold the band's end. */
function pastBand(plan: TemperaturePlan): readonly Finding[] {
  const told = plan.pastBand.filter(({ read, true: t }) => Math.abs(read - t) > 1);
  if (told.length === 0) return [];
  const parts = told.map(({ true: t, read }) => `at ${degC(t)} the table reads ${degC(read)}`).join(", ");
  const hot = told.some(({ true: t, read }) => t > plan.band.hottest && read < t);
  return [
    {
      level: "note",
      code: "past-band",
      text: `Past the band of ${degC(plan.band.coldest)} to ${degC(plan.band.hottest)} the table is not held to the element: ${parts}.${hot ? " Hot air read as cooler takes spark retard away: knock. Widen the band if such air can occur." : ""}`,
      cells: [],
    },
  ];
}
