import { inferLogLayout, type LogLayout, type LogMapping, readLog } from "bellmouth/drive";
import fc from "fast-check";
import { afterAll, describe, expect, it } from "vitest";
import { fuzzCases } from "../support/fuzz/cases.js";
import { mutateBytes, mutateText, mutations } from "../support/fuzz/mutations.js";
import { startWatch } from "../support/fuzz/watch.js";

// Logs that were valid until something happened to them: understood or not, their samples are numbers at times that
// do not go back.

const row = (i: number): string =>
  `${(i / 10).toFixed(1)},${(4 + Math.sin(i)).toFixed(2)},${800 + 7 * i},${20 + (i % 3)}`;
const rows = Array.from({ length: 12 }, (_, i) => row(i));
const plain = `time [s],MAF [g/s],RPM [rpm],IAT [degC]\n${rows.join("\n")}\n`;
const clock = `Time,MAF,RPM,IAT\nhh:mm:ss.ms,g/s,rpm,degC\n${rows
  .map(
    (text, i) =>
      `23:59:${String(55 + (i % 5)).padStart(2, "0")}.${i % 10}00,${text.slice(text.indexOf(",") + 1)}`,
  )
  .join("\r\n")}\r\n`;
const semicolons = plain.replaceAll(",", ";").replaceAll(".", ",");
const quoted = `"time [s]","MAF [g/s]","RPM [rpm]"\n${rows
  .map((text) =>
    text
      .split(",")
      .slice(0, 3)
      .map((cell) => `"${cell}"`)
      .join(","),
  )
  .join("\n")}\n`;
const LOGS: readonly string[] = [plain, clock, semicolons, quoted];

function read(log: string | Uint8Array, given: { layout: LogLayout; mapping: LogMapping | null }): void {
  if (given.mapping === null) return;
  const drive = readLog(log, given.layout, given.mapping);
  if (!(drive.rows >= 0 && Number.isFinite(drive.rowPeriod) && drive.rowPeriod >= 0)) {
    throw new Error(`rows ${drive.rows} ${drive.rowPeriod} s apart`);
  }
  if (drive.startStamp !== null && !Number.isFinite(drive.startStamp)) throw new Error("no start");
  for (const [name, channel] of Object.entries(drive.channels)) {
    if (channel.time.length !== channel.value.length) throw new Error(`${name}: lengths differ`);
    if (!(channel.refresh >= 0 && Number.isFinite(channel.refresh))) throw new Error(`${name}: refresh`);
    for (let i = 0; i < channel.time.length; i++) {
      const time = channel.time[i] as number;
      const value = channel.value[i] as number;
      if (!Number.isFinite(time)) throw new Error(`${name}: time ${time}`);
      if (i > 0 && !(time >= (channel.time[i - 1] as number))) throw new Error(`${name}: time goes back`);
      // Missing is NaN; endless is nothing.
      if (value === Number.POSITIVE_INFINITY || value === Number.NEGATIVE_INFINITY) {
        throw new Error(`${name}: ${value}`);
      }
    }
  }
  for (const finding of drive.findings) {
    if (!(finding.count > 0 || finding.kind === "noRows")) throw new Error(`${finding.kind}: nothing found`);
    // The user's own words stand between quotes.
    const ours = finding.message.replace(/"[^"]*"/gu, "");
    if (/\b(?:nan|infinity|undefined)\b/iu.test(ours)) throw new Error(finding.message);
  }
}

describe("logs with pieces replaced, swapped, doubled and torn out", () => {
  const watch = startWatch();
  afterAll(watch.end);
  const known = LOGS.map((text) => inferLogLayout(text));

  it("the logs are understood before that", () => {
    for (const [i, text] of LOGS.entries()) {
      expect(known[i]?.mapping).not.toBe(null);
      read(text, known[i] as (typeof known)[number]);
    }
  });

  it("samples or faults", () => {
    const cases = fuzzCases("log");
    fc.assert(
      fc.property(fc.nat(LOGS.length - 1), mutations(), fc.nat(9), (i, changes, how) => {
        const start = LOGS[i] as string;
        const log =
          how < 7
            ? mutateText(start, changes, /[,;]/u)
            : mutateBytes(new TextEncoder().encode(how === 9 ? `\ufeff${start}` : start), changes);
        const label = typeof log === "string" ? log : Buffer.from(log).toString("latin1");
        // Half with the layout that it had before: a stored layout meets a log that has changed.
        watch.run(label, () =>
          read(log, how % 2 === 0 ? inferLogLayout(log) : (known[i] as (typeof known)[number])),
        );
      }),
      cases,
    );
    expect(watch.cases()).toBe(cases.numRuns);
    expect(watch.good()).toBeGreaterThan(cases.numRuns / 5);
  });
});
