import fc from "fast-check";
import { HOSTILE_KEYS, HOSTILE_NUMBERS, HOSTILE_QUANTITIES, HOSTILE_TEXT } from "./hostile.js";

/** One change to a text or a tree; places are shares of its length, so that a change fits whatever it is applied to. */
export interface Mutation {
  readonly kind: number;
  readonly at: number;
  readonly to: number;
  readonly put: string;
}

const anyPut = fc.oneof(
  fc.constantFrom(...HOSTILE_NUMBERS),
  fc.constantFrom(...HOSTILE_QUANTITIES),
  fc.constantFrom(...HOSTILE_TEXT),
  fc.constantFrom(...HOSTILE_KEYS),
  fc.string({ maxLength: 8, unit: "binary" }),
);
const share = fc.double({ min: 0, max: 1, maxExcluded: true, noNaN: true });

/** A few changes to make one after another. */
export const mutations = (most = 4): fc.Arbitrary<readonly Mutation[]> =>
  fc.array(fc.record({ kind: fc.nat(999), at: share, to: share, put: anyPut }), {
    minLength: 1,
    maxLength: most,
  });

const pick = (length: number, part: number): number => Math.floor(part * length);

/** Cuts, doubles, swaps and splices the lines and characters of a text. */
export function mutateText(text: string, changes: readonly Mutation[], separator: RegExp = /: |,/u): string {
  return changes.reduce((now, change) => mutateOnce(now, change, separator), text);
}

function mutateOnce(text: string, { kind, at, to, put }: Mutation, separator: RegExp): string {
  const lines = text.split("\n");
  const here = pick(lines.length, at);
  const there = pick(lines.length, to);
  const line = lines[here] ?? "";
  const rejoined = (changed: string): string => lines.with(here, changed).join("\n");
  const place = pick(text.length + 1, at);
  switch (kind % 12) {
    case 0:
      return lines.toSpliced(here, 1).join("\n");
    case 1:
      return lines.toSpliced(there, 0, line).join("\n");
    case 2:
      return lines
        .with(here, lines[there] ?? "")
        .with(there, line)
        .join("\n");
    case 3:
    case 4:
    case 5: {
      // One cell, or the value of one key, replaced.
      const parts = line.split(separator);
      const marks = line.match(new RegExp(separator, "gu")) ?? [];
      const cell = pick(parts.length, to);
      const changed = kind % 12 === 5 ? scaled(parts[cell] ?? "", kind) : put;
      return rejoined(
        parts.with(cell, changed).reduce((all, part, i) => `${all}${marks[i - 1] ?? ""}${part}`),
      );
    }
    case 6:
      return rejoined(`${" ".repeat(kind % 7)}${line.trimStart()}`);
    case 7: {
      // Indentation is kept: only the key changes.
      const [indent = ""] = /^\s*(?:- )?/u.exec(line) ?? [];
      return rejoined(`${indent}${put}${line.slice(indent.length).replace(/^[^:,]*/u, "")}`);
    }
    case 8:
      return text.slice(0, place) + put + text.slice(place);
    case 9:
      return text.slice(0, place) + text.slice(place + 1 + (kind % 40));
    case 10:
      return (
        text.slice(0, place) +
        text.slice(pick(text.length, to), pick(text.length, to) + 60) +
        text.slice(place)
      );
    default:
      return kind % 24 === 11
        ? text.slice(0, place)
        : text.slice(0, place) + put + text.slice(place + put.length);
  }
}

/** The first number of a text times a power of ten or nearly itself. */
function scaled(text: string, kind: number): string {
  const factor = [0.1, 10, 1.01, 0.99, -1, 1e6, 1e-6, 2, 0.5][kind % 9] ?? 1;
  return text.replace(/\d+(?:\.\d+)?/u, (number) => String(Number(number) * factor));
}

/** Flips, cuts and repeats bytes. */
export function mutateBytes(bytes: Uint8Array, changes: readonly Mutation[]): Uint8Array {
  return changes.reduce<Uint8Array>((now, { kind, at, to }) => {
    const place = pick(now.length, at);
    const end = Math.min(now.length, place + 1 + pick(12, to));
    if (kind % 3 === 0) return now.with(place % Math.max(1, now.length), kind % 256);
    if (kind % 3 === 1) return Uint8Array.of(...now.subarray(0, place), ...now.subarray(end));
    return Uint8Array.of(...now.subarray(0, end), ...now.subarray(place));
  }, bytes);
}

