// The library in the browser: a table, a slider, and everything that follows from them, redrawn once a frame.
import { drawBars, drawChart } from "@bellmouth/report/charts";
import {
  type Housing,
  headroom,
  idleEnd,
  isFault,
  kelvins,
  kilogramsPerSecond,
  mm,
  mm2,
  rescaleTransferCurve,
  type TransferCurve,
  toGramsPerSecond,
  type Upstream,
} from "bellmouth";
import { readAirflowTable } from "bellmouth/document";
import { CAUTIONS } from "bellmouth/stage";
import demo from "../demo/present-airflow.csv";

const find = <T extends HTMLElement>(id: string): T => document.getElementById(id) as T;
const number = (id: string): number => find<HTMLInputElement>(id).valueAsNumber;

let table: TransferCurve = read(demo);

function read(text: string): TransferCurve {
  const kind = /\[\s*m?v\s*\]/i.test(text.slice(0, 200)) ? "voltage" : "frequency";
  const { signal, flow } = readAirflowTable(text, kind);
  return {
    kind: "transfer curve",
    signal: kind,
    outside: "hold",
    cells: signal.map((s, i) => ({
      signal: s,
      flow: flow[i] as number,
      origin: "measured",
      budget: { element: 0.02 },
      flags: [],
    })),
  };
}

const housing = (bore: number): Housing => ({
  section: { shape: "round", bore: { value: mm(bore), u: mm(0.1) } },
  blockage: { value: mm2(number("blockage")), u: mm2(20) },
  element: { from: 0, to: 0.3 },
  run: { value: mm(number("run")), u: mm(10) },
  upstream: find<HTMLSelectElement>("upstream").value as Extract<Upstream, string>,
  step: mm(0),
});

/** Everything that the slider moves. */
function draw(): void {
  const bore = number("bore");
  find("bore-text").textContent = `${bore.toFixed(1)} mm`;
  const unit = table.signal === "frequency" ? "Hz" : "V";
  try {
    const { curve, areaRatio } = rescaleTransferCurve(table, {
      from: housing(number("present")),
      to: housing(bore),
      air: { temperature: kelvins(293.15) },
    });
    const demand = kilogramsPerSecond(number("demand") / 1000);
    const thresholds = { watchShare: 0.9, watchChance: 0.02, overChance: 0.2 };
    const demands = [{ name: "demand", flow: { value: demand, u: demand * 0.03 } }];
    const now = headroom(curve, {}, demands, thresholds);
    const before = headroom(table, {}, demands, thresholds);
    const [room] = now.scenarios;
    const [old] = before.scenarios;
    if (room === undefined || old === undefined) return;
    const idle = idleEnd(curve, now.usable, kilogramsPerSecond(number("idle") / 1000), {
      kind: "step",
      step: now.usable.to / 4096,
    });
    const grams = (flow: number): number => toGramsPerSecond(kilogramsPerSecond(flow));
    find("curve").innerHTML = drawChart(
      {
        x: { label: `signal [${unit}]`, scale: "linear" },
        y: { label: "airflow [g/s]", scale: "linear", from: 0 },
        series: [
          {
            kind: "line",
            name: "present",
            tone: "old",
            dashed: true,
            points: table.cells.map((c) => ({ x: c.signal, y: grams(c.flow) })),
          },
          {
            kind: "line",
            name: "new",
            tone: "new",
            nodes: true,
            points: curve.cells.map((c) => ({ x: c.signal, y: grams(c.flow) })),
          },
        ],
        marks: [
          { axis: "x", at: now.usable.to, label: "usable signal ends", tone: "limit" },
          { axis: "y", at: grams(demand), label: "greatest demand", tone: "plain" },
        ],
      },
      {
        id: "curve-picture",
        title: "Airflow over signal",
        description: `At one signal the new bore passes ${areaRatio.toFixed(3)} times the present one's air by area, more or less by profile.`,
      },
    ).markup;
    find("room").innerHTML = drawBars(
      {
        label: "share of the usable signal [%]",
        groups: [
          {
            name: "greatest demand",
            bars: [
              {
                name: "new bore",
                value: 100 * room.share,
                text: `${(100 * room.share).toFixed(1)} %`,
                tone: room.state === "over" ? "limit" : "new",
              },
              {
                name: "present bore",
                value: 100 * old.share,
                text: `${(100 * old.share).toFixed(1)} %`,
                tone: old.state === "over" ? "limit" : "old",
              },
            ],
          },
        ],
        limit: { at: 100, label: "end of the usable signal" },
      },
      {
        id: "room-picture",
        title: "Headroom",
        description: `The demand takes ${(100 * room.share).toFixed(1)} % of the usable signal; with the present bore ${(100 * old.share).toFixed(1)} %.`,
      },
    ).markup;
    const words = { clear: "Room to spare", watch: "Little room", over: "Runs past the table" };
    say(
      room.state === "clear" ? "go" : room.state === "watch" ? "caution" : "stop",
      words[room.state],
      `${bore.toFixed(1)} mm: ${(100 * room.share).toFixed(1)} % of the usable signal, ${grams(room.flowLeft).toFixed(0)} g/s left; idle at ${idle.signal.toPrecision(4)} ${unit}, one of 4,096 steps is worth ${(100 * idle.stepShare).toFixed(2)} % of its flow.`,
    );
    const flagged = curve.cells.filter((cell) => cell.flags.length > 0);
    list(
      "flags",
      flagged.length === 0
        ? ["none"]
        : flagged.map(
            (cell) =>
              `${cell.signal} ${unit}, ${grams(cell.flow).toPrecision(3)} g/s: ${cell.flags.join(", ")}`,
          ),
    );
  } catch (error) {
    if (!isFault(error)) throw error;
    say("stop", "Not possible", error.message);
  }
}

function say(tone: string, word: string, sentence: string): void {
  find("state").className = `verdict ${tone}`;
  find("word").textContent = word;
  find("sentence").textContent = sentence;
}

function list(id: string, lines: readonly string[]): void {
  find(id).replaceChildren(
    ...lines.map((line) => {
      const item = document.createElement("li");
      item.textContent = line;
      return item;
    }),
  );
}

let asked = false;
/** However often the slider moves, one drawing a frame. */
function redraw(): void {
  if (asked) return;
  asked = true;
  requestAnimationFrame(() => {
    asked = false;
    const started = performance.now();
    draw();
    performance.measure("draw", { start: started, end: performance.now() });
  });
}

async function take(file: File | undefined): Promise<void> {
  if (file === undefined) return;
  try {
    table = read(await file.text());
    find("name").textContent = file.name;
    redraw();
  } catch (error) {
    if (!isFault(error)) throw error;
    say("stop", "This table cannot be read", error.message);
  }
}

find("controls").addEventListener("input", redraw);
find("controls").addEventListener("submit", (event) => event.preventDefault());
find<HTMLInputElement>("file").addEventListener("change", (event) =>
  take((event.target as HTMLInputElement).files?.[0]),
);
addEventListener("dragover", (event) => event.preventDefault());
addEventListener("drop", (event) => {
  event.preventDefault();
  void take(event.dataTransfer?.files[0]);
});
list("caution-list", CAUTIONS);
draw();
