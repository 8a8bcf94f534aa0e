import { DOCUMENT_KINDS } from "bellmouth/document";
import { type QuantityReading, type SpanReading, siText, type UncertainReading } from "bellmouth/text";
import type { CommandBody } from "../command.js";
import { readInput } from "../document-input.js";
import { plain } from "../words.js";

/** Reads a document and says what it understood. */
export const body: CommandBody = (request, io) => {
  const [name = ""] = request.positionals;
  const { kind, understood, files } = readInput(name, DOCUMENT_KINDS, io);
  const rows = understood.map(({ path, reading }) => [path, plain(reading.text), siOf(reading)] as const);
  const widths = [0, 1].map((i) => Math.max(0, ...rows.map((row) => (row[i] ?? "").length)));
  const lines = rows.map(
    ([path, written, si]) => `${path.padEnd(widths[0] ?? 0)}  ${written.padEnd(widths[1] ?? 0)}  ${si}\n`,
  );
  const opened = files.length === 0 ? "" : `\nread: ${files.map((file) => plain(file)).join(", ")}\n`;
  return {
    data: {
      ok: true,
      kind,
      quantities: understood.map(({ path, reading }) => ({ path, ...reading })),
      files,
    },
    text: `${plain(name)}: a ${kind} document without mistakes; its quantities as written and in SI:\n\n${lines.join("")}${opened}`,
  };
};

function siOf(reading: QuantityReading | UncertainReading | SpanReading): string {
  const { dimension } = reading;
  if (reading.kind === "span")
    return `${siText(reading.from, dimension)} .. ${siText(reading.to, dimension)}`;
  const value = siText(reading.value, dimension);
  return reading.kind === "quantity" || reading.u === 0
    ? value
    : `${value} ± ${siText(reading.u, dimension)}`;
}
