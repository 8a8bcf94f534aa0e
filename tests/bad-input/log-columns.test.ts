import { isFault } from "bellmouth";
import type { ColumnQuestion } from "bellmouth/columns";
import { givenColumns, openLog, withAnswer } from "bellmouth/document";
import { type InferredLog, inferLogLayout, type LoggedDrive, readDrives } from "bellmouth/drive";
import { describe, expect, it } from "vitest";

/**
 * What owners' logs leave out and get wrong, one case for each row of the list of defects. Every log is invented; units of
 * service data as in SAE J1979, other names and habits of loggers are common practice, no source.
 */
const ROWS = 60;
type Row = (i: number) => string;

/** A log of rows ten times a second, or as `time` says. */
const log = (head: string, row: Row, time: Row = (i) => (0.1 * i).toFixed(1), rows = ROWS): string =>
  `${head}\n${Array.from({ length: rows }, (_, i) => `${time(i)},${row(i)}`).join("\n")}\n`;
const wave = (i: number, low: number, high: number): number =>
  low + (high - low) * (0.5 - 0.5 * Math.cos(i / 7));
const look = (text: string | Uint8Array, block: object | string = {}): InferredLog =>
  inferLogLayout(text, givenColumns(block), { whole: true });
/** Reads all drives under the mapping that was found. */
function drives(text: string | Uint8Array, block: object | string = {}): readonly LoggedDrive[] {
  const { layout, mapping } = look(text, block);
  if (mapping === null) throw new Error("the time is in doubt");
  return readDrives(text, layout, mapping, { stale: "keep" });
}
const drive = (text: string | Uint8Array, block: object | string = {}): LoggedDrive => {
  const [only] = drives(text, block);
  if (only === undefined) throw new Error("no drive");
  return only;
};
const useOf = (found: InferredLog, name: string): string | undefined =>
  found.columns.find((column) => column.name === name)?.use;
/** The document's block after one choice of a question is pasted. */
const answered = (block: unknown, { choices }: ColumnQuestion, pick: RegExp): object => {
  const choice = choices.find(({ text }) => pick.test(text));
  if (choice === undefined) throw new Error(`no choice ${pick} among ${choices.map(({ text }) => text)}`);
  return withAnswer(block, choice.answer);
};
const question = (found: InferredLog, about: string): ColumnQuestion => {
  const one = found.questions.find((asked) => asked.about === about);
  if (one === undefined) throw new Error(`nothing is asked about ${about}`);
  return one;
};

