import type * as z from "zod";
import { airDensity, type MoistAir } from "../../air/index.js";
import { omitUndefined } from "../../fault/index.js";
import {
  engineDemand,
  stepLosses,
  type Tract,
  type TractChange,
  type TractPoint,
} from "../../intake/index.js";
import type { Uncertain } from "../../sensor/index.js";
import type { UncertainReading } from "../../text/index.js";
import { columnOf, readTable, type Table } from "../../text/index.js";
import {
  type Area,
  kilogramsPerSecond,
  type PressureDifference,
  pascals,
  pascalsDifference,
  revsPerSecond,
  squareMetres,
} from "../../units/index.js";
import { buildAir } from "../air-fields.js";
import { type BuildContext, type DocumentKind, defineDocument } from "../document.js";
import { openTable } from "../table-file.js";
import type { RestrictionDocument } from "./restriction-document.js";
import { restrictionSchema } from "./restriction-schema.js";

type RawRestriction = z.output<ReturnType<typeof restrictionSchema>>;
type RawElement = RawRestriction["elements"][number];

/** `bellmouth: restriction 1`, the document of a restriction budget. */
export const restrictionDocument: DocumentKind<RestrictionDocument> = defineDocument({
  name: "restriction",
  version: 1,
  about: "Pressures along an intake tract, from which it is computed what each part takes.",
  schema: restrictionSchema,
  build: buildRestriction,
});

function buildRestriction(raw: RawRestriction, context: BuildContext): RestrictionDocument | undefined {
  const air = buildAir(raw.air);
  const tract = buildTract(raw, context);
  const table = context.attempt("readings", () => openReadings(raw, context));
  const changes = (raw.changes ?? []).flatMap((change, i) => {
    const built = buildChange(change, `changes[${i}]`, raw, context);
    return built === undefined ? [] : [built];
  });
  if (table === undefined || tract === undefined) return undefined;
  const bySpeed = table.columns["flow"] === undefined;
  if (bySpeed && raw.engine === undefined) {
    context.fault("readings", {
      code: "E_SCHEMA",
      message: "readings by engine speed need an engine, from which the flow is reckoned",
      accepted: "an 'engine' block, or a column flow [g/s]",
    });
    return undefined;
  }
  if (boosted(raw, air) && raw.engine?.["charge-temperature"] === undefined) {
    context.fault("engine", {
      code: "E_SCHEMA",
      message: "a boosted engine's flow needs the temperature of its charge",
      found: "'manifold-pressure' above the outside air without 'charge-temperature'",
      accepted: "'charge-temperature', measured in the manifold",
    });
    return undefined;
  }
  if (raw.measured === "part-by-part" && raw["pressure-reads"] === "absolute") {
    context.fault("measured", {
      code: "E_SCHEMA",
      message: "a drop over one part is a difference, not an absolute pressure",
      found: "'measured: part-by-part' with 'pressure-reads: absolute'",
      accepted: "'pressure-reads' left out, or 'measured: from-outside'",
    });
    return undefined;
  }
  const points = context.attempt("readings", () => pointsOf(table, raw, air));
  if (points === undefined) return undefined;
  return {
    kind: "restriction",
    title: raw.title,
    air,
    tract,
    points,
    flows: bySpeed ? "reckoned" : "measured",
    options: omitUndefined({
      measured: raw.measured === "part-by-part" ? ("part by part" as const) : undefined,
      law: raw.law === "square" ? "square" : "linear and square",
      independent: raw.independent ?? "points",
      peak: raw.peak?.value,
      gauges: raw.gauges?.map(({ elements, zero, gain }) => ({
        elements,
        zero: zero.value,
        gain: gain.value,
      })),
      resolution: raw["gauge-step"]?.value,
      readingUncertainty: raw["reading-uncertainty"]?.value,
    }),
    changes,
    engineFlow: boosted(raw, air) ? "held" : "follows density",
    filling: fillingOf(table, points, raw, air),
    units: {
      pressure: shownUnit(table, raw),
      flow: bySpeed ? "g/s" : columnOf(table, "flow").unit,
    },
  };
}

