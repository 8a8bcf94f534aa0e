// What a user's own project writes: the face, every room, and the three packages, with types.
import { gramsPerSecond, type MassFlow, mm, toGramsPerSecond } from "bellmouth";
import * as air from "bellmouth/air";
import * as curve from "bellmouth/curve";
import * as document from "bellmouth/document";
import * as drive from "bellmouth/drive";
import * as intake from "bellmouth/intake";
import * as sensor from "bellmouth/sensor";
import * as stage from "bellmouth/stage";
import * as text from "bellmouth/text";
import { kelvins } from "bellmouth/units";

const flow: MassFlow = gramsPerSecond(210);
// @ts-expect-error a bare number is not a mass flow
const bare: MassFlow = 0.21;
// @ts-expect-error a length is not a mass flow
const wrong: MassFlow = mm(76);

const rooms: object[] = [air, curve, drive, document, intake, sensor, stage, text];
const viscosity: number = air.airViscosity(kelvins(293.15));
console.log(
  JSON.stringify({
    flow: toGramsPerSecond(flow),
    viscosity,
    rooms: rooms.map((room) => Object.keys(room).length > 0),
    same: Number(bare) === 0.21 && Number(wrong) === 0.076,
  }),
);