describe("columns that say too little", () => {
  it("S2: a short trim without a long one is a question, which one line answers", () => {
    const text = log(
      "time [s],MAF [g/s],Short Term Fuel Trim [%]",
      (i) => `${wave(i, 4, 40)},${wave(i, -3, 4)}`,
    );
    const asked = question(look(text), "longTrim");
    const block = answered({}, asked, /reset to 0/);
    expect(block).toEqual({ "long-trim": "reset to 0" });
    expect(look(text, block).questions).toEqual([]);
  });
  it("S3: bare names are used, asked about or ignored with a reason, never dropped", () => {
    const found = look(
      log(
        "Time,MAF,RPM,Lambda,Lambda Target,Knock Count",
        (i) => `${wave(i, 4, 90)},${wave(i, 800, 6000)},${wave(i, 0.82, 1.02)},${wave(i, 0.84, 1)},0`,
      ),
    );
    expect(found.columns.map(({ use }) => use)).toEqual(["used", "asked", "used", "used", "used", "ignored"]);
    expect(found.columns.every(({ reason }) => reason.length > 3)).toBe(true);
  });
  it("R3: one key answers every question about units of a service-data log", () => {
    const text = log(
      "Time,MAF,RPM,STFT,LTFT,ECT,IAT,MAP,Throttle,Speed",
      (i) =>
        `${wave(i, 4, 90)},${wave(i, 800, 6000)},${wave(i, -4, 5)},${wave(i, 1, 3)},88,24,${wave(i, 30, 98)},${wave(i, 3, 90)},${wave(i, 0, 120)}`,
    );
    expect(look(text).questions.length).toBeGreaterThan(1);
    const found = look(text, "service-data units");
    expect(found.questions).toEqual([]);
    expect(found.channels).toHaveLength(9);
    const { channels } = drive(text, "service-data units");
    expect(channels.airflow?.value[0]).toBeCloseTo(0.004, 12);
    expect(channels.engineSpeed?.value[0]).toBeCloseTo(800 / 60, 12);
    expect(channels.coolant?.value[0]).toBeCloseTo(361.15, 9);
    expect(channels.vehicleSpeed?.value.at(-1)).toBeCloseTo(wave(ROWS - 1, 0, 120) / 3.6, 9);
  });
  it("R8: [-], an AFR with its scale in a comment, a period, counts and boost are read", () => {
    const text = `# stoich 14.1\n# 1023 counts = 5 V\n${log(
      "time [s],MAF Counts [counts],MAF Period [us],AFR [AFR],AFR Target [-],Boost [psi gauge],Barometer [kPa]",
      (i) =>
        `${Math.round(wave(i, 300, 900))},${wave(i, 130, 390)},${wave(i, 11.5, 14.1)},14.1,${wave(i, -9, 8)},98.6`,
    )}`;
    const found = look(text);
    const { channels } = drive(text, {
      signal: { column: "MAF Counts", unit: "counts", scale: "5 V / 1023" },
      ignore: ["MAF Period"],
    });
    expect(found.said).toEqual(["# stoich 14.1", "# 1023 counts = 5 V"]);
    expect(channels.signal?.value[0]).toBeCloseTo((300 * 5) / 1023, 9);
    expect(channels.lambda?.value[0]).toBeCloseTo(11.5 / 14.1, 12);
    expect(channels.lambdaTarget?.value[0]).toBeCloseTo(1, 12);
    expect(channels.manifoldPressure?.value[0]).toBeCloseTo(98_600 - 9 * 6894.757293, 3);
    const period = drive(log("time [s],MAF Period [us]", (i) => `${wave(i, 130, 390)}`));
    expect(period.channels.signal?.value[0]).toBeCloseTo(1e6 / 130, 9);
  });
  it("R8: an AFR alone may be what the ECU commands: asked, with its scale where the file has none", () => {
    const text = log("time [s],MAF [g/s],AFR", (i) => `${wave(i, 4, 40)},${wave(i, 12, 14.7)}`);
    const asked = question(look(text), "lambda");
    const block = answered({}, asked, /commanded/);
    expect(block).toEqual({ "lambda-target": { column: "AFR", unit: "AFR", stoichiometric: 14.7 } });
    expect(look(text, block).questions).toEqual([]);
    expect(drive(text, block).channels.lambdaTarget?.value[0]).toBeCloseTo(12 / 14.7, 12);
    // Beside its target it is the measured one.
    const both = look(
      `# stoich 14.7\n${log("time [s],AFR,AFR Target", (i) => `${wave(i, 12, 15)},${wave(i, 12.5, 14.7)}`)}`,
    );
    expect(both.questions).toEqual([]);
    expect(both.channels.map(({ channel }) => channel)).toEqual(["lambda", "lambdaTarget"]);
  });
  it("R9: every question of a file stands in one fault, as text to paste and as data", () => {
    const text = log(
      "Time,MAF,IAT,Coolant",
      (i) => `${wave(i, 4, 40)},${wave(i, 70, 75)},${wave(i, 170, 180)}`,
    );
    try {
      openLog(text, { channels: {} }, "drive.csv", ["airflow"], { whole: true });
      expect.unreachable("it must ask");
    } catch (error) {
      if (!isFault(error)) throw error;
      expect(error.code).toBe("E_COLUMN");
      expect(error.questions?.map(({ about }) => about)).toEqual(["airflow", "intakeAir"]);
      for (const { choices } of error.questions ?? [])
        for (const { paste } of choices) expect(error.message).toContain(paste.split("\n")[0]);
      expect(JSON.parse(JSON.stringify(error.questions))).toEqual(error.questions);
    }
  });
  it("R10: a column by its number, the pace of rows and a trim as factor can be answered", () => {
    const text = `Trim,MAF [g/s],Trim\n${Array.from({ length: ROWS }, (_, i) => `${wave(i, 0.97, 1.04)},${wave(i, 4, 40)},${wave(i, 0.99, 1.02)}`).join("\n")}\n`;
    const block = {
      "rows-every": "0.2 s",
      "short-trim": { column: 1, unit: "factor" },
      "long-trim": { column: 3, unit: "1" },
    };
    expect(look(text, block).questions).toEqual([]);
    const { channels, rowPeriod } = drive(text, block);
    expect(rowPeriod).toBe(0.2);
    expect(channels.shortTrim?.value[0]).toBeCloseTo(-0.03, 12);
    expect(channels.longTrim?.value[0]).toBeCloseTo(-0.01, 12);
  });
  it("R16: plain words of the trade in other languages; richesse is the reciprocal of lambda", () => {
    const text = log(
      "Temps [s],Régime moteur [tr/min],Débit d'air [g/s],Richesse,Température eau [°C]",
      (i) => `${wave(i, 800, 6000)},${wave(i, 4, 90)},${wave(i, 0.98, 1.25)},88`,
    );
    const found = look(text);
    expect(found.questions).toEqual([]);
    expect(drive(text).channels.lambda?.value[0]).toBeCloseTo(1 / 0.98, 12);
    const german = look(
      log(
        "Zeit [s],Drehzahl [1/min],Luftmasse [kg/h],Luftzahl,Ansauglufttemperatur [°C],Drosselklappe [%]",
        (i) => `${wave(i, 800, 6000)},${wave(i, 15, 300)},${wave(i, 0.85, 1.02)},24,${wave(i, 3, 90)}`,
      ),
    );
    expect(german.channels.map(({ channel }) => channel).sort()).toEqual(
      ["airflow", "engineSpeed", "intakeAir", "lambda", "throttle"].sort(),
    );
  });
});