/** Drops are shown in the unit of the readings, without the word that tells absolute from below outside. */
const shownUnit = (table: Table, raw: RawRestriction): string =>
  columnOf(table, raw.elements[0]?.name ?? "")
    .unit.replace(/ (absolute|abs|gauge)$/u, "")
    .replace(/^psi[ag]$/u, "psi");

/** Area of a round section from its bore, with the bore's uncertainty. */
export function areaOfBore(bore: UncertainReading<"length">): Uncertain<Area> {
  const value = squareMetres((Math.PI / 4) * bore.value * bore.value);
  return { value, u: squareMetres((2 * value * bore.u) / bore.value) };
}

function buildTract(raw: RawRestriction, context: BuildContext): Tract | undefined {
  const names = raw.elements.map((element) => element.name.toLowerCase());
  let good = true;
  const elements = raw.elements.map((element, i): Tract["elements"][number] => {
    const refuse = (key: string, message: string, accepted: string): void => {
      context.fault(`elements[${i}].${key}`, { code: "E_SCHEMA", message, accepted });
      good = false;
    };
    if (names.indexOf(element.name.toLowerCase()) !== i)
      refuse("name", "this name stands twice", "a name of its own");
    if (["pull", "flow", "speed"].includes(element.name.toLowerCase())) {
      refuse("name", "this is the name of another column of the readings", "another name");
    }
    if (/[[\]]/u.test(element.name)) {
      refuse("name", "brackets in a column's name hold its unit", "a name without brackets");
    }
    if (element.bore !== undefined && element.area !== undefined) {
      refuse("area", "'area' does not go with 'bore'", "one of them");
    }
    const area = areaOf(element);
    const tapped = element["tapping-bore"] === undefined ? area : areaOfBore(element["tapping-bore"]);
    if (element.tapping === "static" && tapped === undefined) {
      refuse(
        "tapping",
        "a static tapping reads less by the stream's own head, so its bore must be known",
        "'tapping-bore', or 'bore' or 'area' of the part",
      );
    }
    return omitUndefined({
      name: element.name,
      role: element.role,
      area,
      end:
        element.tapping === "static" && tapped !== undefined
          ? ({ reads: "static", area: tapped } as const)
          : ({ reads: "total" } as const),
    });
  });
  return good ? { elements } : undefined;
}

const areaOf = (element: RawElement): Uncertain<Area> | undefined =>
  element.bore !== undefined
    ? areaOfBore(element.bore)
    : element.area === undefined
      ? undefined
      : { value: element.area.value, u: squareMetres(element.area.u) };

function openReadings(raw: RawRestriction, context: BuildContext): Table {
  const { text, ...options } = openTable(raw.readings, context);
  return readTable(
    text,
    [
      { name: "pull", aliases: ["run"], dimensions: ["ratio"] },
      {
        name: "flow",
        aliases: ["airflow", "mass flow"],
        dimensions: ["mass flow"],
        optional: true,
        holds: "airflow",
      },
      {
        name: "speed",
        aliases: ["engine speed"],
        dimensions: ["rotational speed"],
        optional: true,
        holds: "engine speed",
      },
      ...raw.elements.map((element) => ({
        name: element.name,
        // A bare unit is a drop below the outside air; an absolute pressure says so.
        dimensions: ["pressure difference", "pressure"] as const,
        blanks: "missing" as const,
      })),
    ],
    options,
  );
}

function pointsOf(table: Table, raw: RawRestriction, air: MoistAir): TractPoint[] {
  const pull = columnOf(table, "pull").values;
  const bySpeed = table.columns["flow"] === undefined;
  const flow = columnOf(table, bySpeed ? "speed" : "flow").values;
  return Array.from({ length: table.rows }, (_, r) => {
    const drops = dropsOfRow(table, r, raw, air.pressure);
    return {
      pull: `pull ${pull[r]}`,
      flow: bySpeed ? flowAtSpeed(flow[r] as number, drops, raw, air) : kilogramsPerSecond(flow[r] as number),
      drops,
    };
  });
}

