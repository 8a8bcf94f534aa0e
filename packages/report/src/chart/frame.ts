/** Size of a picture and of its margins [CSS pixels at which it is drawn]. */
export interface Frame {
  readonly width: number;
  readonly height: number;
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

/** How much width a picture is drawn for: a page's column, or a phone. Nothing is scaled down to fit. */
export type Width = "wide" | "narrow";

/** Frame of a chart; `aspect` is its height over its width. */
export function frameOf(width: Width, aspect = 0.56): Frame {
  return width === "wide"
    ? { width: 560, height: Math.round(560 * aspect), left: 62, right: 24, top: 16, bottom: 44 }
    : {
        width: 350,
        height: Math.round(350 * Math.max(0.62, aspect * 1.25)),
        left: 66,
        right: 12,
        top: 14,
        bottom: 44,
      };
}
