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
  text(): string {
    const hex = (word: number): string => (word >>> 0).toString(16).padStart(8, "0");
    return hex(this.a) + hex(this.b);
  }
}

const words = new Uint32Array(2);
const double = new Float64Array(words.buffer);

/** Digest of plain data: objects by sorted keys, numbers by their bits. */
export function digestOf(data: unknown): string {
  const digest = new Digest();
  const text = (value: string): void => {
    for (let i = 0; i < value.length; i++) digest.add(value.charCodeAt(i));
    digest.add(-1);
  };
  const visit = (value: unknown): void => {
    if (typeof value === "number") {
      double[0] = value + 0;
      digest.add(words[0]!);
      digest.add(words[1]!);
    } else if (Array.isArray(value)) {
      digest.add(value.length);
      for (const one of value) visit(one);
    } else if (typeof value === "object" && value !== null) {
      for (const key of Object.keys(value).sort()) {
        const inner = (value as { readonly [key: string]: unknown })[key];
        if (inner === undefined) continue;
        text(key);
        visit(inner);
      }
    } else text(String(value));
  };
  visit(data);
  return digest.text();
}

/** A stretch ends at a row whose content says so, on average every so many rows, and holds at least a quarter of that. */
const stretchRows = 256;

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
  const single = new Float32Array(1);
  const bits = new Uint32Array(single.buffer);
  let digest = new Digest();
  let count = 0;
  for (let t = 0; t < rows; t++) {
    let mark = 0;
    for (const { value } of read) {
      single[0] = value[t]!;
      digest.add(bits[0]!);
      mark = Math.imul(mark ^ bits[0]!, 0x9e3779b1);
      mark ^= mark >>> 15;
    }
    count++;
    if ((mark >>> 8) % stretchRows === 0 && count >= stretchRows >> 2) {
      out.push(digest.text());
      digest = new Digest();
      count = 0;
    }
  }
  if (count >= stretchRows >> 2) out.push(digest.text());
  return out;
}
