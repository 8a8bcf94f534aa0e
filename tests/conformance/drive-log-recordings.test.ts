import { readFileSync } from "node:fs";
import { forEachBlock, inferLogLayout, type LoggedDrive, type LogMapping, readLog } from "bellmouth/drive";
import Papa from "papaparse";
import { describe, expect, it } from "vitest";
import { accuracy } from "../support/accuracy.js";
import { worst } from "../support/worst.js";

// Recorded drives; authors and licences in tests/data/recordings/README.md.
const bytesOf = (name: string): Uint8Array =>
  readFileSync(new URL(`../data/recordings/${name}`, import.meta.url));
const DIESEL = [
  "drive-turbo-diesel-2017-07-14-free-gaps.csv",
  "drive-turbo-diesel-2017-08-04-high-load-dropouts.csv",
  "drive-turbo-diesel-2018-03-19-free.csv",
] as const;
const PETROL = "drive-petrol-1200-trims-segments-6-8.csv";
const WEBER = "Weber, Automotive OBD-II Dataset, doi 10.35097/1130";

/** The diesel logs state every unit: what is proposed can be used as it stands. */
function readDiesel(name: string): LoggedDrive {
  const bytes = bytesOf(name);
  const { layout, mapping } = inferLogLayout(bytes.subarray(0, 65_536));
  if (mapping === null) throw new Error("no mapping");
  return readLog(bytes, layout, mapping);
}
const PETROL_MAPPING: LogMapping = {
  // Every fifth record of a log: the order is true, the times are lost.
  time: { untimed: true },
  channels: [
    { channel: "airflow", column: "MAF", unit: "g/s" },
    { channel: "engineSpeed", column: "RPM", unit: "rpm" },
    { channel: "manifoldPressure", column: "INTAKE_PRESSURE", unit: "kPa" },
    { channel: "shortTrim", column: "SHORT_FUEL_TRIM_1", unit: "%" },
    { channel: "longTrim", column: "LONG_FUEL_TRIM_1", unit: "%" },
  ],
};

describe("numbers of recorded logs", () => {
  it.each([...DIESEL, PETROL])("are the general reader's bit for bit: %s", (name) => {
    const bytes = bytesOf(name);
    const { layout } = inferLogLayout(bytes.subarray(0, 65_536));
    const { data } = Papa.parse<string[]>(Buffer.from(bytes).toString("latin1"), { delimiter: "," });
    const clock = layout.columns[0]?.name === "Time";
    const columns = layout.columns.map((_, i) => i).slice(clock ? 1 : 0);
    let row = 0;
    let unequal = 0;
    forEachBlock(bytes, layout, columns, (block) => {
      for (let i = 0; i < block.rows; i++) {
        row += 1;
        columns.forEach((column, k) => {
          const text = data[row]?.[column] ?? "";
          const want = text.trim() === "" ? Number.NaN : Number(text);
          if (!Object.is(block.values[k]?.[i], want)) unequal += 1;
        });
      }
    });
    accuracy({
      id: `drive-log-bits-${name.replace(/^drive-|-(free|segments|high).*$/g, "")}`,
      area: "Drives",
      what: `cells of a recorded log that differ from Number() of their text: ${name}`,
      evidence: "other implementation",
      source: `Papa Parse 5.7.1 on ${name === PETROL ? "a 1.2 L petrol recording" : WEBER}`,
      compared: row * columns.length,
      measured: unequal,
      limit: 0,
      unit: "cells",
    });
  });
});

describe("a proposed mapping", () => {
  it("is complete where the log states its units", () => {
    for (const name of DIESEL) {
      const { mapping, questions, layout } = inferLogLayout(bytesOf(name).subarray(0, 65_536));
      expect(questions).toEqual([]);
      expect(layout.columns[1]).toEqual({ name: "Engine Coolant Temperature", unit: "°C" });
      expect(mapping?.time).toEqual({ column: 0, format: "clock" });
      const found = Object.fromEntries(
        (mapping?.channels ?? []).map((entry) => [
          entry.channel,
          "column" in entry ? layout.columns[Number(entry.column)]?.name : "",
        ]),
      );
      expect(found).toEqual({
        airflow: "Air Flow Rate from Mass Flow Sensor",
        engineSpeed: "Engine RPM",
        coolant: "Engine Coolant Temperature",
        intakeAir: "Intake Air Temperature",
        ambientAir: "Ambient Air Temperature",
        manifoldPressure: "Intake Manifold Absolute Pressure",
        throttle: "Absolute Throttle Position",
        vehicleSpeed: "Vehicle Speed Sensor",
      });
    }
  });
  it("asks for time, banks and units where the log states none, and service-data units answer all of them at once", () => {
    const sample = bytesOf(PETROL).subarray(0, 65_536);
    const { mapping, columns, questions } = inferLogLayout(sample);
    expect(mapping).toBeNull();
    const uses = Object.fromEntries(columns.map(({ name, use }) => [name, use]));
    expect(uses).toMatchObject({
      MAF: "asked",
      INTAKE_PRESSURE: "used",
      SPEED: "asked",
      O2_B1S1: "ignored",
      segment_id: "asked",
    });
    expect(columns.every(({ reason }) => reason !== "")).toBe(true);
    expect(questions.map(({ kind }) => kind)).toContain("time");
    const told = inferLogLayout(sample, {
      serviceData: true,
      untimed: true,
      split: "segment_id",
      channels: {},
    });
    expect(told.questions).toEqual([]);
    expect(Object.fromEntries(told.channels.map(({ channel, unit }) => [channel, unit]))).toEqual({
      airflow: "g/s",
      engineSpeed: "rpm",
      vehicleSpeed: "km/h",
      throttle: "%",
      coolant: "degC",
      intakeAir: "degC",
      load: "%",
      manifoldPressure: "kPa",
      shortTrim: "%",
      longTrim: "%",
    });
  });
});

