import type { Mark } from "bellmouth/account";
import { html, type Markup } from "../html.js";
import { r, type Scale } from "./axes.js";
import type { Frame } from "./frame.js";

/** Height of a label [SVG units]. */
const LINE = 16;

/** Lines across a picture with their labels; labels that would lie on each other are moved apart. */
export function drawMarks(marks: readonly Mark[], x: Scale, y: Scale, frame: Frame): Markup {
  const { left, right, top, bottom, width, height } = frame;
  // A logarithmic axis has no place for zero or less.
  const across = marks.filter((mark) => mark.axis === "y" && Number.isFinite(y(mark.at)));
  const ats = across.map((mark) => y(mark.at));
  const labelled = across.map((mark) => mark.label !== "");
  const places = apart(
    ats.map((at) => at - 5),
    labelled,
    top + 12,
    height - bottom - 4,
  );
  return html`${across.map((mark, i) => {
    const at = r(ats[i] as number);
    const place = r(places[i] as number);
    // A label that was moved away from its line is led back to it; just under it, it needs no lead.
    const lead = Math.abs(place + 5 - at) > 20;
    return html`<g class="mark ${mark.tone}"><line x1="${left}" x2="${width - right}" y1="${at}" y2="${at}"/>${lead ? html`<line class="lead" x1="${left + 2}" x2="${left + 12}" y1="${at}" y2="${place - 4}"/>` : null}<text x="${left + (lead ? 15 : 8)}" y="${place}">${mark.label}</text></g>`;
  })}${marks
    .filter((mark) => mark.axis === "x" && Number.isFinite(x(mark.at)))
    .map((mark, i) => {
      const at = r(x(mark.at));
      // One row each, from the foot, on the side that has room.
      const [place, anchor] = besideLine(at, 6.8 * mark.label.length, left, width - right);
      return html`<g class="mark ${mark.tone}"><line x1="${at}" x2="${at}" y1="${top}" y2="${height - bottom}"/><text x="${r(place)}" y="${height - bottom - 6 - i * LINE}" text-anchor="${anchor}">${mark.label}</text></g>`;
    })}`;
}

/**
 * Places for labels, near where they are wanted and a line's height from each other.
 *
 * @param wanted where each would stand by itself [SVG units, down]
 * @param labelled whether it takes room
 * @param from   highest place
 * @param to     lowest place
 */
export function apart(
  wanted: readonly number[],
  labelled: readonly boolean[],
  from: number,
  to: number,
): number[] {
  const places = [...wanted];
  const order = wanted
    .map((_, i) => i)
    .filter((i) => labelled[i])
    .sort((i, j) => (wanted[i] as number) - (wanted[j] as number));
  // Down from the top, then up from the bottom: nothing leaves the frame as long as the labels fit into it.
  order.forEach((i, k) => {
    const above = k === 0 ? from - LINE : (places[order[k - 1] as number] as number);
    places[i] = Math.max(wanted[i] as number, above + LINE);
  });
  [...order].reverse().forEach((i, k, reversed) => {
    const below = k === 0 ? to + LINE : (places[reversed[k - 1] as number] as number);
    places[i] = Math.min(places[i] as number, below - LINE);
  });
  return places;
}

/** Where a label beside an upright line stands: right of it, left of it, or across it, as room allows. */
function besideLine(at: number, long: number, from: number, to: number): readonly [number, string] {
  if (at + 6 + long <= to) return [at + 6, "start"];
  if (at - 6 - long >= from) return [at - 6, "end"];
  return [Math.min(Math.max(at, from + long / 2), to - long / 2), "middle"];
}
