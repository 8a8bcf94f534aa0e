/** Colours are named by meaning; the style sheet gives each a light, a dark and a printed form. */
export type Tone = "new" | "old" | "limit" | "warm" | "cool" | "plain" | "a" | "b" | "c" | "d" | "e" | "f";

export interface XY {
  readonly x: number;
  readonly y: number;
}

export interface Ranged extends XY {
  readonly low: number;
  readonly high: number;
}

/**
 * What is drawn. Lines join their points straight, because that is what the ECU does; a curve is drawn from many points.
 * A name is written beside the drawn series where `direct` is set, in the key otherwise.
 */
export type Series =
  | {
      readonly kind: "line";
      readonly name: string;
      readonly tone: Tone;
      readonly points: readonly XY[];
      readonly nodes?: boolean;
      readonly dashed?: boolean;
      readonly direct?: boolean;
    }
  | { readonly kind: "band"; readonly name: string; readonly tone: Tone; readonly points: readonly Ranged[] }
  | { readonly kind: "points"; readonly name: string; readonly tone: Tone; readonly points: readonly XY[] }
  | {
      readonly kind: "ranges";
      readonly name: string;
      readonly tone: Tone;
      readonly points: readonly Ranged[];
    };

/** A line across the picture, with its label. */
export interface Mark {
  readonly axis: "x" | "y";
  readonly at: number;
  readonly label: string;
  readonly tone: Tone;
}

export interface AxisSpec {
  readonly label: string;
  readonly scale: "linear" | "log";
  /** Ends; from the data where left out. */
  readonly from?: number;
  readonly to?: number;
}

export interface ChartSpec {
  readonly x: AxisSpec;
  readonly y: AxisSpec;
  readonly series: readonly Series[];
  readonly marks?: readonly Mark[];
  /** Height over width; 0.6 where left out. Aligned pictures on one axis are drawn flat. */
  readonly aspect?: number;
}

/** Layers on top of each other over x: what each part takes of a whole. */
export interface StackSpec {
  readonly x: AxisSpec;
  readonly y: AxisSpec;
  readonly layers: readonly { readonly name: string; readonly tone: Tone }[];
  readonly rows: readonly { readonly x: number; readonly values: readonly number[] }[];
  readonly marks?: readonly Mark[];
}

/** Horizontal bars, grouped by row, against a limit. */
export interface BarsSpec {
  readonly label: string;
  readonly groups: readonly {
    readonly name: string;
    readonly bars: readonly {
      readonly name: string;
      readonly value: number;
      readonly text: string;
      readonly tone: Tone;
      readonly low?: number;
      readonly high?: number;
    }[];
  }[];
  readonly limit?: { readonly at: number; readonly label: string };
}

/** A column of a picture's data: numbers as they are to be pasted, shown rounded; or text. */
export type Column =
  | { readonly name: string; readonly values: readonly number[]; readonly digits?: number }
  | { readonly name: string; readonly text: readonly string[] };

/** One picture with its words and its numbers: data, no markup. */
export interface Figure {
  /** unique in its account, kebab-case */
  readonly id: string;
  readonly title: string;
  /** What the picture shows, in a sentence or two with figures: its text equivalent. */
  readonly words: string;
  readonly picture:
    | { readonly kind: "chart"; readonly spec: ChartSpec }
    | { readonly kind: "stack"; readonly spec: StackSpec }
    | { readonly kind: "bars"; readonly spec: BarsSpec };
  readonly data: readonly Column[];
}
