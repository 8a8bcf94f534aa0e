import { closeSync, openSync, writeSync } from "node:fs";
import { developmentCars, driveCsv, scenario, seededRandom, simulateDrive } from "@bellmouth/simulator";
import type { TransferCurve } from "bellmouth/sensor";

/** Seconds of driving simulated, and how often they are written one after another. */
const SECONDS = 1000;
const TIMES = 10;
const RATE = 100;

/** What the log was made with: the table that its refinement starts from. */
export interface MadeLog {
  readonly rows: number;
  readonly columns: number;
  readonly table: TransferCurve;
}

/** Writes a log of 1,000,000 rows and 20 columns: ten times a simulated drive at 100 Hz, stamps running on. */
export function makeLog(path: string): MadeLog {
  const car = developmentCars[0];
  if (car === undefined) throw new Error("no car");
  const { drive: usual } = scenario(car, "town and pulls", true, seededRandom(41));
  const log = { rate: RATE, jitter: 0, refresh: {}, decimals: {} };
  const random = seededRandom(42);
  const drive = simulateDrive({ ...usual, duration: SECONDS, log }, random);
  const signal = car.meter.trueCurve.signal === "frequency" ? "frequency" : "voltage";
  const [header = "", ...lines] = driveCsv(drive, signal, log).trimEnd().split("\n");
  const rows = lines.slice(0, SECONDS * RATE);
  const missing = 20 - header.split(",").length;
  // Columns that no channel wants: most real logs have more of them than of the others.
  const extra = Array.from({ length: missing }, (_, k) => `other ${k + 1} [1]`);
  const file = openSync(path, "w");
  let text = `${[header, ...extra].join(",")}\n`;
  for (let k = 0; k < TIMES; k++) {
    rows.forEach((line, i) => {
      const at = line.indexOf(",");
      const time = (k * SECONDS + i / RATE).toFixed(3);
      const tail = extra.map((_, j) => (random.uniform() * 10 ** j).toFixed(3)).join(",");
      text += `${time}${line.slice(at)},${tail}\n`;
      if (text.length > 1 << 20) {
        writeSync(file, text);
        text = "";
      }
    });
  }
  writeSync(file, text);
  closeSync(file);
  return { rows: rows.length * TIMES, columns: 20, table: usual.table };
}
