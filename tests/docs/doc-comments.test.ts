// The doc comments of the library's exported functions, read as a user would: is it there, does every plain number
// have a unit, are the errors named, is the law's source given?
import * as air from "bellmouth/air";
import * as curve from "bellmouth/curve";
import * as document from "bellmouth/document";
import * as drive from "bellmouth/drive";
import * as fault from "bellmouth/fault";
import * as fit from "bellmouth/fit";
import * as intake from "bellmouth/intake";
import * as sensor from "bellmouth/sensor";
import * as stage from "bellmouth/stage";
import * as text from "bellmouth/text";
import * as units from "bellmouth/units";
import { describe, expect, it } from "vitest";
import { documentedFunctions } from "./doc-comments.js";

const rooms: Readonly<Record<string, object>> = {
  air,
  curve,
  document,
  drive,
  fault,
  fit,
  intake,
  sensor,
  stage,
  text,
  units,
};
const functions = documentedFunctions().filter((f) => f.name in (rooms[f.room] ?? {}));

/** Codes that a body throws itself, directly or through `requireNumber`. */
const thrown = (body: string): string[] => [
  ...new Set([
    ...[...body.matchAll(/code: "(E_[A-Z_]+)"/g)].map((match) => match[1] as string),
    ...(/requireNumber\(/.test(body) ? ["E_DOMAIN"] : []),
  ]),
];

/** Units and shapes stand in square brackets: [kg/s], [Pa], [1]; or the comment says that there is none to give. */
const namesUnit = (doc: string): boolean => /\[[^\]]+\]|no unit|any unit|same unit|unit of/i.test(doc);

const bare = /(^|[^a-zA-Z])(number|Float64Array|readonly number\[\]|number\[\])/;

describe("doc comments", () => {
  it("were read", () => {
    expect(functions.length).toBeGreaterThan(150);
  });

  it("are there for every exported function", () => {
    expect(functions.filter((f) => f.doc.trim() === "").map((f) => `${f.file}: ${f.name}`)).toEqual([]);
  });

  it("give a unit wherever a plain number goes in or comes out", () => {
    const silent = functions.filter(
      (f) =>
        f.room !== "fault" &&
        (f.parameters.some((p) => bare.test(p.type)) || bare.test(f.returns)) &&
        !namesUnit(f.doc),
    );
    expect(silent.map((f) => `${f.file}: ${f.name}`)).toEqual([]);
  });

  it("name the codes a function throws", () => {
    const silent = functions.flatMap((f) =>
      thrown(f.body)
        .filter((code) => !f.doc.includes(code))
        .map((code) => `${f.file}: ${f.name} throws ${code}`),
    );
    expect(silent).toEqual([]);
  });

  it("cite a source for every law of air", () => {
    const lawless = functions.filter(
      (f) =>
        f.room === "air" &&
        /Math\.(exp|log|sqrt|pow)|\*\*/.test(f.body) &&
        !/@source|NIST|see \w+/i.test(f.doc),
    );
    expect(lawless.map((f) => `${f.file}: ${f.name}`)).toEqual([]);
  });
});
