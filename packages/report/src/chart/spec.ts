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
 * What is drawn. Lines join their points straight, because that is what the engine computer does; a curve is drawn from
 * many points.
 */
export type Series =
  | {
      readonly kind: "line";
      readonly name: string;
      readonly tone: Tone;
      readonly points: readonly XY[];
      readonly nodes?: boolean;
      readonly dashed?: boolean;
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
  /** Unique on its page, kebab-case. */
  readonly id: string;
  readonly title: string;
  /** The picture in words, with its main figures. */
  readonly description: string;
  readonly x: AxisSpec;
  readonly y: AxisSpec;
  readonly series: readonly Series[];
  readonly marks?: readonly Mark[];
}