/** Drops below outside at the end of each part [Pa], from what the columns read. */
function dropsOfRow(table: Table, r: number, raw: RawRestriction, outside: number): PressureDifference[] {
  let gone = 0;
  return raw.elements.map((element): PressureDifference => {
    const column = columnOf(table, element.name);
    const value = column.values[r] as number;
    const reads = column.dimension === "pressure" ? "absolute" : raw["pressure-reads"];
    const drop = reads === "absolute" ? outside - value : reads === "gauge" ? -value : value;
    if (raw.measured !== "part-by-part") return pascalsDifference(drop);
    gone += drop;
    return pascalsDifference(gone);
  });
}

/** Highest flow of the points over displacement x cycles x outside density. */
function fillingOf(
  table: Table,
  points: readonly TractPoint[],
  { engine }: RawRestriction,
  air: MoistAir,
): number | null {
  const speeds = table.columns["speed"]?.values;
  if (engine === undefined || engine["manifold-pressure"] !== undefined || speeds === undefined) return null;
  const drawn = (engine.displacement.value * airDensity(air)) / (engine.strokes === 2 ? 1 : 2);
  return points.reduce((most, { flow }, r) => {
    const one = flow / (drawn * (speeds[r] as number));
    return one > most ? one : most;
  }, 0);
}

/** Whether the document's engine has its manifold above the outside air. */
const boosted = (raw: RawRestriction, air: MoistAir): boolean =>
  (raw.engine?.["manifold-pressure"]?.value ?? 0) > air.pressure;

/** Flow by speed and density at the end of the tract; where that station was not read, at the outside pressure. */
function flowAtSpeed(
  speed: number,
  drops: readonly PressureDifference[],
  raw: RawRestriction,
  air: MoistAir,
): TractPoint["flow"] {
  const { engine } = raw;
  if (engine === undefined) return kilogramsPerSecond(Number.NaN);
  const last = drops.at(-1) ?? pascalsDifference(Number.NaN);
  const efficiency = engine["volumetric-efficiency"];
  const stated = engine["manifold-pressure"]?.value;
  const charge = engine["charge-temperature"]?.value;
  return engineDemand(
    {
      displacement: engine.displacement.value,
      strokes: engine.strokes === 2 ? 2 : 4,
      speed: revsPerSecond(speed),
      volumetricEfficiency: { value: efficiency.value, u: efficiency.u },
      manifoldPressure: stated ?? (Number.isNaN(last) ? air.pressure : pascals(air.pressure - last)),
      ...(charge === undefined ? {} : { chargeTemperature: charge }),
    },
    air,
  ).flow.value;
}

function buildChange(
  change: NonNullable<RawRestriction["changes"]>[number],
  path: string,
  raw: RawRestriction,
  context: BuildContext,
): TractChange | undefined {
  const name = change.remove ?? change.element ?? "";
  const element = raw.elements.find((one) => one.name === name);
  if (element === undefined) {
    context.fault(`${path}.${change.remove === undefined ? "element" : "remove"}`, {
      code: "E_SCHEMA",
      message: "the tract has no element of this name",
      found: `'${name}'`,
      accepted: raw.elements.map((one) => one.name).join(", "),
    });
    return undefined;
  }
  if (change.remove !== undefined) {
    if (change.left === undefined) return undefined;
    const { bore, k } = change.left;
    return {
      change: "remove",
      element: name,
      ...(k.value === 0 && k.u === 0
        ? {}
        : { left: { area: areaOfBore(bore), k: { value: k.value, u: k.u } } }),
    };
  }
  const ratio = change["k-ratio"];
  if (change.bore === undefined || ratio === undefined) return undefined;
  if (areaOf(element) === undefined) {
    context.fault(`${path}.element`, {
      code: "E_SCHEMA",
      message: "to change the bore of a part, its present one must be known",
      found: `'${name}' without 'bore' or 'area'`,
      accepted: "'bore' or 'area' in 'elements'",
    });
    return undefined;
  }
  const area = areaOfBore(change.bore);
  const { ducts } = change;
  const duct = ducts === undefined ? undefined : squareMetres((Math.PI / 4) * ducts.value * ducts.value);
  return omitUndefined({
    change: "bore",
    element: name,
    area,
    kRatio: { value: ratio.value, u: ratio.u },
    steps: duct && stepLosses(area.value, { before: duct, after: duct }),
  });
}