describe("banks and drives", () => {
  it("S7: trims of both banks are the mean of their factors, and how far apart they are is told", () => {
    const text = log(
      "time [s],SHORT_FUEL_TRIM_1 [%],SHORT_FUEL_TRIM_2 [%],LONG_FUEL_TRIM_1 [%],LONG_FUEL_TRIM_2 [%]",
      (i) => `${wave(i, 1, 4)},${wave(i, -2, 1)},5,1`,
    );
    const { channels } = drive(text);
    expect(channels.shortTrim?.value[0]).toBeCloseTo(-0.005, 12);
    expect(channels.longTrim?.value[0]).toBeCloseTo(0.03, 12);
    expect(look(text).columns.filter(({ use }) => use === "used")).toHaveLength(5);
  });
  it("R11: two flow columns are asked about; the answer keeps each one's own unit", () => {
    const text = log(
      "time [s],Mass Airflow Bank 1 [g/s],Mass Airflow Bank 2 [kg/h]",
      (i) => `${wave(i, 4, 40)},${3.6 * wave(i, 5, 41)}`,
    );
    const found = look(text);
    expect(found.channels).toEqual([]);
    const block = answered({}, question(found, "airflow"), /sum/);
    expect(drive(text, block).channels.airflow?.value[0]).toBeCloseTo(0.009, 12);
  });
  it("R5: a column that tells drives apart is asked about, and splits them", () => {
    const text = log("time [s],Driver,MAF [g/s]", (i) => `${i < 25 ? "A" : "B"},${wave(i, 4, 40)}`);
    const found = look(text);
    expect(useOf(found, "Driver")).toBe("asked");
    const parts = drives(text, answered({}, question(found, "split"), /yes/));
    expect(parts.map(({ rows }) => rows)).toEqual([25, 35]);
    expect(parts[1]?.channels.airflow?.time[0]).toBe(0);
  });
});

