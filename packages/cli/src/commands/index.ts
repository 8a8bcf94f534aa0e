import type { Command } from "../command.js";

const DOCUMENT = { name: "DOCUMENT", about: "a YAML or JSON document" } as const;

/** Every command, in the order of `bellmouth help`. */
export const COMMANDS: readonly Command[] = [
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
    about: "print the JSON Schema of a kind of document",
    details:
      "Editors that know YAML or JSON use it to complete keys and to underline mistakes while you type.",
    positionals: [{ name: "KIND", about: "swap, …; the kinds are listed without it", optional: true }],
    options: [],
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
