/** Files that are no logs, with what a person would call them. */
export interface NotALog {
  readonly name: string;
  readonly bytes: Uint8Array;
  /** A refusal names the file as this. */
  readonly named?: RegExp;
}

const text = (t: string): Uint8Array => new TextEncoder().encode(t);
const raw = (...codes: readonly number[]): Uint8Array =>
  Uint8Array.from([...codes, ...new Array(200).fill(7)]);
const letters = (t: string): number[] => Array.from(t, (c) => c.charCodeAt(0));

export const NOT_LOGS: readonly NotALog[] = [
  {
    name: "workbook (zip)",
    bytes: raw(...letters("PK\u0003\u0004"), 20, 0, 6, 0, ...letters("xl/workbook.xml")),
    named: /workbook|spreadsheet|xlsx|zip/i,
  },
  {
    name: "older workbook",
    bytes: raw(0xd0, 0xcf, 0x11, 0xe0, 0xa1, 0xb1, 0x1a, 0xe1),
    named: /workbook|spreadsheet|xls|binary/i,
  },
  {
    name: "picture, PNG",
    bytes: raw(0x89, ...letters("PNG\r\n\u001a\n"), 0, 0, 0, 13),
    named: /image|picture|png|binary/i,
  },
  {
    name: "picture, JPEG",
    bytes: raw(0xff, 0xd8, 0xff, 0xe0, 0, 16, ...letters("JFIF")),
    named: /image|picture|jpe?g|binary/i,
  },
  {
    name: "page",
    bytes: text(
      "<!DOCTYPE html>\n<html><head><title>Sign in</title></head><body><p>Your session, has ended</p></body></html>\n",
    ),
    named: /html|web page/i,
  },
  { name: "empty", bytes: text(""), named: /empty|no (rows|text|data)/i },
  { name: "blank lines", bytes: text("\n\n   \n\r\n") },
  {
    name: "prose",
    bytes: text(
      "Filled up on Tuesday, drove home.\nNo faults, one long hill, mild weather.\nNext: new filter, look at the hose.\n",
    ),
  },
  {
    name: "fuel bills",
    bytes: text(
      "date,litres,price,station\n2031-05-04,38.2,71.40,east\n2031-05-19,41.0,77.08,north\n2031-06-02,36.7,69.11,east\n",
    ),
  },
  {
    name: "tyre list",
    bytes: text("size;load index;noise [dB]\n205/55 R16;91;70\n215/50 R17;95;71\n225/45 R17;94;71\n"),
  },
  { name: "JSON", bytes: text('{"records":[{"t":0,"v":[1,2,3]},{"t":1,"v":[1,2,4]}]}\n'), named: /json/i },
  {
    name: "header alone",
    bytes: text("Time [s],Mass Airflow [g/s],Engine Speed [rpm]\n"),
    named: /no rows|no data|empty|header/i,
  },
];
