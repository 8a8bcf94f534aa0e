// The air of a flow bench, a pass road and a test day, without any document. Each law is held against its source in docs/accuracy.md.
import {
  airDensity,
  airDensityCipm2007,
  dieselAtmosphericFactor,
  dryPressure,
  flowAtTestDrop,
  flowAtTestDropCompressible,
  frictionFactorHaaland,
  geometricAltitude,
  humidityAfter,
  idealVelocity,
  pressureAltitude,
  standardAtmosphere,
} from "bellmouth/air";
import {
  celsius,
  cubicFeetPerMinute,
  inH2O,
  metres,
  pascals,
  toCelsius,
  toCubicFeetPerMinute,
  toKilopascals,
} from "bellmouth/units";

const room = { temperature: celsius(22), pressure: pascals(98_700), relativeHumidity: 0.45 };

// A port measured at 28 inH2O, as a bench at 10 inH2O would have shown it.
const measured = cubicFeetPerMinute(212);
const [from, to] = [inH2O(28), inH2O(10)];
const bench = { pressure: room.pressure, temperature: room.temperature };
console.log(
  `212 cfm at 28 inH2O: ${toCubicFeetPerMinute(flowAtTestDrop(measured, from, to)).toFixed(1)} cfm at 10 inH2O`,
  `(${toCubicFeetPerMinute(flowAtTestDropCompressible(measured, from, to, bench)).toFixed(1)} as a compressible gas)`,
);
console.log(`ideal velocity at 28 inH2O: ${idealVelocity(from, airDensity(room)).toFixed(1)} m/s`);

// The air itself, by two formulas, and what is left of its humidity behind a warm manifold.
const exact = airDensityCipm2007(room);
console.log(`density ${airDensity(room).toFixed(4)} kg/m³; CIPM-2007 ${exact.toFixed(4)} kg/m³`);
const warm = { pressure: pascals(97_000), temperature: celsius(45) };
console.log(
  `humidity 45 % in the room, ${(100 * humidityAfter(room, warm)).toFixed(0)} % at 45 °C and 97 kPa`,
);

// A pass at 2,000 m on a standard day, and the altitude that a barometer of 80 kPa stands for.
const pass = standardAtmosphere({ geopotentialAltitude: metres(2000) });
console.log(
  `2,000 m: ${toKilopascals(pass.pressure).toFixed(1)} kPa, ${toCelsius(pass.temperature).toFixed(0)} °C`,
);
console.log(`80 kPa: ${geometricAltitude(pressureAltitude(pascals(80_000))).toFixed(0)} m`);

// What the test day costs a turbocharged diesel, and the friction of a duct at Re 90,000.
const day = { dryPressure: dryPressure(room), temperature: room.temperature };
console.log(
  `atmospheric factor, turbocharged diesel: ${dieselAtmosphericFactor(day, "turbocharged").toFixed(4)}`,
);
console.log(
  `friction factor, Re 90,000, roughness 1e-4 of the bore: ${frictionFactorHaaland(9e4, 1e-4).toFixed(4)}`,
);