type Tree = unknown;
type Branch = Record<string, Tree> | Tree[];

const isBranch = (value: Tree): value is Branch => typeof value === "object" && value !== null;

/** Every place of a tree: the branch that holds it and its key. */
function placesOf(tree: Branch): { readonly branch: Branch; readonly key: string }[] {
  return Object.keys(tree).flatMap((key) => {
    const value = (tree as Record<string, Tree>)[key];
    return [{ branch: tree, key }, ...(isBranch(value) ? placesOf(value) : [])];
  });
}

/** Replaces, swaps, removes, repeats, moves and renames values of a tree. The tree given is not changed. */
export function mutateTree(tree: Branch, changes: readonly Mutation[]): Branch {
  const root = structuredClone(tree);
  for (const change of changes) mutatePlace(root, change);
  return root;
}

function mutatePlace(root: Branch, { kind, at, to, put }: Mutation): void {
  const places = placesOf(root);
  const here = places[pick(places.length, at)];
  const there = places[pick(places.length, to)];
  if (here === undefined || there === undefined) return;
  const of = (place: typeof here): Tree => (place.branch as Record<string, Tree>)[place.key];
  const set = (place: typeof here, value: Tree): void => {
    // Defined, not assigned: a key called __proto__ must become a key.
    Object.defineProperty(place.branch, place.key, {
      value,
      enumerable: true,
      configurable: true,
      writable: true,
    });
  };
  const value = of(here);
  switch (kind % 10) {
    case 0:
      set(here, put);
      break;
    case 1:
      set(here, [null, true, false, 0, -1, 1e308, [], {}, [[]], "", [put]][kind % 11]);
      break;
    case 2: {
      const other = structuredClone(of(there));
      set(there, structuredClone(value));
      set(here, other);
      break;
    }
    case 3:
      if (Array.isArray(here.branch)) here.branch.splice(Number(here.key), 1);
      else delete here.branch[here.key];
      break;
    case 4:
      if (Array.isArray(here.branch)) here.branch.push(structuredClone(value));
      else set({ branch: here.branch, key: put }, structuredClone(value));
      break;
    case 5:
    case 6:
      set(
        here,
        typeof value === "number"
          ? value * 10 ** ((kind % 13) - 6)
          : scaled(typeof value === "string" ? value : JSON.stringify(value), kind),
      );
      break;
    case 7:
      set(here, { [put]: structuredClone(value) });
      break;
    case 8: {
      // A list has no keys of its own.
      if (Array.isArray(here.branch)) break;
      const key = HOSTILE_KEYS[kind % HOSTILE_KEYS.length] ?? "";
      set({ branch: here.branch, key }, { polluted: put });
      break;
    }
    default:
      set(there, structuredClone(value));
  }
}

/** Factors for the numbers of a text that is otherwise left as it is. */
export interface NumberChange {
  readonly at: number;
  readonly factor: number;
}

export const numberChanges = (most: number): fc.Arbitrary<readonly NumberChange[]> =>
  fc.array(
    fc.record({
      at: share,
      factor: fc.constantFrom(0.5, 0.8, 0.9, 0.97, 0.99, 1, 1.0001, 1.01, 1.03, 1.1, 1.5, 3, 10, 0.1, 0),
    }),
    { maxLength: most },
  );

/** The numbers of a text, some of them multiplied. */
export function bentNumbers(text: string, changes: readonly NumberChange[]): string {
  const number = /(?<![\w.^])\d+(?:\.\d+)?(?![\w.^])/gu;
  const places = [...text.matchAll(number)].map((match) => match.index);
  const factors = new Map(
    changes.map(({ at, factor }) => [places[pick(places.length, at)], factor] as const),
  );
  return text.replace(number, (digits, place: number) => {
    const factor = factors.get(place);
    return factor === undefined ? digits : String(Number((Number(digits) * factor).toPrecision(12)));
  });
}
