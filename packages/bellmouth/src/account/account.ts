import type { FindingLevel, VerdictLevel } from "../stage/index.js";
import type { Figure } from "./picture.js";

/**
 * What a result has to say, once: sentences, tables, pictures and steps as data without markup. Renderers (terminal, Markdown,
 * page) know accounts and nothing of stages. Numbers stand as text in the user's units, with true minus signs and thin spaces.
 */
export interface Account {
  /** Start of ids on a page: `plan`. */
  readonly kind: string;
  /** Its kind for people: `Plan`. */
  readonly label: string;
  readonly title: string;
  readonly verdict: {
    /** `told` where a result reports and judges nothing, such as a decision table. */
    readonly level: VerdictLevel | "told";
    /** In two or three words: `Ready for a first start`. */
    readonly words: string;
    /** What may be done now and what not, with the figures that decide. */
    readonly sentence: string;
  };
  readonly figures: readonly AccountFigure[];
  readonly findings: readonly { readonly level: FindingLevel; readonly text: string }[];
  /** Tables to type in, first on every screen; none under "do not use". */
  readonly entry: readonly AccountTable[];
  /** Pictures on the first screen, aligned on one axis. */
  readonly lead: readonly Figure[];
  readonly steps: readonly AccountStep[];
  /** When to stop at once; null where nothing is driven. */
  readonly stop: string | null;
  readonly sections: readonly AccountSection[];
  readonly cautions: readonly string[];
}

/** One of the numbers that decide, in words. */
export interface AccountFigure {
  readonly name: string;
  readonly value: string;
  /** `95 %: 71 to 84 %`; empty where there is none. */
  readonly interval: string;
  readonly meaning: string;
}

export interface AccountStep {
  /** What to do, in two or three words. */
  readonly head: string;
  readonly text: string;
  /** A command to type, where there is one. */
  readonly command?: string;
}

export interface AccountSection {
  /** unique in its account, kebab-case */
  readonly id: string;
  readonly title: string;
  readonly text: readonly string[];
  readonly tables: readonly AccountTable[];
  readonly figures: readonly Figure[];
}

export interface AccountTable {
  /** unique in its account, kebab-case */
  readonly id: string;
  readonly caption: string;
  /** What the values are and how to read them. */
  readonly hint: string;
  readonly columns: readonly {
    readonly name: string;
    /** Under the name; empty where the column has none. */
    readonly unit: string;
    readonly align: "left" | "right";
    /** The values to type in. */
    readonly strong?: boolean;
    /** Left out where there is little width. */
    readonly wide?: boolean;
  }[];
  readonly rows: readonly {
    readonly cells: readonly string[];
    /** Heading of the group that begins here: what these rows are for. */
    readonly group?: string;
    /** Missing or undriven: drawn grey. */
    readonly dim?: boolean;
  }[];
  /** Sums to compare after typing, in words. */
  readonly sums?: string;
  /** Columns that are copied together as spreadsheet cells, by index; no copy button where left out. */
  readonly copy?: readonly number[];
  /** Shown by the terminal too, which leaves long tables to the files. */
  readonly brief?: boolean;
}
