/** How a file writes numbers. */
export interface NumberFormat {
  readonly decimal: "." | ",";
  /** Between groups of three digits; none when empty. */
  readonly group: "" | "." | "," | " " | "'";
}

/** Digits after the mark; `shortest` drops trailing zeros, `exponent` writes 1.0350E+3. */
export type Digits = number | "shortest" | "exponent";

export const FORMATS: readonly NumberFormat[] = [
  { decimal: ".", group: "" },
  { decimal: ",", group: "" },
  { decimal: ".", group: "," },
  { decimal: ",", group: "." },
  { decimal: ",", group: " " },
  { decimal: ".", group: "'" },
];

export const DIGITS: readonly Digits[] = [0, 1, 2, 3, 4, 5, 6, "shortest", "exponent"];

/** Largest number of digits that `shortest` writes after the mark. */
const SHORTEST = 4;

export function writeNumber(value: number, format: NumberFormat, digits: Digits): string {
  if (digits === "exponent") return value.toExponential(4).replace("e", "E").replace(".", format.decimal);
  const fixed = digits === "shortest" ? String(Number(value.toFixed(SHORTEST))) : value.toFixed(digits);
  const text = Number(fixed) === 0 ? fixed.replace("-", "") : fixed; // no logger writes minus nothing
  const [whole = "", part] = text.split(".");
  const grouped = format.group === "" ? whole : whole.replace(/\B(?=(\d{3})+$)/g, format.group);
  return part === undefined ? grouped : `${grouped}${format.decimal}${part}`;
}

const escaped = (mark: string): string => mark.replace(/[.]/g, "\\$&");
const patterns = new Map<NumberFormat, RegExp>();

/** The number that a text says in a format, or `undefined` when the format does not write such a text. */
export function readNumber(text: string, format: NumberFormat): number | undefined {
  let pattern = patterns.get(format);
  if (pattern === undefined) {
    const whole = format.group === "" ? "\\d+" : `\\d{1,3}(?:${escaped(format.group)}\\d{3})*`;
    pattern = new RegExp(`^-?${whole}(?:${escaped(format.decimal)}\\d+)?(?:E[+-]\\d+)?$`);
    patterns.set(format, pattern);
  }
  if (!pattern.test(text)) return undefined;
  const bare = format.group === "" ? text : text.replaceAll(format.group, "");
  return Number(bare.replace(format.decimal, "."));
}
