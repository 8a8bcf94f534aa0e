import type { Drive, DriveChannel } from "../drive.js";

/** Two lanes of FNV-1a over 32-bit words: not secret, only unlikely to meet by chance. */
class Digest {
  private a = 0x811c9dc5;
  private b = 0x9e3779b9;
  add(word: number): void {
    this.a = Math.imul(this.a ^ word, 0x01000193);
    this.b = Math.imul(this.b ^ (word >>> 7) ^ (word << 5), 0x85ebca6b);
    this.a ^= this.a >>> 15;
    this.b ^= this.b >>> 13;
  }
  addText(value: string): void {
    for (let i = 0; i < value.length; i++) this.add(value.charCodeAt(i));
    this.add(-1);
  }
  /** Plain data: objects by sorted keys, numbers by their bits. */
  addData(value: unknown): void {
    if (typeof value === "number") {
      double[0] = value + 0;
      this.add(words[0]!);
      this.add(words[1]!);
    } else if (Array.isArray(value)) {
      this.add(value.length);
      for (let k = 0; k < value.length; k++) this.addData(value[k]);
    } else if (typeof value === "object" && value !== null) {
      for (const key of Object.keys(value).sort()) {
        const inner = (value as { readonly [key: string]: unknown })[key];
        if (inner === undefined) continue;
        this.addText(key);
        this.addData(inner);
      }
    } else this.addText(String(value));
  }
  text(): string {
    const hex = (word: number): string => (word >>> 0).toString(16).padStart(8, "0");
    return hex(this.a) + hex(this.b);
  }
}

const words = new Uint32Array(2);
const double = new Float64Array(words.buffer);

/** Digest of plain data. */
export function digestOf(data: unknown): string {
  const digest = new Digest();
  digest.addData(data);
  return digest.text();
}

/** A stretch ends at a row whose content says so, on average every so many rows, and holds at least a quarter of that. */
const stretchRows = 256;
const shortestStretch = stretchRows >> 2;

/**
 * Digests of a drive's stretches: what the meter and the mixture showed, row by row, cut where the content says so. The same rows give the
 * same digests in whatever log they stand and at whatever time it begins.
 */
export function stretchDigests({ channels }: Drive): string[] {
  const meter = channels.signal ?? channels.airflow;
  const mixture = channels.lambda ?? channels.shortTrim ?? channels.longTrim;
  if (meter === undefined || mixture === undefined) return [];
  const read = [meter, mixture, channels.engineSpeed].filter(
    (channel): channel is DriveChannel => channel !== undefined,
  );
  const out: string[] = [];
  const rows = Math.min(...read.map(({ value }) => value.length));
  const series = read.map(({ value }) => Float32Array.from(value.subarray(0, rows)));
  const bits = series.map(({ buffer }) => new Uint32Array(buffer));
  let from = 0;
  while (from < rows) {
    const digest = new Digest();
    const to = addStretch(digest, bits, from, rows);
    if (to - from >= shortestStretch) out.push(digest.text());
    from = to;
  }
  return out;
}

/** Adds rows up to one that ends a stretch. @returns the row after it */
function addStretch(digest: Digest, bits: readonly Uint32Array[], from: number, rows: number): number {
  for (let t = from; t < rows; t++) {
    let mark = 0;
    for (let k = 0; k < bits.length; k++) {
      const word = bits[k]![t]!;
      digest.add(word);
      mark = Math.imul(mark ^ word, 0x9e3779b1);
      mark ^= mark >>> 15;
    }
    if ((mark >>> 8) % stretchRows === 0 && t + 1 - from >= shortestStretch) return t + 1;
  }
  return rows;
}
