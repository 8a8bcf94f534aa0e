import { CLOCKED, type DialectEntry, FULL } from "./entry.js";

const comma = { separator: ";", format: { decimal: ",", group: "" } } as const;
const bare = { units: "none" } as const;
const SHORT = "time:s; signal:Hz; engine speed:rpm; lambda:lambda; coolant:degC";
const swap = (from: string, to: string): string => FULL.replace(from, to);

/** Dialects that leave something open: another ordinary drive prints the same bytes. */
export const OPEN: readonly DialectEntry[] = [
  { name: "all bare", columns: FULL, features: bare },
  { name: "all bare, French", columns: FULL, features: { ...bare, ...comma, language: "fr" } },
  {
    name: "all bare, German, kg/h",
    columns: FULL.replace("g/s", "kg/h"),
    features: { ...bare, ...comma, language: "de" },
  },
  { name: "bare lb/min", columns: FULL.replace("airflow:g/s", "airflow:lb/min:-none-") },
  { name: "bare kg/h beside units", columns: FULL.replace("airflow:g/s", "airflow:kg/h:-none-") },
  { name: "bare mph", columns: `${SHORT}; vehicle speed:mph:-none-` },
  {
    name: "bare km/h, Spanish",
    columns: `${SHORT}; vehicle speed:km/h:-none-`,
    features: { language: "es" },
  },
  {
    name: "bare manifold pressure in inHg",
    columns: swap("pressure:kPa absolute", "pressure:inHg absolute:-none-"),
  },
  { name: "bare MAF", columns: `${SHORT}; airflow:g/s:-none-:MAF` },
  { name: "AFR without scale", columns: swap("lambda:lambda;", "lambda:afr 14.7:AFR;") },
  { name: "AFR with a dash as its unit", columns: swap("lambda:lambda;", "lambda:afr 14.64:-;") },
  {
    name: "AFR twice under one name",
    columns: swap("lambda:lambda;", "lambda:afr 14.7:AFR:AFR; lambda 2:afr 14.7:AFR:AFR;"),
  },
  {
    name: "AFR and its target, no scale",
    columns: swap("lambda:lambda; lambda target:lambda", "lambda:afr 14.5; lambda target:afr 14.5"),
  },
  {
    name: "equivalence ratio without sense",
    columns: swap("lambda:lambda;", "lambda:equivalence ratio:-:Equivalence Ratio;"),
  },
  {
    name: "equivalence ratio that is lambda",
    columns: swap("lambda:lambda;", "lambda:lambda:-:Equivalence Ratio;"),
  },
  {
    name: "lambda twice under one name",
    columns: swap("lambda:lambda;", "lambda:lambda:-:Lambda; lambda 2:lambda:-:Lambda;"),
  },
  {
    name: "boost without barometer",
    columns: swap("pressure:kPa absolute", "pressure:psi gauge at 98600:psi:Boost"),
    drive: { boost: 60e3 },
  },
  {
    name: "psi in pulls alone",
    columns: swap("pressure:kPa absolute", "pressure:psi absolute:psi:Manifold Pressure"),
    features: { pullOnly: true },
  },
  {
    name: "German boost in pulls alone",
    columns: swap("pressure:kPa absolute", "pressure:bar absolute:bar:Ladedruck"),
    features: { ...comma, language: "de", pullOnly: true },
    drive: { boost: 60e3 },
  },
  {
    name: "counts without scale",
    columns: "time:s; engine speed:rpm; signal:counts 4095 at 5 V; airflow:g/s; lambda:lambda",
    features: { kind: "voltage" },
  },
  { name: "two air meters, nothing told", columns: swap("airflow:g/s;", "airflow:g/s; airflow 2:g/s;") },
  { name: "trims as fractions under a percent sign", columns: FULL.replaceAll(":percent", ":fraction:%") },
  { name: "bare trims as factors", columns: FULL.replaceAll(":percent", ":factor:-none-") },
  {
    name: "bare trims as fractions",
    columns: FULL.replaceAll(":percent", ":fraction:-none-"),
    features: comma,
  },
  { name: "one temperature", columns: `${SHORT.replace("; coolant:degC", "")}; coolant:degC::Temperature` },
  {
    name: "one temperature, clock",
    columns: CLOCKED.replace("coolant:degC; intake air:degC", "intake air:degC::Temperature"),
    features: { clock: { form: "clock", digits: 3 } },
  },
  { name: "one pressure", columns: swap("pressure:kPa absolute", "pressure:kPa absolute:kPa:Pressure") },
  {
    name: "one fuel trim",
    columns: FULL.replace("short trim:percent; long trim:percent", "short trim:percent:%:Fuel Trim"),
  },
  {
    name: "two fuel trims of one name",
    columns: FULL.replace(
      "short trim:percent; long trim:percent",
      "short trim:percent:%:Fuel Trim; long trim:percent:%:Fuel Trim",
    ),
  },
  {
    name: "bare airflow, units row for the rest",
    columns: FULL.replace("airflow:g/s", "airflow:g/s:-none-"),
    features: { units: "row" },
  },
  {
    name: "bare airflow in UTF-16, Italian",
    columns: FULL.replace("airflow:g/s", "airflow:kg/h:-none-"),
    features: { ...comma, language: "it", encoding: "utf-16le" },
  },
  { name: "no line of names", columns: FULL, features: { headless: true, units: "none" } },
  {
    name: "no line of names, tabs, decimal comma",
    columns: SHORT,
    features: { ...comma, separator: "\t", headless: true, units: "none" },
  },
];
