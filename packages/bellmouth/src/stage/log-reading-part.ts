import type { LogReading } from "../document/index.js";
import { list, partOf, record, text } from "./result-parts.js";

/** How a log was read: what became of each of its columns, what is asked, what was found. */
export const logReading = () =>
  partOf<LogReading>()(
    record({
      name: text(),
      time: text(),
      columns: list(record({ name: text(), use: text(), reason: text() })),
      questions: list(record({ text: text() })),
      said: list(text()),
      findings: list(record({ kind: text(), message: text() })),
    }),
  );
