import type { Encoding } from "./dialect.js";

/** Code points that cp1252 puts elsewhere than Latin-1 and that a column's name may hold. */
const CP1252 = new Map([
  ["€", 0x80],
  ["–", 0x96],
  ["Ω", 0x3f],
]);

function latin(text: string): Uint8Array {
  return Uint8Array.from(text, (c) => CP1252.get(c) ?? (c.charCodeAt(0) < 256 ? c.charCodeAt(0) : 0x3f));
}

function wide(text: string, little: boolean): Uint8Array {
  const view = new DataView(new ArrayBuffer(text.length * 2));
  for (let i = 0; i < text.length; i++) view.setUint16(2 * i, text.charCodeAt(i), little);
  return new Uint8Array(view.buffer);
}

export function encode(text: string, encoding: Encoding): Uint8Array {
  switch (encoding) {
    case "utf-8":
      return new TextEncoder().encode(text);
    case "utf-8 with mark":
      return new TextEncoder().encode(`\uFEFF${text}`);
    case "utf-16le":
      return wide(text, true);
    case "utf-16le with mark":
      return wide(`\uFEFF${text}`, true);
    case "utf-16be with mark":
      return wide(`\uFEFF${text}`, false);
    case "cp1252":
      return latin(text);
  }
}