describe("cells", () => {
  it("R2: units stand in the cells, with thousands of any mark, an AFR and counts among them", () => {
    const cells = (i: number): string =>
      `"${(0.1 * i).toFixed(1).replace(".", ",")}s";"${(1000 + 20 * i).toLocaleString("fr-FR").replace(/\u202f/g, " ")}rpm";"24,77g/s";"-1,60%";"100kPa";"14,7AFR"`;
    const text = `# stoich 14.7\n${["Time;RPM;MAF;STFT;Barometer;Wideband AFR", ...Array.from({ length: ROWS }, (_, i) => cells(i))].join("\n")}\n`;
    const { channels, findings, rows } = drive(text);
    expect(rows).toBe(ROWS);
    expect(channels.engineSpeed?.value[0]).toBeCloseTo(1000 / 60, 12);
    expect(channels.engineSpeed?.value.at(-1)).toBeCloseTo((1000 + 20 * (ROWS - 1)) / 60, 12);
    expect(channels.airflow?.value[3]).toBeCloseTo(0.02477, 12);
    expect(channels.shortTrim?.value[3]).toBeCloseTo(-0.016, 12);
    expect(channels.barometer?.value[3]).toBeCloseTo(100_000, 9);
    expect(channels.lambda?.value[3]).toBeCloseTo(1, 12);
    expect(findings.filter(({ kind }) => kind === "unreadable" || kind === "textRows")).toEqual([]);
  });
  it("R2: a row that holds a reading which is not understood is a row, not a line of text", () => {
    const text = log(
      "time [s],MAF [g/s]",
      (i) => (i % 2 === 0 ? `${wave(i, 4, 40)}` : "5.1mg"),
      (i) => String(i),
    );
    const { rows, findings } = drive(text);
    expect(rows).toBe(ROWS);
    expect(findings.find(({ kind }) => kind === "unreadable")?.count).toBe(ROWS / 2);
  });
  it("R12: header and units met again are no rows, also where a unit is 1", () => {
    const head = "Time,MAF,Lambda\ns,g/s,1";
    const part = (from: number): string =>
      Array.from({ length: 20 }, (_, i) => `${from + i},${wave(i, 4, 40)},${wave(i, 0.9, 1)}`).join("\n");
    const { rows, channels, findings } = drive(`${head}\n${part(0)}\n${head}\n${part(20)}\n`);
    expect(rows).toBe(40);
    expect(channels.lambda?.value).toHaveLength(40);
    expect(findings.find(({ kind }) => kind === "textRows")?.count).toBe(2);
  });
  it("R12: a units row that differs from the header's units is asked about", () => {
    const found = look(
      `Time [s],MAF [g/s]\ns,kg/h\n${Array.from({ length: 30 }, (_, i) => `${i},${wave(i, 4, 40)}`).join("\n")}\n`,
    );
    expect(question(found, "airflow").choices.map(({ text }) => text)).toEqual(
      expect.arrayContaining(["g/s", "kg/h"]),
    );
  });
  it("R13: marks of thousands in some cells and none below a thousand", () => {
    const rpm = (i: number): string => {
      const value = Math.round(wave(i, 850, 3200));
      return value < 1000
        ? String(value)
        : `${Math.floor(value / 1000)}.${String(value % 1000).padStart(3, "0")}`;
    };
    const { channels } = drive(log("time [s],RPM [rpm],MAF [g/s]", (i) => `${rpm(i)},${wave(i, 4, 40)}`));
    expect(channels.engineSpeed?.value).toHaveLength(ROWS);
    for (let i = 0; i < ROWS; i++)
      expect(channels.engineSpeed?.value[i]).toBeCloseTo(Math.round(wave(i, 850, 3200)) / 60, 9);
  });
  it("R13: an absolute pressure of a pull is not taken for thousands once its unit is answered", () => {
    const text = log(
      "time [s];Boost [bar];MAF [g/s]",
      (i) => `${wave(i, 1.31, 1.6).toFixed(3)};${wave(i, 40, 90).toFixed(1)}`,
    )
      .replace(/^(\d+\.\d),/gmu, "$1;")
      .replaceAll(".", ",");
    const { channels } = drive(text, { "manifold-pressure": { column: "Boost", unit: "bar absolute" } });
    expect(channels.manifoldPressure?.value[0]).toBeCloseTo(131_000, 6);
  });
  it("R14: one impossible sample goes alone, with its time", () => {
    const text = log(
      "time [s],RPM [rpm],IAT [degC],MAF [g/s]",
      (i) => `${i === 30 ? 65_535 : wave(i, 800, 3000)},${i === 40 ? 215 : 24 + (i % 2)},${wave(i, 4, 40)}`,
    );
    const { channels, findings } = drive(text);
    const impossible = findings.filter(({ kind }) => kind === "impossible");
    expect(impossible.map(({ channel, count, from }) => [channel, count, from])).toEqual([
      ["engineSpeed", 1, expect.closeTo(3, 9)],
      ["intakeAir", 1, expect.closeTo(4, 9)],
    ]);
    expect(channels.engineSpeed?.value.filter(Number.isFinite)).toHaveLength(ROWS - 1);
  });
  it.each([
    ["plain", (x: string) => x],
    ["quoted", (x: string) => `"${x}"`],
  ])("R15: a number that the end of the file cuts off is missing and told: %s", (_, quote) => {
    const text = log(
      "time [s],MAF [g/s],RPM [rpm]",
      (i) => `${quote(wave(i, 4, 40).toFixed(2))},${quote(String(Math.round(wave(i, 800, 3000)) + 1000))}`,
    );
    const { channels, findings } = drive(text.slice(0, -3));
    const speeds = channels.engineSpeed?.value ?? new Float64Array();
    expect(speeds.filter(Number.isFinite)).toHaveLength(ROWS - 1);
    expect(findings.some(({ kind }) => kind === "cutRow")).toBe(true);
  });
  it("R15: psi does not say from what it is measured; zones of time are read", () => {
    const pressure = look(log("time [s],Manifold Pressure [psi]", (i) => `${wave(i, 6, 14)}`));
    expect(question(pressure, "manifoldPressure").kind).toBe("reference");
    const zoned = drive(
      log(
        "Timestamp,MAF [g/s]",
        (i) => `${wave(i, 4, 40)}`,
        (i) =>
          i < 30
            ? `2031-05-05T01:59:${30 + i}+02:00`
            : `2031-05-05T00:00:${String(i - 30).padStart(2, "0")}Z`,
      ),
    );
    expect(zoned.findings.filter(({ kind }) => kind === "clockStep" || kind === "gap")).toEqual([]);
    expect(zoned.channels.airflow?.time.at(-1)).toBeCloseTo(ROWS - 1, 6);
  });
});

