import { type Command, PAGE_OPTIONS, RESULT_OPTIONS } from "../command.js";

const DOCUMENT = { name: "DOCUMENT", about: "a YAML or JSON document" } as const;

/** Every command, in the order of `bellmouth help`. */
export const COMMANDS: readonly Command[] = [
  {
    name: "plan",
    about: "compute the tables for a new air meter housing",
    details:
      "Reads a swap document; prints verdict, figures and what was found. With --out the tables, the summary and the data are\nwritten as well. A table that the safety rules refuse is not written (exit code 4).",
    positionals: [DOCUMENT],
    options: RESULT_OPTIONS,
    load: async () => (await import("./plan.js")).body,
  },
  {
    name: "headroom",
    about: "say how far the signal stays from its ends",
    details:
      "Reads a swap document; prints the signal that each scenario reaches, before and after, and where idle falls.",
    positionals: [DOCUMENT],
    options: PAGE_OPTIONS,
    load: async () => (await import("./headroom.js")).body,
  },
  {
    name: "sweep",
    about: "say which bore would do",
    details: "Reads a swap document with a sweep; prints headroom, idle and drop over the range of bores.",
    positionals: [DOCUMENT],
    options: PAGE_OPTIONS,
    load: async () => (await import("./sweep.js")).body,
  },
  {
    name: "refine",
    about: "correct a table from logs of drives",
    details:
      "Reads a refine document and the logs it names, a worker for each log; prints what was found, how sure it is and what to\ndrive next. With --out the refined table, the cells with their intervals, the summary and the data are written.",
    positionals: [DOCUMENT],
    options: RESULT_OPTIONS,
    load: async () => (await import("./refine.js")).body,
  },
  {
    name: "verify",
    about: "hold a typed table against a log: what does the ECU execute?",
    details:
      "Reads a verify document: the table that was meant to be typed in, and a log of a short drive with signal and airflow. Prints\nevery driven cell that the ECU executes otherwise, cells that were not driven, and what it does past the ends.",
    positionals: [DOCUMENT],
    options: RESULT_OPTIONS,
    load: async () => (await import("./verify.js")).body,
  },
  {
    name: "simulate",
    about: "drive an invented car and write its log",
    details:
      "Reads a simulate document. With --out the log is written as ordinary CSV, beside the table it was driven on and the true\ncurve, so that a correction can be tried where the answer is known.",
    positionals: [DOCUMENT],
    options: RESULT_OPTIONS,
    load: async () => (await import("./simulate.js")).body,
  },
  {
    name: "restriction",
    about: "say what each part of the intake takes of the pressure",
    details:
      "Reads a restriction document: pressures along the tract by flow or engine speed. Prints shares with intervals, what was\nfound, and what changes would do. With --out the summary, the data and two tables are written as well.",
    positionals: [DOCUMENT],
    options: RESULT_OPTIONS,
    load: async () => (await import("./restriction.js")).body,
  },
  {
    name: "trial",
    about: "compare runs before and after a change, back to back",
    details:
      "Reads a trial document: runs from logs or typed points. Prints the difference with an interval that comes from the runs, not\nfrom their samples, the smallest difference the trial could have seen, and how many runs would show a wanted one.",
    positionals: [DOCUMENT],
    options: RESULT_OPTIONS,
    load: async () => (await import("./trial.js")).body,
  },
  {
    name: "decide",
    about: "set what changes cost against what they bring",
    details:
      "Reads a decision document. Prints cost, gain, cost per kW and hp, what is saved by doing changes together, and the room left\nfor the next one.",
    positionals: [DOCUMENT],
    options: RESULT_OPTIONS,
    load: async () => (await import("./decide.js")).body,
  },
  {
    name: "report",
    about: "show stored results together on one page",
    details:
      "Reads the data that other commands wrote with --out (plan.json, restriction.json, trial.json, decision.json, refine.json, drive.json, verify.json),\nin the order given, and writes one page of them (--report), each picture as an SVG file (--pictures), or both.",
    positionals: [{ name: "RESULT", about: "JSON files of results, one or more", many: true }],
    options: [...PAGE_OPTIONS, { name: "title", value: "TEXT", about: "heading of the page" }],
    load: async () => (await import("./report.js")).body,
  },
  {
    name: "check",
    about: "read a document and say what it means",
    details:
      "Every quantity is shown as written and as understood, in SI. Mistakes are listed with file, line and column, what was\nfound and what would be accepted. Nothing is computed and nothing is written.",
    positionals: [DOCUMENT],
    options: [],
    load: async () => (await import("./check.js")).body,
  },
  {
    name: "schema",
    about: "say which keys a kind of document has, or print its JSON Schema",
    details:
      "--keys lists the keys with their meaning, for reading. The JSON Schema is for editors that know YAML or JSON: they complete keys\nand underline mistakes while you type.",
    positionals: [
      { name: "KIND", about: "swap, refine, …; the kinds are listed without it", optional: true },
    ],
    options: [{ name: "keys", about: "list the keys with their meaning; * marks those a block must have" }],
    load: async () => (await import("./schema.js")).body,
  },
  {
    name: "units",
    about: "list the units that documents and tables may use",
    positionals: [
      { name: "QUANTITY", about: "'mass flow', …; all without it", optional: true },
      { name: "WORD", about: "its second word", optional: true },
    ],
    options: [],
    load: async () => (await import("./units.js")).body,
  },
];
