/** Troubles that show in a part of speed and load only, and drives that differ. */
export const PARTIAL: ReadonlySet<string> = new Set([
  "reversion",
  "pulsation",
  "purge",
  "blended airflow",
  "drives differ",
]);
const TRIMS: ReadonlySet<string> = new Set([
  "trims only",
  "narrow-band feedback",
  "trims wind up",
  "trims held",
]);
const SCALE: ReadonlySet<string> = new Set(["fuel scale", "lambda sensor offset"]);
/** The targets' rows: which groups are counted together. */
export const POOLS = {
  "all clean": (group: string) => group.startsWith("clean, "),
  "troubles in a part of speed and load, and drives that differ": (group: string) => PARTIAL.has(group),
  "all trims only": (group: string) => TRIMS.has(group),
  "all scale errors": (group: string) => SCALE.has(group),
  "leak and injector offset": (group: string) => group === "leak" || group === "injector offset",
  "all reversion inputs": (group: string) => group.startsWith("reversion input"),
} as const;