describe("time of recorded logs", () => {
  it("finds the gaps", () => {
    // The recording has 7 gaps over 2 s, the longest 62 s, in 731 s (counted when it was published here).
    const drive = readDiesel(DIESEL[0]);
    const gaps = drive.findings.filter(({ kind }) => kind === "gap").map(({ from = 0, to = 0 }) => to - from);
    expect(gaps.filter((gap) => gap > 2).length).toBe(7);
    expect(Math.max(...gaps)).toBeCloseTo(62.07, 2);
    expect(drive.rows).toBe(6829);
    expect(drive.startStamp).toBeCloseTo(8 * 3600 + 19 * 60 + 47.605, 6);
    expect(readDiesel(DIESEL[2]).findings.some(({ kind }) => kind === "gap")).toBe(false);
  });
  it("finds a clock that was put back, and a gap that was cut, in a real log", () => {
    const text = Buffer.from(bytesOf(DIESEL[2])).toString("utf8").split("\n");
    // Rows 5001 on stamped an hour earlier, as a logger does that corrects its clock on the way.
    const back = text.map((line, i) =>
      i > 5000 && line !== "" ? line.replace(/^\d\d/, (h) => String(Number(h) - 1)) : line,
    );
    const { layout, mapping } = inferLogLayout(text.slice(0, 400).join("\n"));
    if (mapping === null) throw new Error("no mapping");
    const true_ = readLog(text.join("\n"), layout, mapping);
    const stepped = readLog(back.join("\n"), layout, mapping);
    const steps = stepped.findings.filter(({ kind }) => kind === "clockStep");
    expect(steps.length).toBe(1);
    const from = steps[0]?.from ?? Number.NaN;
    expect(from).toBeGreaterThan(400);
    // Nothing after the step is off by more than a row or two.
    const a = true_.channels.airflow?.time ?? [];
    const b = stepped.channels.airflow?.time ?? [];
    expect(Math.abs((a.at(-1) ?? 0) - (b.at(-1) ?? 1e9))).toBeLessThan(0.3);
    const cut = [...text.slice(0, 3000), ...text.slice(3100)].join("\n");
    const gaps = readLog(cut, layout, mapping).findings.filter(({ kind }) => kind === "gap");
    expect(gaps.length).toBe(1);
  });
  it("passes midnight in a real log", () => {
    const text = Buffer.from(bytesOf(DIESEL[2])).toString("utf8").split("\n");
    const moved = text.map((line) =>
      line.replace(/^(\d\d):(\d\d):/, (_, h, m) => {
        const minutes = (Number(h) * 60 + Number(m) + 270) % 1440;
        return `${String(Math.floor(minutes / 60)).padStart(2, "0")}:${String(minutes % 60).padStart(2, "0")}:`;
      }),
    );
    const { layout, mapping } = inferLogLayout(text.slice(0, 400).join("\n"));
    if (mapping === null) throw new Error("no mapping");
    const plain = readLog(text.join("\n"), layout, mapping);
    const night = readLog(moved.join("\n"), layout, mapping);
    expect(night.findings.filter(({ kind }) => kind === "midnight").length).toBe(1);
    expect(night.findings.some(({ kind }) => kind === "clockStep" || kind === "gap")).toBe(false);
    const w = worst();
    const times = plain.channels.airflow?.time ?? [];
    times.forEach((time, i) => {
      w.add(night.channels.airflow?.time[i] ?? Number.NaN, time, 1);
    });
    expect(w.result().compared).toBeGreaterThan(1000);
    expect(w.result().measured).toBeLessThan(1e-6);
  });
});