describe("rows and their time", () => {
  it("S6: zeros while the engine turns are missing, and slowed polling gives no more samples than polls", () => {
    const zeros = drive(
      log(
        "time [s],RPM [rpm],MAF [g/s]",
        (i) => `${wave(i, 800, 3000)},${i >= 20 && i < 24 ? 0 : wave(i, 4, 40)}`,
      ),
    );
    expect(zeros.findings.find(({ kind }) => kind === "impossible")).toMatchObject({
      channel: "airflow",
      count: 4,
    });
    const slowed = drive(
      log(
        "time [s],RPM [rpm],MAF [g/s]",
        (i) => {
          // Polled with every row, for a stretch with every tenth.
          const polled = i < 400 || i >= 800 ? i : 10 * Math.floor(i / 10);
          return `${wave(i, 800, 3000)},${wave(polled, 4, 40).toFixed(4)}`;
        },
        undefined,
        1200,
      ),
    );
    const inside = [...(slowed.channels.airflow?.time ?? [])].filter((t, i) => {
      const value = slowed.channels.airflow?.value[i] ?? Number.NaN;
      return t >= 42 && t < 78 && Number.isFinite(value);
    });
    expect(slowed.findings.some(({ kind, channel }) => kind === "slowed" && channel === "airflow")).toBe(
      true,
    );
    expect(inside.length).toBeLessThan(60);
  });
  it("R18: complete rows of a 5 Hz log miss nothing", () => {
    const { findings } = drive(
      log(
        "time [s],RPM [rpm],MAF [g/s]",
        (i) => `${wave(i, 800, 3000)},${wave(i, 4, 40)}`,
        (i) => (0.2 * i).toFixed(1),
      ),
    );
    expect(findings).toEqual([]);
  });
  it("N19: rows without a time are told as rows", () => {
    const text = `RPM [rpm],MAF [g/s]\n${Array.from({ length: ROWS }, (_, i) => `${i === 30 ? 65_535 : wave(i, 800, 3000)},${wave(i, 4, 40)}`).join("\n")}\n`;
    const { timed, findings } = drive(text, { "rows-every": "unknown" });
    expect(timed).toBe(false);
    const [told] = findings.filter(({ kind }) => kind === "impossible");
    expect(told?.message).toMatch(/at row 31 /);
    expect(told?.message).not.toMatch(/\d s\b/);
  });
  it("F3: a clock that jumps by years makes no time and no memory of it", () => {
    const { channels, findings } = drive(
      log(
        "time [s],MAF [g/s]",
        (i) => `${wave(i, 4, 40)}`,
        (i) => String(i < 30 ? 0.1 * i : 1.7e9 + 0.1 * i),
      ),
    );
    expect(channels.airflow?.time).toHaveLength(ROWS);
    expect(channels.airflow?.time.at(-1)).toBeLessThan(120);
    expect(findings.find(({ kind }) => kind === "clockStep")?.message).toMatch(/ahead/);
  });
});
