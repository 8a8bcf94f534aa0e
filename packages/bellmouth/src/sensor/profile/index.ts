export { type EntryFlow, planeStrength, TRANSITION, TRANSITION_CALM, TRANSITION_DISTURBED } from "./entry.js";
export { profileFactor, type Span } from "./factor.js";
export { LAMINAR_RATIO, meanToCentreRatio } from "./ratio.js";
export { type ProfileScatter, profileScatter } from "./scatter.js";
export { laminarFactor, powerLawExponent, powerLawRatio, turbulentFactor } from "./shape.js";