describe("refresh of recorded channels", () => {
  it("is the polling round of the diesel logs", () => {
    // One row per polled signal, ten signals: each is new every tenth row. The time of a round is therefore the
    // length of the log over a tenth of its rows, gaps aside.
    const w = worst();
    for (const name of DIESEL) {
      const drive = readDiesel(name);
      const gaps = drive.findings
        .filter(({ kind }) => kind === "gap")
        .reduce((sum, { from = 0, to = 0 }) => sum + (to - from), 0);
      const { airflow, engineSpeed, manifoldPressure } = drive.channels;
      const stamps =
        Buffer.from(bytesOf(name))
          .toString("latin1")
          .match(/^\d\d:\d\d:\d\d\.\d+/gm) ?? [];
      const seconds = (stamp = ""): number => {
        const [h = Number.NaN, m = Number.NaN, s = Number.NaN] = stamp.split(":").map(Number);
        return 3600 * h + 60 * m + s;
      };
      const length = seconds(stamps.at(-1)) - seconds(stamps[0]) - gaps;
      const round = length / (drive.rows / 10);
      for (const channel of [airflow, engineSpeed, manifoldPressure]) {
        w.add(channel?.refresh ?? Number.NaN, round);
        // One sample a round: no more, and not many fewer.
        w.add(channel?.time.length ?? Number.NaN, drive.rows / 10);
      }
    }
    accuracy({
      id: "drive-log-refresh",
      area: "Drives",
      what: "refresh period and number of samples of polled channels, three recorded logs",
      evidence: "measured data",
      source: WEBER,
      ...w.result(),
      // The round is not steady (0.8 to 1.2 s): the usual one against the mean one.
      limit: 0.1,
      unit: "relative, worst",
    });
  });
  it("puts each sample where its poll was, not where rows repeat it", () => {
    // Known of these logs: the air meter is polled four signals after manifold pressure, about 0.3 to 0.4 s later.
    const drive = readDiesel(DIESEL[2]);
    const pressure = drive.channels.manifoldPressure?.time ?? new Float64Array(0);
    const flow = drive.channels.airflow?.time ?? new Float64Array(0);
    const delays: number[] = [];
    let k = 0;
    for (const time of pressure) {
      while (k < flow.length && (flow[k] as number) <= time) k += 1;
      if (k < flow.length) delays.push((flow[k] as number) - time);
    }
    delays.sort((a, b) => a - b);
    const median = delays[delays.length >> 1] ?? Number.NaN;
    expect(median).toBeGreaterThan(0.3);
    expect(median).toBeLessThan(0.5);
  });
});

describe("channels that stand still", () => {
  it("finds the air meter at its floor in the petrol log", () => {
    // 0.96 and 0.97 g/s for 149 and 33 rows while engine speed moves by 40 and 80 %: no engine draws the same air so long.
    const bytes = bytesOf(PETROL);
    const { layout } = inferLogLayout(bytes.subarray(0, 65_536));
    const drive = readLog(bytes, layout, PETROL_MAPPING);
    const stale = drive.findings.filter(({ kind }) => kind === "stale");
    expect(stale.map(({ channel, from }) => [channel, from])).toEqual([
      ["airflow", 3675],
      ["airflow", 3858],
    ]);
    const row = (i: number): number => drive.channels.airflow?.value[i] ?? 0;
    expect(row(3675)).toBeCloseTo(0.00096, 9);
    expect(row(3700)).toBeNaN();
    expect(row(3675 + 149)).not.toBeNaN();
    const kept = readLog(bytes, layout, PETROL_MAPPING, { stale: "keep" });
    expect(kept.channels.airflow?.value[3700]).toBeCloseTo(0.00096, 9);
    expect(kept.findings.filter(({ kind }) => kind === "stale").length).toBe(2);
  });
  it("does not take an idling diesel's coarse pressure for a fault", () => {
    for (const name of DIESEL) {
      expect(readDiesel(name).findings.filter(({ kind }) => kind === "stale")).toEqual([]);
    }
  });
  it("finds a channel that freezes on the way, whichever it is", () => {
    const lines = Buffer.from(bytesOf(DIESEL[2])).toString("utf8").split("\n");
    const { layout, mapping } = inferLogLayout(lines.slice(0, 400).join("\n"));
    if (mapping === null) throw new Error("no mapping");
    // Rows 6000 to 6600 repeat one reading of the channel: about 70 s of driving.
    for (const [column, channel] of [
      [2, "manifoldPressure"],
      [3, "engineSpeed"],
      [6, "airflow"],
    ] as const) {
      const held = lines[6000]?.split(",")[column] ?? "";
      const frozen = lines.map((line, i) => {
        if (i < 6000 || i > 6600) return line;
        const cells = line.split(",");
        cells[column] = held;
        return cells.join(",");
      });
      const stale = readLog(frozen.join("\n"), layout, mapping).findings.filter(
        ({ kind }) => kind === "stale",
      );
      expect(stale.map((finding) => finding.channel)).toEqual([channel]);
      expect((stale[0]?.to ?? 0) - (stale[0]?.from ?? 0)).toBeGreaterThan(50);
    }
  });
});
