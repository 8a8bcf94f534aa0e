import type { SwapDocument } from "../../document/index.js";
import { CLASS_LOSS, type Housing, hydraulicDiameter, isPlane, upstreamPart } from "../../sensor/index.js";
import { inUnit } from "../../text/index.js";
import type { Finding } from "../result-parts.js";

/** What was taken for granted of the housings that a table moves between. */
export function housingFindings(document: SwapDocument): readonly Finding[] {
  const { present, next } = document;
  const own: readonly (readonly [string, Housing])[] =
    next.source === "same-element"
      ? [["present housing", present.housing]]
      : next.asInstalled
        ? []
        : [["donor's housing", next.donor.housing]];
  const housings = [...own, ["new housing", next.housing] as const];
  return housings.flatMap(([name, housing]) => [...classLoss(name, housing), ...shortRun(name, housing)]);
}

const note = (code: string, text: string): Finding => ({ level: "note", code, text, cells: [] });

function classLoss(name: string, { upstream, loss, run }: Housing): readonly Finding[] {
  const part = upstreamPart(upstream);
  if (!isPlane(part) || loss !== undefined || run === "developed") return [];
  const { value, u } = CLASS_LOSS[part];
  return [
    note(
      "class-loss",
      `The loss coefficient of the ${part} ahead of the ${name} is not given: ${value} with a standard uncertainty of ${u}, usual for its kind, is taken.`,
    ),
  ];
}

/** Distance below which the axial lag of the core was not computed, in diameters. */
const NEAREST = 0.2;

function shortRun(name: string, { run, section }: Housing): readonly Finding[] {
  const bore = hydraulicDiameter(section);
  if (run === "developed" || run.value >= NEAREST * bore) return [];
  return [
    note(
      "little-run",
      `The element of the ${name} sits ${inUnit(run.value, "mm", "length")} behind the even plane, under ${NEAREST} diameters: the law is not known there, and half of its effect is taken as uncertainty.`,
    ),
  ];
}
